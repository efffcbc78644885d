import { describe, expect, test } from "vitest";
import { seededRandom } from "../../engine/seeded-random.ts";
import {
  atLeastChance,
  chanceInterval,
  choiceTest,
  fewestForSignificance,
  tastersNeeded,
} from "../../engine/taste/panel/binomial.ts";
import { rankTotals } from "../../engine/taste/panel/permutations.ts";
import { friedman, normalRangeQuantile, page, ranksOf } from "../../engine/taste/panel/ranks.ts";

describe("triangle test, fewest right answers (FAO Fisheries Technical Paper 348, Appendix A, read; ISO 4120 uses the same binomial, from memory)", () => {
  // n: 10 %, 5 %, 1 %, 0.1 %; null where the table has a dash.
  const table: [number, (number | null)[]][] = [
    [3, [3, 3, null, null]],
    [5, [4, 4, 5, null]],
    [6, [5, 5, 6, null]],
    [7, [5, 5, 6, 7]],
    [8, [5, 6, 7, 8]],
    [9, [6, 6, 7, 8]],
    [10, [6, 7, 8, 9]],
    [12, [7, 8, 9, 10]],
    [14, [8, 9, 10, 11]],
    [15, [8, 9, 10, 12]],
    [16, [9, 9, 11, 12]],
    [18, [10, 10, 12, 13]],
    [20, [10, 11, 13, 14]],
    [24, [12, 13, 15, 16]],
    [25, [12, 13, 15, 17]],
    [26, [13, 14, 15, 17]],
    [28, [14, 15, 16, 18]],
    [30, [14, 15, 17, 19]],
    [36, [17, 18, 20, 22]],
    [42, [19, 20, 22, 25]],
    [48, [21, 22, 25, 27]],
    [60, [26, 27, 30, 33]],
    [72, [30, 32, 34, 38]],
    [96, [39, 41, 44, 48]],
  ];
  test.each(table)("%i tasters", (n, row) => {
    expect([0.1, 0.05, 0.01, 0.001].map((alpha) => fewestForSignificance(n, 1 / 3, alpha))).toEqual(row);
  });

  test("exact chances (computed from the binomial with other software)", () => {
    const cases = [
      [8, 12, 0.018758],
      [13, 24, 0.028441],
      [15, 30, 0.043482],
      [18, 36, 0.028349],
      [30, 66, 0.027027],
    ] as const;
    for (const [k, n, p] of cases) expect(choiceTest("triangle", k, n).pOneSided).toBeCloseTo(p, 6);
    expect(choiceTest("triangle", 15, 30).discriminators).toBeCloseTo(0.25, 12);
  });
});

describe("paired test, fewest answers one way, one-sided (ISO 5495:2005 Table A.1, read in its Russian identical edition; n = 30 computed)", () => {
  // n: 20 %, 10 %, 5 %, 1 %, 0.1 %; then two-sided 5 % and 1 % (computed).
  const table: [number, number[], number[]][] = [
    [10, [7, 8, 9, 10, 10], [9, 10]],
    [12, [8, 9, 10, 11, 12], [10, 11]],
    [15, [10, 11, 12, 13, 14], [12, 13]],
    [20, [13, 14, 15, 16, 18], [15, 17]],
    [22, [14, 15, 16, 17, 19], [17, 18]],
    [30, [18, 20, 20, 22, 24], [21, 23]],
    [36, [22, 23, 24, 26, 28], [25, 27]],
    [40, [24, 25, 26, 28, 31], [27, 29]],
    [48, [28, 29, 31, 33, 36], [32, 34]],
    [60, [34, 36, 37, 40, 43], [39, 41]],
  ];
  test.each(table)("%i tasters", (n, oneSided, twoSided) => {
    const of = (alpha: number) => fewestForSignificance(n, 1 / 2, alpha);
    expect([0.2, 0.1, 0.05, 0.01, 0.001].map(of)).toEqual(oneSided);
    expect([0.025, 0.005].map(of)).toEqual(twoSided);
  });

  test("five of five is not enough two-sided", () => {
    expect(choiceTest("pair", 5, 5).pTwoSided).toBeCloseTo(0.0625, 12);
    expect(fewestForSignificance(5, 1 / 2, 0.025)).toBeNull();
  });

  test("preferences: both p values and the exact interval (Clopper–Pearson; computed with other software)", () => {
    const cases = [
      [15, 20, 0.020695, 0.041389, 0.509, 0.9134],
      [21, 30, 0.021387, 0.042774, 0.506, 0.8527],
      [26, 40, 0.040345, 0.080691, 0.4832, 0.7937],
    ] as const;
    for (const [k, n, one, two, low, high] of cases) {
      const found = choiceTest("pair", k, n);
      expect(found.pOneSided).toBeCloseTo(one, 6);
      expect(found.pTwoSided).toBeCloseTo(two, 5);
      expect(found.interval[0]).toBeCloseTo(low, 4);
      expect(found.interval[1]).toBeCloseTo(high, 4);
    }
  });

  test("the interval's ends are where the tails are just reached", () => {
    const [low, high] = chanceInterval(7, 19, 0.9);
    expect(atLeastChance(7, 19, low)).toBeCloseTo(0.05, 9);
    expect(1 - atLeastChance(8, 19, high)).toBeCloseTo(0.05, 9);
  });
});

