import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { AXIS_INDICES, toVec } from "../../engine/axes.ts";
import { createCatalogue } from "../../engine/catalogue.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import type { Vec3 } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { bandsOf, verdictOf } from "../../viz/words/verdict.ts";

const { view } = createCatalogue(loadReferenceData());
const IDS = [
  "family:sour",
  "family:martini",
  "family:sour:list",
  "near:daiquiri",
  "band-shaken",
  "band-stirred",
];
const point = fc.tuple(
  fc.double({ min: 0, max: 14, noNaN: true }),
  fc.double({ min: 0, max: 1.5, noNaN: true }),
  fc.double({ min: 5, max: 35, noNaN: true }),
);

// No outside source: that what the page says of one drink at one moment agrees with itself.
describe.each(IDS)("what is said of a drink against %s", (id) => {
  const target = compileTarget(view().region(id).target);
  test("verdict, faces named, nearest point and gauges never contradict one another", () => {
    fc.assert(
      fc.property(point, (p) => {
        const membership = target.membership(p);
        const nearest = toVec(membership.nearest);
        const verdict = verdictOf(target, p, "the range");
        expect(membership.inside).toBe(target.contains(p));
        expect(membership.violations.length === 0).toBe(membership.inside);
        expect(target.membership(nearest).signedDistance).toBeLessThan(1e-6);
        const bands = bandsOf(target, p, verdict);
        for (const k of AXIS_INDICES) {
          const { state } = verdict.axes[k];
          const band = bands[k];
          if (state === "low") expect(p[k]).toBeLessThan(nearest[k]);
          if (state === "high") expect(p[k]).toBeGreaterThan(nearest[k]);
          if (band && state === "ok") {
            expect(p[k]).toBeGreaterThanOrEqual(band[0]);
            expect(p[k]).toBeLessThanOrEqual(band[1]);
          }
          if (band && state === "low") expect(p[k]).toBeLessThan(band[0] + 1e-9);
          if (band && state === "high") expect(p[k]).toBeGreaterThan(band[1] - 1e-9);
        }
        if (membership.inside) expect(verdict.axes.every(({ state }) => state === "ok")).toBe(true);
        expect(verdict.inside).toBe(membership.inside);
      }),
      { numRuns: 60 },
    );
  });
});

test("an axis on which an Old Fashioned is not out is named neither by the verdict nor by its gauge", () => {
  const target = compileTarget(view().region("family:old-fashioned").target);
  // Far too sweet, and without acid, as such drinks are.
  const sweet: Vec3 = [12, 0, 24];
  expect(target.membership(sweet).text).not.toMatch(/acid/i);
  const verdict = verdictOf(target, sweet, "the range");
  expect(verdict.headline).not.toMatch(/acid/);
  expect(verdict.axes.map(({ state }) => state)).toEqual(["high", "ok", "ok"]);
  const [, acid] = bandsOf(target, sweet, verdict);
  expect(acid?.[0]).toBe(0);
});
