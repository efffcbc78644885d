import { agnes, type Cluster } from "ml-hclust";
import { describe, expect, test } from "vitest";
import { AXIS_SCALE, fromScaled, perAxis, scaledDistance } from "../../../engine/axes.ts";
import { createCatalogue } from "../../../engine/catalogue.ts";
import { alikePairs } from "../../../engine/menu/alike.ts";
import { averageLinkage, bestGrouping, cutInto, meanSilhouette } from "../../../engine/menu/cluster.ts";
import { emptyCorners } from "../../../engine/menu/gaps.ts";
import { type MenuDrink, readMenu } from "../../../engine/menu/menu.ts";
import { cornerText, groupText, withoutAlcoholText } from "../../../engine/menu/words.ts";
import { seededRandom } from "../../../engine/seeded-random.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const { uniform: random, normal } = seededRandom(11);
const distancesOf = (points: readonly Vec3[]) => points.map((p) => points.map((q) => scaledDistance(p, q)));
const cloud = (n: number): Vec3[] =>
  Array.from({ length: n }, () => fromScaled([6 * random(), 6 * random(), 6 * random()]));
const cube = (edge: number): Vec3[] =>
  [0, edge].flatMap((x) => [0, edge].flatMap((y) => [0, edge].map((z) => fromScaled([x, y, z]))));
const drink = (name: string, point: Vec3, more: Partial<MenuDrink> = {}): MenuDrink => ({
  name,
  point,
  covariance: sd(0.1),
  pours: new Map([[name, 1]]),
  family: null,
  ...more,
});
/** A round doubt of so many axis steps. */
const sd = (steps: number): Mat3 => {
  const v = perAxis((k) => (steps * AXIS_SCALE[k]) ** 2);
  return [
    [v[0], 0, 0],
    [0, v[1], 0],
    [0, 0, v[2]],
  ];
};

describe("groups", () => {
  // Five 5S ribosomal RNA sequences, the usual worked example of average linkage (UPGMA); figures from memory, the
  // steps by hand: a, b at 17; e at (23 + 21) / 2; c, d at 28; the last at (21 + 31 + 30 + 34 + 39 + 43) / 6.
  const rna = [
    [0, 17, 21, 31, 23],
    [17, 0, 30, 34, 21],
    [21, 30, 0, 28, 39],
    [31, 34, 28, 0, 43],
    [23, 21, 39, 43, 0],
  ];
  test("join as the worked example does", () => {
    expect(averageLinkage(rna)).toEqual([
      { members: [0, 1], height: 17 },
      { members: [0, 1, 4], height: 22 },
      { members: [2, 3], height: 28 },
      { members: [0, 1, 2, 3, 4], height: 33 },
    ]);
    expect(cutInto(2, 5, averageLinkage(rna))).toEqual([
      [0, 1, 4],
      [2, 3],
    ]);
  });

  test("join as the library ml-hclust does, and are cut as it cuts", () => {
    for (const n of [2, 3, 9, 30, 60]) {
      const distances = distancesOf(cloud(n));
      const ours = averageLinkage(distances);
      const theirs = agnes(distances, { method: "average", isDistanceMatrix: true });
      const heights: number[] = [];
      theirs.traverse((c: Cluster) => {
        if (!c.isLeaf) heights.push(c.height);
      });
      heights.sort((a, b) => a - b);
      ours.forEach(({ height }, i) => {
        expect(height).toBeCloseTo(heights[i]!, 10);
      });
      for (let count = 1; count <= Math.min(n, 6); count++) {
        const cut = theirs.group(count).children;
        const groups = count === 1 ? [theirs.indices()] : cut.map((c) => c.indices());
        const same = groups.map((g) => [...g].sort((a, b) => a - b)).sort((a, b) => a[0]! - b[0]!);
        expect(cutInto(count, n, ours)).toEqual(same);
      }
    }
  });

  test("have Rousseeuw's silhouette (by hand: 0, 1 | 10, 11)", () => {
    const at = [0, 1, 10, 11];
    const distances = at.map((p) => at.map((q) => Math.abs(p - q)));
    const groups = [
      [0, 1],
      [2, 3],
    ];
    expect(meanSilhouette(groups, distances)).toBeCloseTo((9.5 / 10.5 + 8.5 / 9.5) / 2, 12);
    expect(bestGrouping(distances)).toEqual({ groups, silhouette: meanSilhouette(groups, distances) });
  });

  test("are found where there are some, and none where there are none", () => {
    const apart = [
      [0, 0, 0],
      [8, 0, 0],
      [0, 8, 8],
    ].map(([x, y, z]) =>
      cloud(7).map((p): Vec3 => {
        const c = fromScaled([x!, y!, z!]);
        return perAxis((k) => c[k] + p[k] / 6);
      }),
    );
    const found = bestGrouping(distancesOf(apart.flat())).groups;
    expect(found.map((g) => g.length)).toEqual([7, 7, 7]);
    expect(bestGrouping(distancesOf(cube(2))).silhouette).toBeNull();
    expect(
      bestGrouping(distancesOf(Array.from({ length: 5 }, (): Vec3 => [7, 0.7, 17]))).groups,
    ).toHaveLength(1);
    expect(bestGrouping([[0]]).groups).toEqual([[0]]);
  });
});