test("panel sizes: the exact power is reached, and no smaller panel reaches it", () => {
  for (const real of [0.5, 0.6, 0.8]) {
    const n = tastersNeeded("triangle", real, { alpha: 0.05, power: 0.8 })!;
    const powerOf = (m: number) => {
      const needed = fewestForSignificance(m, 1 / 3, 0.05);
      return needed === null ? 0 : atLeastChance(needed, m, real);
    };
    expect(powerOf(n)).toBeGreaterThanOrEqual(0.8);
    for (let m = 1; m < n; m++) expect(powerOf(m)).toBeLessThan(0.8);
  }
});

/** Rows of ranks with the column sums asked for: what a worked example that prints only sums allows. */
function friedmanFromSums(sums: readonly number[], tasters: number): number {
  const k = sums.length;
  return (12 / (tasters * k * (k + 1))) * sums.reduce((s, r) => s + r * r, 0) - 3 * tasters * (k + 1);
}

describe("Friedman's test", () => {
  test("eleven assessors and four products (worked example, data read; statistic agrees with SciPy)", () => {
    const rows = [
      ...Array.from({ length: 6 }, () => [3, 1, 2, 4]),
      ...Array.from({ length: 3 }, () => [3, 2, 1, 4]),
      [4, 1, 2, 3],
      [2, 1, 3, 4],
    ];
    const found = friedman(rows);
    expect(found.rankSums).toEqual([33, 14, 20, 43]);
    expect(found.statistic).toBeCloseTo(27.7636, 4);
    expect(found.leastDifference).toBeCloseTo(11.87, 2);
    // The chi-square value, 4.0715e-6, is what tables give; eleven rows of four can be dealt out exactly.
    expect(found.isExact).toBe(true);
    expect(found.p).toBeLessThan(4.0715e-6);
  });

  test("ISO 8587:1988 Annex A: eight assessors, five samples (rank sums quoted from the standard)", () => {
    // The standard's rows are not at hand: ours have its sums.
    const rows = rowsWithSums([17, 31, 32, 23, 17], 8);
    const found = friedman(rows);
    expect(found.rankSums).toEqual([17, 31, 32, 23, 17]);
    expect(found.statistic).toBeCloseTo(10.6, 9);
    expect(found.leastDifference).toBeCloseTo(12.4, 2);
    expect(friedmanFromSums([17, 31, 32, 23, 17], 8)).toBeCloseTo(10.6, 9);
  });

  test("seven panelists, six samples (coursework, sums read; its own least difference uses a wrong formula)", () => {
    const found = friedman(rowsWithSums([7, 14, 21, 28, 36, 41], 7));
    expect(found.statistic).toBeCloseTo(34.5102, 4);
    expect(found.leastDifference).toBeCloseTo(13.72, 2);
  });

  test("small panels are exact: three tasters, three products, all of one mind", () => {
    // Of 6³ deals, 6 put all three in one order: p = 1/36.
    expect(
      friedman([
        [1, 2, 3],
        [1, 2, 3],
        [1, 2, 3],
      ]).p,
    ).toBeCloseTo(1 / 36, 12);
  });

  test("nobody tells anything apart", () => {
    const found = friedman([
      [5, 5, 5],
      [7, 7, 7],
    ]);
    expect(found.statistic).toBe(0);
    expect(found.p).toBe(1);
  });

  test("least differences of all pairs at 5 % (Newell and MacFarlane, J. Food Sci. 52, 1987, Table 1, read as OCR)", () => {
    const table: [number, number[]][] = [
      [8, [10, 14, 18, 22, 26, 30]],
      [10, [11, 15, 20, 24, 29, 34]],
      [12, [12, 17, 22, 27, 32, 37]],
      [15, [13, 19, 24, 30, 36, 42]],
      [20, [15, 21, 28, 34, 41, 47]],
    ];
    // Rank sums are whole: the table gives the next whole number of their own distribution, ours is its limit.
    const above = table.flatMap(([n, row]) =>
      row.map((printed, i) => {
        const k = i + 3;
        return printed - normalRangeQuantile(0.95, k) * Math.sqrt((n * k * (k + 1)) / 12);
      }),
    );
    const higher = above.flatMap((x, i) => (x >= 0 && x < 1 ? [] : [i]));
    // Two of the thirty cells as read are one higher still: 15 panelists with 7 and with 8 products.
    expect(higher).toEqual([22, 23]);
    expect(Math.max(...above)).toBeLessThan(2);
  });
});

