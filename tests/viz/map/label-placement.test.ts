import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  crosses,
  type LabelWish,
  overlap,
  placeLabels,
  type Rect,
  rectOf,
} from "../../../viz/map/label-placement.ts";

const bounds: Rect = { left: 0, top: 0, right: 400, bottom: 300 };
const none = { rects: [], segments: [] };
const wish = (key: string, x: number, y: number, more: Partial<LabelWish> = {}): LabelWish => ({
  key,
  anchor: [x, y],
  radius: 4,
  width: 60,
  height: 14,
  priority: 0,
  required: false,
  ...more,
});
const wishes = fc.array(
  fc.record({
    x: fc.integer({ min: 0, max: 400 }),
    y: fc.integer({ min: 0, max: 300 }),
    width: fc.integer({ min: 10, max: 110 }),
    priority: fc.integer({ min: 0, max: 3 }),
  }),
  { maxLength: 40 },
);
const asWishes = (list: { x: number; y: number; width: number; priority: number }[]) =>
  list.map((w, i) =>
    wish(`w${String(i).padStart(2, "0")}`, w.x, w.y, { width: w.width, priority: w.priority }),
  );

describe("label placement", () => {
  test("puts a lone label at the right of its mark, without a leader", () => {
    const [label] = placeLabels([wish("a", 100, 100)], bounds, none);
    expect(rectOf(label!).left).toBeCloseTo(107, 9);
    expect(label!.y).toBe(100);
    expect(label!.leader).toBeNull();
  });

  test("turns to the left at the right edge", () => {
    const [label] = placeLabels([wish("a", 390, 100)], bounds, none);
    expect(rectOf(label!).right).toBeLessThan(390);
  });

  test("never lets two labels overlap, leave the frame, or cover a mark or line", () => {
    const line = [
      [0, 150],
      [400, 140],
    ] as const;
    fc.assert(
      fc.property(wishes, (list) => {
        const all = asWishes(list);
        const rects = all.map(({ anchor: [x, y] }) => ({
          left: x - 4,
          right: x + 4,
          top: y - 4,
          bottom: y + 4,
        }));
        const placed = placeLabels(all, bounds, { rects, segments: [line] });
        // The box is worked back from its middle: a billionth of a pixel off each side undoes the rounding.
        const boxes = placed.map(rectOf).map((b) => ({
          left: b.left + 1e-9,
          right: b.right - 1e-9,
          top: b.top + 1e-9,
          bottom: b.bottom - 1e-9,
        }));
        boxes.forEach((box, i) => {
          expect(box.left >= bounds.left && box.right <= bounds.right).toBe(true);
          expect(box.top >= bounds.top && box.bottom <= bounds.bottom).toBe(true);
          for (const rect of rects) expect(overlap(box, rect)).toBe(0);
          for (const other of boxes.slice(i + 1)) expect(overlap(box, other)).toBe(0);
          expect(crosses(line, box)).toBe(false);
        });
      }),
      { numRuns: 300 },
    );
  });

  test("gives the same picture whatever the order the labels come in", () => {
    fc.assert(
      fc.property(wishes, (list) => {
        const all = asWishes(list);
        expect(placeLabels([...all].reverse(), bounds, none)).toEqual(placeLabels(all, bounds, none));
      }),
    );
  });

  test("gives the place to the more wanted label", () => {
    const tight: Rect = { left: 90, top: 93, right: 175, bottom: 107 };
    const placed = placeLabels(
      [wish("a", 100, 100, { priority: 1 }), wish("b", 101, 100, { priority: 2 })],
      tight,
      none,
    );
    expect(placed.map((p) => p.key)).toEqual(["b"]);
  });

  test("places a required label even where everything is covered", () => {
    const rects = [bounds];
    expect(placeLabels([wish("a", 100, 100)], bounds, { rects, segments: [] })).toEqual([]);
    expect(
      placeLabels([wish("a", 100, 100, { required: true })], bounds, { rects, segments: [] }),
    ).toHaveLength(1);
  });

  test("ties a label that had to stand off to its mark", () => {
    const rects = [{ left: 60, right: 180, top: 85, bottom: 115 }];
    const [label] = placeLabels([wish("a", 100, 100)], bounds, { rects, segments: [] });
    expect(label!.leader).not.toBeNull();
    const [start, end] = label!.leader!;
    expect(Math.hypot(start[0] - 100, start[1] - 100)).toBeCloseTo(5, 9);
    const box = rectOf(label!);
    expect(end[0] >= box.left && end[0] <= box.right && end[1] >= box.top && end[1] <= box.bottom).toBe(true);
  });
});

describe("crossing a rectangle", () => {
  const box: Rect = { left: 0, top: 0, right: 10, bottom: 10 };
  test.each([
    [
      "through",
      [
        [-5, 5],
        [15, 5],
      ],
      true,
    ],
    [
      "inside",
      [
        [2, 2],
        [3, 3],
      ],
      true,
    ],
    [
      "past",
      [
        [-5, 12],
        [15, 12],
      ],
      false,
    ],
    [
      "short of",
      [
        [-5, 5],
        [-1, 5],
      ],
      false,
    ],
    [
      "round a corner",
      [
        [-5, 4],
        [4, -5],
      ],
      false,
    ],
    [
      "upright",
      [
        [5, -3],
        [5, 30],
      ],
      true,
    ],
  ] as const)("%s", (_name, segment, expected) => {
    expect(crosses(segment, box)).toBe(expected);
  });
});

test("of the labels that may be left out, only the most wanted few are placed", () => {
  const all = [1, 2, 3, 4].map((n) => wish(`w${n}`, 80 * n, 40 * n, { priority: n, required: n === 1 }));
  expect(placeLabels(all, bounds, none, 2).map((p) => p.key)).toEqual(["w4", "w3", "w1"]);
});
