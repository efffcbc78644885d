import { describe, expect, test } from "vitest";
import { graduations } from "../../../viz/map/beam.ts";
import { layoutFor } from "../../../viz/map/layout.ts";
import { chordOf, regionOf } from "../../../viz/map/region.ts";
import { model } from "./a-model.ts";

describe("the layout", () => {
  test.each([700, 860, 1280, 1920])("at %i px neighbouring panels share an axis to the pixel", (width) => {
    const { panels, beams, legend } = layoutFor(width, "sugar-acid", () => 220);
    const [main, right, below] = panels as [(typeof panels)[0], (typeof panels)[0], (typeof panels)[0]];
    expect([main.x, right.x, below.x]).toEqual([0, 2, 0]);
    expect([main.y, right.y, below.y]).toEqual([1, 1, 2]);
    expect([right.top, right.height]).toEqual([main.top, main.height]);
    expect([below.left, below.width]).toEqual([main.left, main.width]);
    for (const panel of panels) {
      expect(panel.left + panel.width).toBeLessThanOrEqual(width);
      expect(panel.depth).toBe(3 - panel.x - panel.y);
    }
    expect(main.width).toBeGreaterThan(right.width);
    for (const beam of beams)
      expect(panels.some((p) => [p.width, p.height].includes(beam.length))).toBe(true);
    expect(legend!.left).toBe(right.left);
  });

  test("grows for a legend longer than the lower row", () => {
    const short = layoutFor(800, "sugar-acid", () => 100);
    const long = layoutFor(800, "sugar-acid", () => 420);
    expect(long.height - short.height).toBeGreaterThan(100);
    expect(long.legend!.top + 420).toBeLessThanOrEqual(long.height);
  });

  test.each(["sugar-acid", "sugar-abv", "abv-acid"] as const)(
    "at 390 px shows %s alone, with the axis it cannot show as a beam",
    (shown) => {
      const { panels, beams, depthBeam, width } = layoutFor(390, shown, () => 200);
      expect(panels.map((p) => p.id)).toEqual([shown]);
      expect([...beams.map((b) => b.axis), depthBeam!.axis].sort()).toEqual([0, 1, 2]);
      expect(panels[0]!.left + panels[0]!.width).toBeLessThanOrEqual(width);
    },
  );
});

describe("graduations", () => {
  test("are the whole decimal fractions of the numbered ones, and none twice", () => {
    const { major, minor } = graduations([4.03, 14.7], 620);
    expect(major).toEqual([5, 6, 7, 8, 9, 10, 11, 12, 13, 14]);
    expect(minor.every((v) => !major.some((m) => Math.abs(m - v) < 1e-9))).toBe(true);
    expect(minor[0]).toBeCloseTo(4.1, 9);
    expect(minor.at(-1)).toBeCloseTo(14.7, 9);
  });

  test("are fewer where there is no room", () => {
    expect(graduations([0, 20], 80).minor.length).toBeLessThan(graduations([0, 20], 800).minor.length);
  });
});

describe("the target in a panel", () => {
  test("casts its whole shadow, and is cut only where the third value meets it", () => {
    const there = regionOf(model.target!, 0, 1, 17);
    expect(there.slice!.length).toBeGreaterThan(2);
    expect(regionOf(model.target!, 0, 1, 10).slice).toBeNull();
    expect(regionOf(model.target!, 0, 1, null).slice).toBeNull();
    expect(chordOf(there.shadow!, null)![0]).toBeCloseTo(0.6, 6);
    expect(chordOf(there.shadow!, null)![1]).toBeCloseTo(0.9, 6);
  });

  test("is measured along a vertical line of the panel, and not beside it", () => {
    const triangle = [
      [0, 0],
      [4, 0],
      [0, 4],
    ] as const;
    expect(chordOf(triangle, 1)).toEqual([0, 3]);
    expect(chordOf(triangle, 4)).toEqual([0, 0]);
    expect(chordOf(triangle, 5)).toBeNull();
  });
});
