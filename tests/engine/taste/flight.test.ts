import { describe, expect, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import { blindCodes, planFlight, servingOrders } from "../../../engine/taste/flight.ts";

describe("balanced orders (E. J. Williams 1949, construction quoted; rows computed)", () => {
  const shown = (k: number) => servingOrders(k).map((row) => row.map((x) => x + 1).join(""));

  test.each([
    [3, "123 231 312 321 132 213"],
    [4, "1243 2314 3421 4132"],
    [5, "12534 23145 34251 45312 51423 43521 54132 15243 21354 32415"],
    [6, "126354 231465 342516 453621 564132 615243"],
    [8, "12837465 23148576 34251687 45362718 56473821 67584132 78615243 81726354"],
  ])("%i glasses", (k, rows) => {
    expect(shown(k).join(" ")).toBe(rows);
  });

  test.each([1, 2, 3, 4, 5, 6, 7, 8])("%i glasses: places and neighbours come equally often", (k) => {
    const rows = servingOrders(k);
    for (let place = 0; place < k; place++) {
      for (let glass = 0; glass < k; glass++) {
        expect(rows.filter((row) => row[place] === glass)).toHaveLength(rows.length / k);
      }
    }
    for (let a = 0; a < k; a++) {
      for (let b = 0; b < k; b++) {
        if (a === b) continue;
        const after = rows.filter((row) => row.indexOf(b) === row.indexOf(a) + 1).length;
        expect(after).toBe(k % 2 === 0 ? 1 : 2);
      }
    }
  });
});

describe("a flight", () => {
  test("every taster gets every glass once, under codes that say nothing", () => {
    const plan = planFlight(["r1", "r4", "r5"], ["Ana", "Bo", "Cy", "Di"], 7);
    expect(new Set(plan.glasses.map((g) => g.code)).size).toBe(3);
    for (const { code } of plan.glasses) expect(code).toMatch(/^[1-9][0-9]{2}$/);
    for (const { codes } of plan.orders) {
      expect([...codes].sort()).toEqual(plan.glasses.map((g) => g.code).sort());
    }
    expect(plan.balance).toEqual({ places: false, neighbours: false, tastersForBalance: 6 });
  });

  test("the same seed serves the same flight, another another; taken codes are not used again", () => {
    const first = planFlight(["a", "b"], ["t"], 1);
    expect(planFlight(["a", "b"], ["t"], 1)).toEqual(first);
    expect(planFlight(["a", "b"], ["t"], 2)).not.toEqual(first);
    const all = blindCodes(1000, 3);
    expect(all.length).toBeGreaterThan(800);
    const taken = all.slice(0, -2);
    expect(
      planFlight(["a", "b"], ["t"], 1, taken)
        .glasses.map((g) => g.code)
        .sort(),
    ).toEqual(all.slice(-2).sort());
    expect(all).not.toContain("123");
    expect(all).not.toContain("777");
    expect(all).not.toContain("500");
  });

  test("what is wrong is named", () => {
    const pointersOf = (run: () => unknown) => {
      try {
        run();
      } catch (error) {
        if (error instanceof EngineError) return error.issues.map((i) => i.pointer);
      }
      return [];
    };
    expect(pointersOf(() => planFlight([], ["t"], 1))).toEqual(["/rounds"]);
    expect(pointersOf(() => planFlight(["a", "a"], ["t", "t"], -1))).toEqual([
      "/rounds/1",
      "/tasters/1",
      "/seed",
    ]);
    const nine = Array.from({ length: 9 }, (_, i) => `r${i}`);
    expect(pointersOf(() => planFlight(nine, ["t"], 1))).toEqual(["/rounds"]);
    expect(pointersOf(() => planFlight(["a"], ["t"], 1, blindCodes(1000, 3)))).toEqual(["/taken"]);
  });
});
