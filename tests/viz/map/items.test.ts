import { describe, expect, test } from "vitest";
import { drinkAtHand, itemsOf, letter, sdOf, titleOf } from "../../../viz/map/items.ts";
import { findHit } from "../../../viz/map/scene.ts";
import { axisNumber, withUnit } from "../../../viz/words/axis.ts";
import { model } from "./a-model.ts";

const items = itemsOf(model);
const item = (key: string) => items.find((i) => i.key === key)!;

describe("the map's items", () => {
  test("name what they are, and their state in words", () => {
    expect(titleOf(item("round:5"))).toBe("Round 5, try 5, on the bench");
    expect(titleOf(item("round:3"))).toBe("Round 3, try 3, set aside");
    expect(titleOf(item("ghost:y"))).toBe("Proposal B, proposal y");
    expect(titleOf(item("reference:a"))).toBe("First sour, a classic");
  });

  test("say nothing of a doubt that is not known, rather than ± 0", () => {
    expect(withUnit(1, 0.5, 0)).toBe("0.50 g/100 mL");
    expect(withUnit(1, 0.5, null)).toBe("0.50 g/100 mL");
    expect(axisNumber(0, -0.01)).toBe("0.0");
    const certain = {
      ...item("round:5"),
      covariance: [
        [0, 0, 0],
        [0, 0, 0],
        [0, 0, 0],
      ] as const,
    };
    expect(sdOf(certain, 0)).toBeNull();
    expect(sdOf(item("ghost:x"), 0)).toBeNull();
    expect(sdOf(item("round:5"), 0)).toBe(0.5);
  });

  test("leave out what has no place, and cut the tie to a parent that is gone", () => {
    const broken = itemsOf({
      ...model,
      rounds: [{ ...model.rounds[1]!, parent: "deleted" }],
      references: [{ id: "bad", name: "bad", point: [Number.NaN, 0, 0], families: [] }],
    });
    expect(broken.find((i) => i.kind === "round")!.parent).toBeNull();
    expect(broken.some((i) => i.kind === "reference")).toBe(false);
  });

  test("weigh the edited spec, else the current round, else nothing", () => {
    expect(drinkAtHand(items, model)!.kind).toBe("live");
    const kept = { ...model, live: { ...model.live!, edited: false } };
    expect(drinkAtHand(itemsOf(kept), kept)!.key).toBe("round:5");
    expect(drinkAtHand(itemsOf({ ...model, live: null }), { live: null })).toBeNull();
  });

  test("letter proposals past the alphabet", () => {
    expect([0, 25, 26, 51, 52].map(letter)).toEqual(["A", "Z", "AA", "AZ", "BA"]);
  });
});

describe("finding what the pointer is at", () => {
  const hits = [
    { key: "reference:a", at: [100, 100] as const, half: [0, 0] as const, handicap: 4 },
    { key: "round:1", at: [104, 100] as const, half: [0, 0] as const, handicap: 0 },
    { key: "name", at: [200, 100] as const, half: [30, 7] as const, handicap: 6 },
  ];
  test("an actionable mark wins over a readable one as near", () => {
    expect(findHit(hits, [101, 100])).toBe("round:1");
  });
  test("every mark is a target at least 24 px across, and no more than the reach", () => {
    for (const angle of [0, 1, 2, 3, 4, 5, 6]) {
      const x = 104 + 12 * Math.cos(angle);
      const y = 100 + 12 * Math.sin(angle);
      expect(findHit(hits.slice(1, 2), [x, y])).toBe("round:1");
    }
    expect(findHit(hits, [104, 130])).toBeNull();
  });
  test("a label counts from its box", () => {
    expect(findHit(hits, [228, 104])).toBe("name");
  });
});
