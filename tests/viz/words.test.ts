import { describe, expect, test } from "vitest";
import { joinWords } from "../../engine/wording.ts";
import { verdictOf } from "../../viz/words/verdict.ts";

const LABEL = "Sour range";

describe("the readout's sentence", () => {
  test("names the axes that are off, worst first, with the gap in the axis's own unit", () => {
    const verdict = verdictOf([7, 0.35, 14.2], [7, 0.66, 15.1], false, 1.6, LABEL);
    expect(verdict.headline).toBe("Short on acid and a touch weak.");
    expect(verdict.detail).toBe(
      "Acid is 0.31 g/100 mL under and alcohol is 0.9 % vol under the nearest edge of Sour range. Sugar is fine.",
    );
    expect(verdict.axes.map((axis) => axis.state)).toEqual(["ok", "low", "low"]);
  });

  test("says too much as plainly as too little, and how much of it", () => {
    expect(verdictOf([14, 0.8, 17], [9, 0.8, 17], false, 2.5, LABEL).headline).toBe("Far too sweet.");
    expect(verdictOf([9.5, 0.8, 17], [9, 0.8, 17], false, 0.25, LABEL).headline).toBe("A touch sweet.");
    expect(verdictOf([9, 0.8, 27], [9, 0.8, 22], false, 1.7, LABEL).headline).toBe("Too strong.");
  });

  test("a gap nobody can taste is called that, and its size is never shown as zero", () => {
    const verdict = verdictOf([8, 0.557, 14.3], [8, 0.561, 14.32], false, 0.02, LABEL);
    expect(verdict.headline).toBe("A hair outside.");
    expect(verdict.detail).toMatch(/^Acid is 0\.004 g\/100 mL under/);
  });

  test("inside is said as inside, and near the edge as near the edge", () => {
    expect(verdictOf([8, 0.8, 17], [8, 0.8, 17], true, -1, LABEL).headline).toBe("In range.");
    expect(verdictOf([8, 0.8, 17], [8, 0.8, 17], true, -0.05, LABEL).headline).toBe(
      "In range, but only just.",
    );
  });

  test("lists read as a person writes them", () => {
    expect(joinWords(["a"])).toBe("a");
    expect(joinWords(["a", "b", "c"])).toBe("a, b and c");
  });
});
