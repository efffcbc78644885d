import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { AXIS_INDICES, toVec } from "../../engine/axes.ts";
import { createCatalogue } from "../../engine/catalogue.ts";
import { gaugeBands } from "../../engine/targets/chord.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { verdictOf } from "../../viz/words/verdict.ts";

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
        const verdict = verdictOf(p, nearest, membership.inside, membership.signedDistance, "the range");
        expect(membership.inside).toBe(target.contains(p));
        expect(membership.violations.length === 0).toBe(membership.inside);
        expect(target.membership(nearest).signedDistance).toBeLessThan(1e-6);
        const bands = gaugeBands(target, p, nearest);
        for (const k of AXIS_INDICES) {
          const { state } = verdict.axes[k];
          const band = bands[k];
          if (state === "low") expect(p[k]).toBeLessThan(nearest[k]);
          if (state === "high") expect(p[k]).toBeGreaterThan(nearest[k]);
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
