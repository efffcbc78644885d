import { describe, expect, test } from "vitest";
import { toPoint } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import { joinWords } from "../../engine/wording.ts";
import { shownChange } from "../../viz/words/axis.ts";
import { verdictOf } from "../../viz/words/verdict.ts";

const LABEL = "Sour range";

/** The verdict on a point, `nearest` being the nearest one of a range of that very size. */
const judged = (point: Vec3, nearest: Vec3, inside: boolean, signedDistance: number) =>
  verdictOf(
    {
      boundingBox: [nearest, nearest],
      membership: () => ({
        inside,
        signedDistance,
        nearest: toPoint(nearest),
        violations: [],
        mahalanobis: null,
        text: "",
      }),
    },
    point,
    LABEL,
  );

describe("the readout's sentence", () => {
  test("names the axes that are off, worst first, with the gap in the axis's own unit", () => {
    const verdict = judged([7, 0.35, 14.2], [7, 0.66, 15.1], false, 1.6);
    expect(verdict.headline).toBe("Short on acid and a touch weak.");
    expect(verdict.detail).toBe(
      "Acid is 0.31 g/100 mL under and alcohol is 0.9 % vol under the nearest edge of Sour range. Sugar is fine.",
    );
    expect(verdict.axes.map((axis) => axis.state)).toEqual(["ok", "low", "low"]);
  });

  test("says too much as plainly as too little, and how much of it", () => {
    expect(judged([14, 0.8, 17], [9, 0.8, 17], false, 2.5).headline).toBe("Far too sweet.");
    expect(judged([9.5, 0.8, 17], [9, 0.8, 17], false, 0.25).headline).toBe("A touch sweet.");
    expect(judged([9, 0.8, 27], [9, 0.8, 22], false, 1.7).headline).toBe("Too strong.");
  });

  test("a gap nobody can taste is called that, and its size is never shown as zero", () => {
    const verdict = judged([8, 0.557, 14.3], [8, 0.561, 14.32], false, 0.02);
    expect(verdict.headline).toBe("A hair outside.");
    expect(verdict.detail).toMatch(/^Acid is 0\.004 g\/100 mL under/);
  });

  test("inside is said as inside, and near the edge as near the edge", () => {
    expect(judged([8, 0.8, 17], [8, 0.8, 17], true, -1).headline).toBe("In range.");
    expect(judged([8, 0.8, 17], [8, 0.8, 17], true, -0.05).headline).toBe("In range, but only just.");
  });

  test("lists read as a person writes them", () => {
    expect(joinWords(["a"])).toBe("a");
    expect(joinWords(["a", "b", "c"])).toBe("a, b and c");
  });
});

test("a change agrees with the two figures it stands between", () => {
  expect(shownChange(0, 9.149, 8.451)).toBe("−0.6");
  expect(shownChange(1, 0.444, 0.446)).toBe("+0.01");
  expect(shownChange(2, 15.04, 14.96)).toBe("0");
});