/** Rank rows with these column sums: from rows all alike, trades of two ranks in a row that bring the sums nearer. */
function rowsWithSums(sums: readonly number[], tasters: number): number[][] {
  const order = sums.map((_, j) => j).sort((a, b) => sums[a]! - sums[b]!);
  const rows = Array.from({ length: tasters }, () => sums.map((_, j) => order.indexOf(j) + 1));
  const gap = () => sums.reduce((t, s, j) => t + Math.abs(rows.reduce((u, r) => u + r[j]!, 0) - s), 0);
  const random = seededRandom(1);
  for (let tries = 0; gap() > 0; tries++) {
    if (tries > 100_000) throw new Error("no such rows found");
    const row = rows[random.bits() % tasters]!;
    const [i, j] = [random.bits() % sums.length, random.bits() % sums.length];
    const before = gap();
    [row[i], row[j]] = [row[j]!, row[i]!];
    if (gap() > before) [row[i], row[j]] = [row[j]!, row[i]!];
  }
  return rows;
}

describe("Page's test", () => {
  test("ten tasters, three products, ties (SciPy's documented example: L 133.5, exact p)", () => {
    const rows = [
      [3, 4, 3],
      [2, 2, 4],
      [3, 3, 5],
      [1, 3, 2],
      [2, 3, 2],
      [2, 4, 5],
      [1, 2, 4],
      [3, 4, 4],
      [2, 4, 5],
      [1, 3, 4],
    ];
    const found = page(rows);
    expect(found.statistic).toBe(133.5);
    expect(found.isExact).toBe(true);
    // SciPy rounds a tied statistic down and deals untied ranks.
    expect(untiedPageChance(133, 10, 3)).toBeCloseTo(0.0018191161948127822, 12);
    // Ours deals the ties that were given, which is less often so far out.
    expect(found.p).toBeLessThan(0.0018191161948127822);
  });

  test("four tasters, three products, expected the other way round (worked example: L 54.5)", () => {
    const rows = [
      [4, 3, 1],
      [3, 4, 1],
      [5, 3, 3],
      [4, 3, 1],
    ].map((row) => row.reverse());
    const found = page(rows);
    expect(found.statistic).toBe(54.5);
    // Every one of the 6⁴ ways to reorder the rows, ties and all, one after another.
    const orders = [
      [0, 1, 2],
      [0, 2, 1],
      [1, 0, 2],
      [1, 2, 0],
      [2, 0, 1],
      [2, 1, 0],
    ];
    const lines = ranksOf(rows).map((row) =>
      orders.map((o) => o.reduce((t, at, j) => t + (j + 1) * row[at]!, 0)),
    );
    let reached = 0;
    for (const a of lines[0]!)
      for (const b of lines[1]!)
        for (const c of lines[2]!) for (const d of lines[3]!) if (a + b + c + d >= 54.5) reached++;
    expect(found.p).toBeCloseTo(reached / 6 ** 4, 12);
  });

  test("critical values at 5 % and 1 % (computed, no ties; some web pages print 56 for four subjects, wrongly)", () => {
    const table: Record<string, [number, number, number][]> = {
      3: [
        [4, 54, 55],
        [5, 66, 68],
        [6, 79, 81],
        [7, 91, 93],
        [8, 104, 106],
        [10, 128, 131],
        [12, 153, 156],
      ],
      4: [
        [4, 111, 114],
        [5, 137, 141],
        [6, 163, 167],
        [8, 214, 220],
        [10, 266, 272],
        [12, 317, 324],
      ],
      5: [
        [8, 384, 393],
        [10, 477, 487],
        [12, 570, 581],
      ],
      6: [
        [8, 625, 640],
        [10, 777, 793],
        [12, 928, 946],
      ],
    };
    for (const [k, rows] of Object.entries(table)) {
      for (const [n, five, one] of rows) {
        for (const [critical, alpha] of [
          [five, 0.05],
          [one, 0.01],
        ] as const) {
          expect(untiedPageChance(critical, n, Number(k)), `k ${k} n ${n}`).toBeLessThanOrEqual(alpha);
          expect(untiedPageChance(critical - 1, n, Number(k)), `k ${k} n ${n}`).toBeGreaterThan(alpha);
        }
      }
    }
  });

  test("Cohen and Holliday 1983, Table 85: six rows of four, L 173.5 is beyond 0.1 % (critical 172, read)", () => {
    expect(untiedPageChance(172, 6, 4)).toBeLessThanOrEqual(0.001);
    expect(untiedPageChance(171, 6, 4)).toBeGreaterThan(0.001);
  });
});

/** P(L ≥ value) when nobody ties: our `page` on rows of plain ranks, with the wanted L put in by hand. */
function untiedPageChance(value: number, tasters: number, products: number): number {
  return pageChances(tasters, products).atLeast(value);
}

function pageChances(tasters: number, products: number) {
  const row = Array.from({ length: products }, (_, j) => j + 1);
  return rankTotals(
    Array.from({ length: tasters }, () => row),
    null,
  )!;
}
