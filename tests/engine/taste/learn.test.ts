import { afterEach, describe, expect, test, vi } from "vitest";
import { toVec } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { findCamps } from "../../../engine/taste/camps.ts";
import { TableJudge } from "../../../engine/taste/judge.ts";
import { learnTable } from "../../../engine/taste/learn.ts";
import { inSpreads } from "../../../engine/taste/observations.ts";
import { priorOfTarget } from "../../../engine/taste/prior.ts";
import { tableRange } from "../../../engine/taste/table-range.ts";
import type { Tasting } from "../../../engine/taste/types.ts";
import { chainOfIdeals } from "./elliptical-slice.ts";
import { catalogue, point, prior, twoRounds } from "./invented-table.ts";

afterEach(() => {
  vi.restoreAllMocks();
});

const marked = (round: string, taster: string, sweet: number, sour: number, strong: number): Tasting =>
  ({ round, taster, sweet, sour, strong }) as Tasting;

test("the posterior is that of a Markov chain on a second writing of the model", () => {
  // A chain of 20 000 steps is off by 0.03 in a chance itself (three seeds: 0.44, 0.45, 0.42; 200 000: 0.417).
  const learned = learnTable(twoRounds, { sample: { habits: 2048, latents: 8 } });
  const judge = new TableJudge(learned);
  const chain = chainOfIdeals(twoRounds, learned.tasters, 80_000, 1);
  const mean = (f: (p: (typeof chain)[number]) => number) =>
    chain.reduce((s, p) => s + f(p), 0) / chain.length;
  for (const k of [0, 1, 2] as const) {
    const middle = mean((p) => p[k]);
    const sd = Math.sqrt(mean((p) => (p[k] - middle) ** 2));
    expect(Math.abs(judge.mean[k] - middle), `mean on axis ${k}`).toBeLessThan(0.08);
    expect(Math.sqrt(judge.covariance[k][k]) / sd, `sd on axis ${k}`).toBeGreaterThan(0.88);
    expect(Math.sqrt(judge.covariance[k][k]) / sd, `sd on axis ${k}`).toBeLessThan(1.14);
  }
  const at = inSpreads(prior, toVec(twoRounds.rounds[1]!.point));
  const near = mean((p) => (Math.hypot(p[0] - at[0], p[1] - at[1], p[2] - at[2]) <= 0.7 ? 1 : 0));
  expect(Math.abs(judge.outlook(at).chanceContent - near)).toBeLessThan(0.05);
});

test("a family's classics are what is expected, whatever band cuts their region; a box goes by its edges", () => {
  const { target } = catalogue.view().region("family:sour");
  if (target.kind !== "intersection") throw new Error("the sours were cut by a band of sugar to acid");
  const classics = target.parts.find((part) => part.kind === "ellipsoid")!;
  expect(prior).toEqual(priorOfTarget(classics));
  expect(prior.spread[0] ** 2).toBeCloseTo(classics.covariance[0][0], 12);
  expect(prior.correlation[1][2]).toBeLessThan(-0.1);
  const box = { kind: "box", sugarGPer100Ml: [8, 9] } as const;
  expect(priorOfTarget({ ...target, parts: [...target.parts, box] }).spread[0]).toBeCloseTo(0.5 / 1.6, 2);
});

describe("the same record, the same answer", () => {
  test("to the last bit on one machine", () => {
    expect(tableRange(learnTable(twoRounds))).toEqual(tableRange(learnTable(twoRounds)));
  });

  test("to six digits where Math rounds its last digit another way", () => {
    const plain = tableRange(learnTable(twoRounds));
    // Another browser's exp, log and hypot: right to one unit in the last place, as ours are.
    let flip = 0;
    for (const name of ["exp", "log", "hypot"] as const) {
      const real = Math[name] as (...x: number[]) => number;
      vi.spyOn(Math, name).mockImplementation((...x: number[]) => {
        flip = (flip * 1103515245 + 12345) >>> 0;
        return real(...x) * (1 + (flip & 0x10000 ? 1 : -1) * 2 ** -53);
      });
    }
    const other = tableRange(learnTable(twoRounds));
    expect(other).not.toEqual(plain);
    toVec(other.ideal).forEach((x, k) => {
      expect(x / toVec(plain.ideal)[k]!).toBeCloseTo(1, 6);
    });
    expect(other.target.radius / plain.target.radius).toBeCloseTo(1, 6);
  });

  test("whatever order the tastings come in, to what sampling can tell", () => {
    const turned = { ...twoRounds, tastings: [...twoRounds.tastings].reverse() };
    const a = toVec(tableRange(learnTable(twoRounds)).ideal);
    const b = toVec(tableRange(learnTable(turned)).ideal);
    a.forEach((x, k) => {
      expect(Math.abs(x - b[k]!) / prior.spread[k]!).toBeLessThan(0.1);
    });
  });
});