describe("near-duplicates", () => {
  test("two pours of one drink are called so in 68 of 100 pairs, by draws", () => {
    const poured = (): Vec3 => perAxis((k) => [7, 0.8, 18][k]! + AXIS_SCALE[k] * normal());
    const one = { covariance: sd(1) };
    const draws = 4000;
    let alike = 0;
    for (let i = 0; i < draws; i++) {
      alike += alikePairs([drink("a", poured(), one), drink("b", poured(), one)]).length;
    }
    // Three standard errors of a share of 0.68.
    expect(Math.abs(alike / draws - 0.68)).toBeLessThan(3 * Math.sqrt((0.68 * 0.32) / draws));
  });
  test("a gap is counted in deviations of the difference, and the same liquids in common are counted once", () => {
    const shared = {
      covariance: sd(0.3),
      pours: new Map([
        ["gin", 0.6],
        ["lime", 0.4],
      ]),
    };
    const other = {
      covariance: sd(0.4),
      pours: new Map([
        ["gin", 0.5],
        ["lemon", 0.5],
      ]),
    };
    const [pair] = alikePairs([
      drink("a", fromScaled([3, 3, 3]), shared),
      drink("b", fromScaled([3.5, 3, 3]), other),
    ]);
    // 0.3² + 0.4² is 0.5², beside which the least deviation of 0.05 is a half of a percent.
    expect(pair!.gap).toBeCloseTo(0.5 / Math.hypot(0.5, 0.05), 9);
    expect(pair!.distance).toBeCloseTo(0.5, 12);
    expect(pair!.sharedPour).toBeCloseTo(0.5, 12);
  });
  test("drinks without acid and without doubt are judged too", () => {
    const none: Mat3 = sd(0);
    const same = { covariance: none };
    expect(alikePairs([drink("a", [5, 0, 30], same), drink("b", [5, 0, 30], same)])).toHaveLength(1);
    expect(alikePairs([drink("a", [5, 0, 30], same), drink("b", [9, 0, 30], same)])).toEqual([]);
  });
});

describe("empty corners", () => {
  const box = compileTarget({
    kind: "box",
    name: "the box",
    sugarGPer100Ml: [0, 6 * AXIS_SCALE[0]],
    acidGPer100Ml: [0, 6 * AXIS_SCALE[1]],
    abvPercent: [0, 6 * AXIS_SCALE[2]],
  });
  test("the middle of a cube with a drink on each corner: half its diagonal away (elementary geometry)", () => {
    const [first] = emptyCorners(cube(6), [box], [{ name: "middle", point: fromScaled([3, 3, 2]) }]);
    expect(first!.radius).toBeCloseTo(3 * Math.sqrt(3), 2);
    expect(scaledDistance(first!.centre, fromScaled([3, 3, 3]))).toBeLessThan(0.05);
    expect(first!.classic!.name).toBe("middle");
    expect(first!.ranges).toEqual(["the box"]);
  });
  test("no point of the range has more room than the first one has, by 20 000 draws", () => {
    for (let n = 0; n < 5; n++) {
      const menu = cloud(6);
      const [first] = emptyCorners(menu, [box], []);
      const most = Math.max(...cloud(4000).map((p) => Math.min(...menu.map((q) => scaledDistance(p, q)))));
      expect(first!.radius).toBeGreaterThan(most - 0.02);
      expect(first!.radius).toBeCloseTo(Math.min(...menu.map((q) => scaledDistance(q, first!.centre))), 12);
      expect(box.contains(first!.centre)).toBe(true);
    }
  });
  test("a range that the menu fills has none, nor has no range", () => {
    const full = [1, 3, 5].flatMap((x) =>
      [1, 3, 5].flatMap((y) => [1, 3, 5].map((z) => fromScaled([x, y, z]))),
    );
    expect(emptyCorners(full, [box], [])).toEqual([]);
    expect(emptyCorners(full, [], [])).toEqual([]);
  });
});

