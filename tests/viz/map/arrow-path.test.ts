import { describe, expect, test } from "vitest";
import { arrowPath, halfWay } from "../../../viz/map/arrow-path.ts";

const numbers = (path: string) => path.match(/-?\d+\.\d+/g)!.map(Number);

describe("trail arrows", () => {
  test("stop short of both marks by their radii", () => {
    const [x1, y1, x2, y2] = numbers(arrowPath([0, 0], [100, 0], 6, 8)!.shaft);
    expect([x1, y1, x2, y2]).toEqual([6, 0, 92, 0]);
  });

  test("end in a head that lies behind the tip, one barb on either side", () => {
    const [ax, ay, tx, ty, bx, by] = numbers(arrowPath([0, 0], [0, 60], 4, 4)!.head);
    expect([tx, ty]).toEqual([0, 56]);
    expect(ay).toBeLessThan(56);
    expect(by).toBeCloseTo(ay!, 9);
    expect(ax! * bx!).toBeLessThan(0);
  });

  test("shrink the head on a short step and vanish where the marks touch", () => {
    const [ax, , tx] = numbers(arrowPath([0, 0], [12, 0], 4, 4)!.head);
    expect(tx! - ax!).toBeLessThan(4);
    expect(arrowPath([0, 0], [9, 0], 4, 4)).toBeNull();
    expect(arrowPath([5, 5], [5, 5], 4, 4)).toBeNull();
    expect(arrowPath([0, 0], [Number.NaN, 0], 4, 4)).toBeNull();
  });
});

describe("the middle of a curve", () => {
  test("is half way by length, not by number of points", () => {
    expect(
      halfWay([
        [0, 0],
        [1, 0],
        [2, 0],
        [10, 0],
      ]),
    ).toEqual([5, 0]);
  });

  test("is the point itself when the curve does not move, and nothing for no curve", () => {
    expect(
      halfWay([
        [3, 4],
        [3, 4],
      ]),
    ).toEqual([3, 4]);
    expect(halfWay([[3, 4]])).toEqual([3, 4]);
    expect(halfWay([])).toBeNull();
  });
});
