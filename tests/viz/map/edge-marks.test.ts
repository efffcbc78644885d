import { describe, expect, test } from "vitest";
import { edgeMarks } from "../../../viz/map/draw-marks.ts";
import { itemsOf } from "../../../viz/map/items.ts";
import type { XY } from "../../../viz/map/model.ts";
import { model } from "./a-model.ts";

const box = { width: 200, height: 100 };
const items = itemsOf(model);
const at = (places: Record<string, XY>) => edgeMarks(box, items, (i) => places[i.key] ?? [100, 50]);

describe("pointers to drinks outside the window", () => {
  test("there are none while everything is inside", () => {
    expect(at({})).toEqual([]);
  });

  test("each stands at the frame nearest to its drink and turns toward it", () => {
    const [mark] = at({ "round:1": [-80, 50] });
    expect(mark?.item.key).toBe("round:1");
    expect(mark?.at[1]).toBe(50);
    expect(mark?.at[0]).toBeGreaterThanOrEqual(0);
    expect(Math.abs(mark?.turn ?? 0)).toBe(180);
    expect(at({ "round:1": [60, 400] })[0]?.turn).toBe(90);
  });

  test.each([
    ["a side", [300, 50], [320, 51], [330, 52]],
    ["a corner", [300, 95], [320, 96], [330, 97]],
    ["the bottom", [100, 300], [101, 320], [102, 330]],
  ] as const)("three toward one place on %s stand apart, all inside the frame", (_where, a, b, c) => {
    const marks = at({ "round:1": a, "round:2": b, "round:4": c });
    expect(marks.length).toBe(3);
    for (const [i, one] of marks.entries()) {
      expect(one.at[0]).toBeGreaterThanOrEqual(0);
      expect(one.at[0]).toBeLessThanOrEqual(box.width);
      expect(one.at[1]).toBeGreaterThanOrEqual(0);
      expect(one.at[1]).toBeLessThanOrEqual(box.height);
      for (const other of marks.slice(i + 1)) {
        expect(Math.hypot(one.at[0] - other.at[0], one.at[1] - other.at[1])).toBeGreaterThanOrEqual(20);
      }
    }
  });

  test("classics outside are not pointed at", () => {
    const reference = items.find((i) => i.kind === "reference")!;
    expect(at({ [reference.key]: [900, 900] })).toEqual([]);
  });
});