describe("a menu of classics", () => {
  const data = loadReferenceData();
  const view = createCatalogue(data).view();
  const classics = view.references.map(({ drink: { name }, point }) => ({ name, point }));
  const ranges = view
    .regions(0.5)
    .filter(({ id }) => /^family:[^:]+$/.test(id))
    .map(({ target }) => compileTarget(target));
  const menuOf = (family: string) =>
    view.references
      .filter(({ drink: d }) => d.families[0] === family)
      .map(({ drink: { name }, point }) => drink(name, point, { family }));

  test("of sours alone lacks what is dry and strong, in words and with a classic that is", () => {
    const sours = menuOf("sour");
    const report = readMenu(sours, ranges, classics);
    const strong = report.corners.find(({ levels }) => levels[2] === "high");
    expect(strong).toBeDefined();
    expect(cornerText(strong!, sours)).toMatch(/^Nothing .*strong: about /);
    expect(strong!.classic).not.toBeNull();
    expect(sours.map(({ name }) => name)).not.toContain(strong!.classic!.name);
    expect(withoutAlcoholText(report.spread)).not.toBeNull();
  });
  test("“nothing” is said only where no drink has those words, and no corner is less than no acid", () => {
    let little = 0;
    for (const family of data.families.map(({ id }) => id)) {
      const menu = menuOf(family);
      if (menu.length === 0) continue;
      const { corners } = readMenu(menu, ranges, classics);
      expect(corners.length).toBeGreaterThan(0);
      for (const corner of corners) {
        expect(Math.min(...corner.centre)).toBeGreaterThanOrEqual(0);
        const alone = menu.map((d) => readMenu([d], [], classics).groups[0]!.levels.join());
        const has = alone.includes(corner.levels.join());
        expect(cornerText(corner, menu).startsWith(has ? "Little " : "Nothing ")).toBe(true);
        little += Number(has);
      }
    }
    expect(little).toBeGreaterThan(0);
  });
  test("each drink is in one group, and the same menu gives the same report", () => {
    const menu = [...menuOf("sour").slice(0, 8), ...menuOf(data.drinks.at(-1)!.families[0]!)];
    const report = readMenu(menu, ranges, classics);
    expect(report.groups.flatMap(({ members }) => members).sort((a, b) => a - b)).toEqual(
      menu.map((_, i) => i),
    );
    expect(readMenu(menu, ranges, classics)).toEqual(report);
    expect(new Set(report.groups.map(({ letter }) => letter)).size).toBe(report.groups.length);
  });
  test("levels are thirds of the classics", () => {
    const three = [1, 2, 3].map((n) => ({ name: `${n}`, point: [n, n / 10, 10 * n] as Vec3 }));
    const of = (p: Vec3) => groupText(readMenu([drink("x", p)], [], three).groups[0]!);
    expect(of([0.5, 0.35, 5])).toBe("Dry, sharp and light");
    expect(of([3.5, 0.05, 35])).toBe("Sweet, soft and strong");
    expect(of([2, 0.2, 20])).toBe("In the middle");
  });
  test("none, too many and one without a place are refused by field", () => {
    expect(() => readMenu([], ranges, classics)).toThrow(/no drink/);
    const many = Array.from({ length: 121 }, (_, i) => drink(`${i}`, [1, 1, 1]));
    expect(() => readMenu(many, ranges, classics)).toThrow(/limit is 120/);
    expect(() => readMenu([drink("x", [1, Number.NaN, 1])], ranges, classics)).toThrow("/drinks/0/point/1");
  });
});