describe("what the marks do", () => {
  test("nothing but right marks: the ideal is at the drink; complaints push it the other way", () => {
    const rounds = [{ id: "r", point: point(9, 0.7, 16) }];
    const right = learnTable({
      prior,
      rounds,
      tastings: ["a", "b", "c"].map((t) => marked("r", t, 0, 0, 0)),
    });
    const sweet = learnTable({
      prior,
      rounds,
      tastings: ["a", "b", "c"].map((t) => marked("r", t, 2, 0, 0)),
    });
    const flat = learnTable({
      prior,
      rounds,
      tastings: ["a", "b", "c"].map((t) => marked("r", t, 0, -2, 0)),
    });
    const ideal = (l: typeof right) => tableRange(l).ideal;
    expect(Math.abs(ideal(right).sugarGPer100Ml - 9)).toBeLessThan(0.5 * prior.spread[0]);
    expect(ideal(sweet).sugarGPer100Ml).toBeLessThan(ideal(right).sugarGPer100Ml - 0.5 * prior.spread[0]);
    expect(ideal(flat).acidGPer100Ml).toBeGreaterThan(ideal(right).acidGPer100Ml + 0.5 * prior.spread[1]);
  });

  test("more tastings, a smaller range; the range is a target that holds its ideal", () => {
    const more = {
      ...twoRounds,
      tastings: [...twoRounds.tastings, ...twoRounds.tastings, ...twoRounds.tastings],
    };
    const [few, many] = [tableRange(learnTable(twoRounds)), tableRange(learnTable(more))];
    expect(many.sd.sugarGPer100Ml).toBeLessThan(few.sd.sugarGPer100Ml);
    expect(compileTarget(few.target).contains(toVec(few.ideal))).toBe(true);
    // A wider cover, a larger region.
    expect(tableRange(learnTable(twoRounds), { coverage: 0.95 }).target.radius).toBeGreaterThan(
      few.target.radius,
    );
  });

  test("marks against the classics widen what was expected", () => {
    const width = (abv: number, strong: number) => {
      const rounds = [
        { id: "r", point: point(8, 0.85, abv) },
        { id: "s", point: point(8, 0.85, abv + 2) },
      ];
      const tastings = ["a", "b", "c"].flatMap((t) => [
        marked("r", t, 0, 0, strong),
        marked("s", t, 0, 0, strong),
      ]);
      const { draws } = learnTable({ prior, rounds, tastings }).posterior;
      return draws.reduce((sum, d) => sum + d.weight * d.habits.width, 0);
    };
    // Still far too weak, four spreads above where any classic lies.
    expect(width(prior.centre[2] + 4 * prior.spread[2], -2)).toBeGreaterThan(1.5 * width(prior.centre[2], 0));
  });

  test("a word on an axis nobody marked counts; beside its mark it does not; the map's blind words move nothing", () => {
    const rounds = [{ id: "r", point: point(8, 0.85, 15.5) }];
    const ideal = (tastings: Tasting[]) =>
      tableRange(learnTable({ prior, rounds, tastings })).ideal.abvPercent;
    const plain: Tasting = { round: "r", taster: "a", sweet: 0, sour: 0 };
    expect(ideal([{ ...plain, words: ["Hot"] }])).toBeLessThan(ideal([plain]) - 0.3 * prior.spread[2]);
    expect(ideal([{ ...plain, strong: 0, words: ["hot"] }])).toBe(ideal([{ ...plain, strong: 0 }]));
    expect(ideal([{ ...plain, words: ["fruit lost", "bright"] }])).toBe(ideal([plain]));
    const unread = learnTable({ prior, rounds, tastings: [{ ...plain, words: ["zingy-ish"] }] }).unreadWords;
    expect(unread).toEqual(["zingy-ish"]);
  });

  test("a comparison alone moves the ideal towards the preferred drink", () => {
    const rounds = [
      { id: "dry", point: point(6, 0.85, 15.5) },
      { id: "sweet", point: point(10, 0.85, 15.5) },
    ];
    const ideal = (preferred: string, other: string) =>
      tableRange(
        learnTable({ prior, rounds, tastings: [], comparisons: [{ taster: "a", preferred, other }] }),
      ).ideal.sugarGPer100Ml;
    expect(ideal("sweet", "dry")).toBeGreaterThan(ideal("dry", "sweet") + 0.5 * prior.spread[0]);
  });
});

