import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Vec3 } from "../../../engine/types.ts";
import {
  type Box3,
  boxAround,
  clampView,
  domainOf,
  fitView,
  fromTransform,
  HOME_VIEW,
  MAX_ZOOM,
  padBox,
  panToShow,
  rebaseView,
  toFraction,
  toTransform,
  type View,
  zoomAbout,
} from "../../../viz/map/shared-view.ts";

const home: Box3 = { lo: [4, 0.2, 8], hi: [14, 1.2, 28] };
const unit = fc.double({ min: 0, max: 1, noNaN: true });
const views = fc
  .record({ k: fc.double({ min: 1, max: MAX_ZOOM, noNaN: true }), centre: fc.tuple(unit, unit, unit) })
  .map(clampView);

function expectSameView(a: View, b: View): void {
  expect(a.k).toBeCloseTo(b.k, 9);
  for (const axis of [0, 1, 2] as const) expect(a.centre[axis]).toBeCloseTo(b.centre[axis], 9);
}

describe("the shared window", () => {
  test("at home shows exactly the home box", () => {
    for (const axis of [0, 1, 2] as const) {
      expect(domainOf(HOME_VIEW, home, axis)[0]).toBeCloseTo(home.lo[axis], 12);
      expect(domainOf(HOME_VIEW, home, axis)[1]).toBeCloseTo(home.hi[axis], 12);
    }
  });

  test("a panel's pixel transform places values where the window's own scale does", () => {
    // Two ways to the same pixel: d3.zoom's (transform applied to the unzoomed pixel) and the panel's scale.
    fc.assert(
      fc.property(views, unit, unit, (view, fx, fy) => {
        const [w, h] = [420, 310];
        const t = toTransform(view, 0, 2, w, h);
        const value: Vec3 = [4 + 10 * fx, 0.5, 8 + 20 * fy];
        const byZoom = [t.x + t.k * fx * w, t.y + t.k * (1 - fy) * h];
        const [x0, x1] = domainOf(view, home, 0);
        const [y0, y1] = domainOf(view, home, 2);
        const byScale = [((value[0] - x0) / (x1 - x0)) * w, h - ((value[2] - y0) / (y1 - y0)) * h];
        expect(byZoom[0]).toBeCloseTo(byScale[0]!, 5);
        expect(byZoom[1]).toBeCloseTo(byScale[1]!, 5);
      }),
    );
  });

  test("reading a panel's transform back gives the same window", () => {
    fc.assert(
      fc.property(views, fc.tuple(unit, unit, unit), (view, anchor) => {
        const t = toTransform(view, 2, 1, 250, 400);
        expectSameView(fromTransform(view, t, 2, 1, 250, 400, anchor), view);
      }),
    );
  });

  test("zooming in one panel keeps the anchor in sight on the axis it does not show", () => {
    const start = clampView({ k: 1, centre: [0.5, 0.5, 0.5] });
    const anchor: Vec3 = [0.5, 0.5, 0.9];
    const t = toTransform(clampView({ k: 4, centre: [0.4, 0.4, 0.5] }), 0, 1, 400, 300);
    const zoomed = fromTransform(start, t, 0, 1, 400, 300, anchor);
    expect(Math.abs(0.9 - zoomed.centre[2])).toBeLessThanOrEqual(0.5 / 4);
  });

  test("zooming about a point leaves that point where it was in the window", () => {
    fc.assert(
      fc.property(views, fc.double({ min: 1, max: 3, noNaN: true }), (view, factor) => {
        const anchor: Vec3 = [view.centre[0] + 0.2 / view.k, view.centre[1], view.centre[2] - 0.3 / view.k];
        const next = zoomAbout(view, factor, anchor);
        for (const axis of [0, 1, 2] as const) {
          expect((anchor[axis] - next.centre[axis]) * next.k).toBeCloseTo(
            (anchor[axis] - view.centre[axis]) * view.k,
            6,
          );
        }
      }),
    );
  });

  test("never leaves the home box, whatever is asked", () => {
    const wild = fc.double({ min: -5, max: 5, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 500, noNaN: true }),
        fc.tuple(wild, wild, wild),
        (k, centre) => {
          const view = clampView({ k, centre });
          for (const axis of [0, 1, 2] as const) {
            const [lo, hi] = domainOf(view, home, axis);
            expect(lo).toBeGreaterThanOrEqual(home.lo[axis] - 1e-9);
            expect(hi).toBeLessThanOrEqual(home.hi[axis] + 1e-9);
          }
        },
      ),
    );
  });

  test("fitting a box shows all of it, and zooms in on it", () => {
    const box: Box3 = { lo: [6, 0.5, 14], hi: [8, 0.7, 16] };
    const view = fitView(box, home);
    expect(view.k).toBeCloseTo(4, 9);
    for (const axis of [0, 1, 2] as const) {
      const [lo, hi] = domainOf(view, home, axis);
      expect(lo).toBeLessThan(box.lo[axis]);
      expect(hi).toBeGreaterThan(box.hi[axis]);
    }
  });

  test("fitting a single point zooms to the limit and not to infinity", () => {
    const view = fitView({ lo: [6, 0.5, 14], hi: [6, 0.5, 14] }, home);
    expect(view.k).toBe(MAX_ZOOM);
    expect(view.centre[0]).toBeCloseTo(0.2, 9);
  });

  test("panning to a point already in the window changes nothing, and brings in one that is not", () => {
    const view = clampView({ k: 5, centre: [0.3, 0.3, 0.3] });
    expect(panToShow(view, home, [7, 0.5, 14])).toBe(view);
    const moved = panToShow(view, home, [13, 0.5, 14]);
    const [lo, hi] = domainOf(moved, home, 0);
    expect(13).toBeGreaterThan(lo);
    expect(13).toBeLessThan(hi);
    expect(moved.centre[1]).toBeCloseTo(0.3, 12);
  });
});

describe("when the home box changes", () => {
  const after: Box3 = { lo: [2, 0, 4], hi: [16, 1.4, 32] };

  test("a zoomed window keeps showing what it showed", () => {
    const view = clampView({ k: 5, centre: [0.4, 0.6, 0.5] });
    const next = rebaseView(view, home, after);
    for (const axis of [0, 1, 2] as const) {
      const [lo, hi] = domainOf(view, home, axis);
      expect(domainOf(next, after, axis)[0]).toBeLessThanOrEqual(lo + 1e-9);
      expect(domainOf(next, after, axis)[1]).toBeGreaterThanOrEqual(hi - 1e-9);
    }
    expect(next.k).toBeCloseTo(7, 9);
    expectSameView(rebaseView(view, home, home), view);
  });

  test("a window at home stays at home", () => {
    expect(rebaseView(HOME_VIEW, home, after)).toEqual(HOME_VIEW);
  });
});

describe("the home box", () => {
  test("there is none around no points, and points that are not numbers are passed over", () => {
    expect(boxAround([])).toBeNull();
    expect(boxAround([[Number.NaN, 1, 2]])).toBeNull();
    expect(
      boxAround([
        [Number.NaN, 1, 2],
        [1, 2, 3],
      ]),
    ).toEqual({ lo: [1, 2, 3], hi: [1, 2, 3] });
  });

  test("has air on all sides but goes hardly below zero", () => {
    const padded = padBox({ lo: [0, 0.3, 10], hi: [10, 0.9, 20] }, 0.1, [2, 0.2, 4]);
    expect(padded.lo[0]).toBeCloseTo(-0.2, 9);
    expect(padded.hi[0]).toBeCloseTo(11, 9);
    expect(padded.lo[1]).toBeCloseTo(0.24, 9);
    expect(padded.lo[2]).toBeCloseTo(9, 9);
  });

  test("of one point has the least span on every axis", () => {
    const padded = padBox({ lo: [8, 0.8, 17], hi: [8, 0.8, 17] }, 0, [2, 0.2, 4]);
    for (const [axis, span] of [2, 0.2, 4].entries()) {
      expect(padded.hi[axis]! - padded.lo[axis]!).toBeCloseTo(span, 9);
    }
    expect(toFraction(padded, [8, 0.8, 17])[1]).toBeCloseTo(0.5, 9);
  });
});