describe("two camps", () => {
  const at = (sweet: number): Partial<Tasting> => ({ sweet: sweet as 0, sour: 0, strong: 0 });
  const rounds = [6, 8, 10].map((sugar, i) => ({ id: `r${i}`, point: point(sugar, 0.85, 15.5) }));
  const dryFans = ["a", "b", "c"];
  const sweetFans = ["d", "e", "f"];
  const tastingsOf = (names: string[], marks: number[], likings: number[]) =>
    names.flatMap((taster) =>
      rounds.map(({ id: round }, i): Tasting => ({ round, taster, liking: likings[i]!, ...at(marks[i]!) })),
    );

  test("three who like it dry and three who like it sweet are told apart, by name", () => {
    const tastings = [
      ...tastingsOf(dryFans, [0, 1, 2], [8, 6, 3]),
      ...tastingsOf(sweetFans, [-2, -1, 0], [3, 6, 8]),
    ];
    const learned = learnTable({ prior, rounds, tastings });
    const camps = findCamps(learned)!;
    expect(camps.bayesFactor).toBeGreaterThan(20);
    expect(camps.sides).toEqual([
      [0, 1, 2],
      [3, 4, 5],
    ]);
    expect(camps.share).toBeGreaterThan(0.8);
  });

  test("six of one mind are one table; a lone taster has no camps", () => {
    const tastings = tastingsOf([...dryFans, ...sweetFans], [-1, 0, 1], [6, 8, 6]);
    expect(findCamps(learnTable({ prior, rounds, tastings }))!.bayesFactor).toBeLessThan(1);
    expect(findCamps(learnTable({ prior, rounds, tastings: tastings.slice(0, 3) }))).toBeNull();
  });

  test("ten tasters are split by a look along the axes", () => {
    const tastings = [
      ...tastingsOf([...dryFans, "g", "h"], [0, 1, 2], [8, 6, 3]),
      ...tastingsOf([...sweetFans, "i", "j"], [-2, -1, 0], [3, 6, 8]),
    ];
    const camps = findCamps(learnTable({ prior, rounds, tastings }, { sample: { habits: 64, latents: 4 } }))!;
    expect(camps.sides[0]).toEqual([0, 1, 2, 3, 4]);
    expect(camps.bayesFactor).toBeGreaterThan(20);
  });
});

test("every bad field is named at once", () => {
  const bad = () =>
    learnTable({
      prior,
      rounds: [
        { id: "r", point: point(8, 0.8, Number.NaN) },
        { id: "r", point: point(8, 0.8, 15) },
      ],
      tastings: [
        { round: "nowhere", taster: "a", liking: 10 },
        { round: "r", taster: "a", sweet: 3 as 2 },
      ],
      comparisons: [{ taster: "a", preferred: "r", other: "gone" }],
    });
  try {
    bad();
    expect.unreachable();
  } catch (error) {
    expect((error as EngineError).issues.map((i) => i.pointer).sort()).toEqual(
      [
        "/comparisons/0/other",
        "/rounds/0/point/abvPercent",
        "/rounds/1/id",
        "/tastings/0/liking",
        "/tastings/0/round",
        "/tastings/1/sweet",
      ].sort(),
    );
  }
  expect(() => learnTable({ ...twoRounds, tastings: [], comparisons: [] })).toThrow(EngineError);
});
