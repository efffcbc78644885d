import { gammaln } from "simple-statistics";
import { describe, expect, it, test } from "vitest";
import { AXIS_INDICES } from "../../engine/axes.ts";
import { createCatalogue } from "../../engine/catalogue.ts";
import { type Separation, separation } from "../../engine/kin/separation.ts";
import { addScaledMat3, eigenSymmetric3, invert3, mat3, quadForm, subtract3 } from "../../engine/linalg.ts";
import { finishSpec } from "../../engine/place/prepare-spec.ts";
import { meanVec3 } from "../../engine/stats.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { familyTarget, USUAL_SCATTER, usualCovariance } from "../../engine/targets/family-target.ts";
import { scatterOf } from "../../engine/targets/scatter.ts";
import type { Method, SpecLine, Vec3 } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

const data = loadReferenceData();
const catalogue = createCatalogue(data);
const view = catalogue.view();
const sours = data.families.filter((family) => family.ratio);
const spec = (method: Method, pours: Record<string, number>) => ({
  name: "test",
  method,
  lines: Object.entries(pours).map(([ingredient, amount]): SpecLine => ({ ingredient, amount, unit: "ml" })),
});

/**
 * Common practice, no published source: the balanced drinks were written down from memory before any region was
 * fitted (reference-data/balanced.csv came first in the history), and each is spoiled in seven ways that anyone
 * would taste.
 */
describe("balanced drinks inside their family's 90 % region, spoiled ones outside", () => {
  const sum = (list: readonly Separation[], key: "inside" | "balanced" | "outside" | "spoiled") =>
    list.reduce((total, s) => total + s[key], 0);
  const all = separation(data);
  const of = (family: string, list = all) => list.find((s) => s.family === family)!;

  it("judges at least sixty drinks, and over half of them are no reference drink", () => {
    expect(sum(all, "balanced")).toBeGreaterThanOrEqual(60);
    expect(sum(all, "spoiled")).toBe(7 * sum(all, "balanced"));
    const taken = new Set(
      data.drinks.map((d) =>
        finishSpec(d.spec, catalogue.pantry)
          .point.map((x) => x.toFixed(6))
          .join(),
      ),
    );
    const fresh = data.balanced.filter(
      (b) =>
        !taken.has(
          finishSpec(b.spec, catalogue.pantry)
            .point.map((x) => x.toFixed(6))
            .join(),
        ),
    );
    expect(fresh.length).toBeGreaterThan(data.balanced.length / 2);
  });
  it("sour: 26 of 27 inside, 186 of 189 outside", () => {
    expect([of("sour").inside, of("sour").outside]).toEqual([26, 186]);
  });
  it("sour as bars pour it today: 26 of 27 inside, all 189 outside", () => {
    const modern = of("sour", separation(data, 0.9, "modern"));
    expect([modern.inside, modern.outside]).toEqual([26, 189]);
  });
  it("egg-white, fizz and crushed-ice sours: all inside, 168 of 175 outside", () => {
    const kin = [of("egg-white-sour"), of("fizz"), of("crushed")];
    expect(kin.flatMap((s) => s.missed)).toEqual([]);
    expect(sum(kin, "outside")).toBe(168);
  });
  it("over all nine families: 97 % inside, 90 % outside", () => {
    expect(sum(all, "inside") / sum(all, "balanced")).toBeGreaterThan(0.97);
    expect(sum(all, "outside") / sum(all, "spoiled")).toBeGreaterThan(0.9);
  });
  it("what is admitted most is a broad family's own: daisies with twice the spirit, punches", () => {
    const share = (s: Separation) => s.outside / s.spoiled;
    const broad = ["daisy", "punch"];
    for (const s of all)
      if (!broad.includes(s.family)) expect(share(s), s.family).toBeGreaterThanOrEqual(0.8);
  });
  it("finer coverage trades one for the other", () => {
    const wide = separation(data, 0.95);
    expect(sum(wide, "inside")).toBeGreaterThanOrEqual(sum(all, "inside"));
    expect(sum(wide, "outside")).toBeLessThan(sum(all, "outside"));
  });
});

describe("the sour range as a bar would draw it (common practice, no published source)", () => {
  const { contains } = compileTarget(view.region("family:sour").target);
  const at = (pours: Record<string, number>) =>
    contains(finishSpec(spec("shaken", pours), catalogue.pantry).point);
  test("the commonest template of today is in: two of spirit, one of citrus, one of syrup", () => {
    expect(at({ gin: 60, "juice-lemon": 30, "syrup-simple-1-1": 30 })).toBe(true);
    expect(at({ vodka: 50, "juice-lemon": 25, "syrup-simple-1-1": 25 })).toBe(true);
    expect(at({ bourbon: 60, "juice-lemon": 30, "syrup-simple-1-1": 30 })).toBe(true);
    expect(at({ "rum-white": 60, "juice-lime": 22.5, "syrup-simple-1-1": 22.5 })).toBe(true);
  });
  test("a drink of seventeen to one, and one of bare spirit and citrus, are out", () => {
    expect(at({ gin: 60, "juice-lemon": 15, "syrup-simple-1-1": 22.5 })).toBe(false);
    expect(at({ gin: 60, "juice-lemon": 30 })).toBe(false);
  });
  test("the README's example wants half an ounce of lemon, not a quarter", () => {
    const oz = 29.5735;
    const withLemon = (ounces: number) =>
      at({
        "rum-aged": 2 * oz,
        "juice-lime": 0.25 * oz,
        "syrup-simple-1-1": 0.75 * oz,
        "juice-lemon": ounces * oz,
      });
    expect(withLemon(0.25)).toBe(false);
    expect(withLemon(0.5)).toBe(true);
  });
});

describe("members left out one at a time", () => {
  test("nine in ten of the sours stand inside a region made from the others, nearly as many of their kin", () => {
    let [held, total] = [0, 0];
    for (const { id, ratio } of sours.filter((family) => family.id !== "punch")) {
      const members = view.members(`family:${id}`);
      const inside = members.filter((m) => {
        const rest = members.filter((o) => o !== m);
        return compileTarget(familyTarget(rest, 0.9, { ratio }).target).contains(m.point);
      }).length;
      if (id === "sour") expect(inside / members.length).toBeGreaterThan(0.88);
      held += inside;
      total += members.length;
    }
    expect(held / total).toBeGreaterThan(0.85);
  });
});

describe("the usual scatter is what the families show", () => {
  const own = sours.map(({ id }) => {
    const members = view.members(`family:${id}`);
    const middle = meanVec3(members.map((m) => m.point));
    const { mean, covariance } = scatterOf(members, usualCovariance(middle), 0.01);
    const share = AXIS_INDICES.map((k) => Math.sqrt(covariance[k][k]) / mean[k]);
    const correlation = (i: 0 | 1 | 2, j: 0 | 1 | 2) =>
      covariance[i][j] / Math.sqrt(covariance[i][i] * covariance[j][j]);
    return { share, correlations: [correlation(0, 1), correlation(0, 2), correlation(1, 2)] };
  });
  const middleOf = (values: number[]) => [...values].sort((a, b) => a - b)[(values.length - 1) / 2]!;
  test("shares and correlations are the middles over the nine families of sours, rounded", () => {
    for (const k of AXIS_INDICES) {
      expect(Math.abs(middleOf(own.map((o) => o.share[k]!)) - USUAL_SCATTER.share[k])).toBeLessThan(0.01);
    }
    const { correlation: c } = USUAL_SCATTER;
    for (const [k, taken] of [c[0][1], c[0][2], c[1][2]].entries()) {
      expect(Math.abs(middleOf(own.map((o) => o.correlations[k]!)) - taken)).toBeLessThan(0.05);
    }
    expect(eigenSymmetric3(mat3((i, j) => c[i][j])).values[0]).toBeGreaterThan(0.3);
  });

  /** Log density of Student's t in three dimensions with `df` degrees, but for the constant 1.5 log π. */
  const logT = (d: Vec3, scale: ReturnType<typeof usualCovariance>, df: number) => {
    const logGammaGap = gammaln((df + 3) / 2) - gammaln(df / 2);
    const logDet = eigenSymmetric3(scale).values.reduce((s, v) => s + Math.log(v), 0);
    const q = quadForm(invert3(scale)!, d);
    return logGammaGap - 1.5 * Math.log(df) - 0.5 * logDet - ((df + 3) / 2) * Math.log1p(q / df);
  };
  test("its weight is the one at which drinks left out one at a time are likeliest", () => {
    const likelihood = (weight: number) => {
      let total = 0;
      for (const { id } of sours) {
        const members = view.members(`family:${id}`);
        for (const m of members) {
          const rest = members.filter((o) => o !== m);
          const usual = usualCovariance(meanVec3(rest.map((r) => r.point)));
          const { mean, covariance } = scatterOf(rest, usual, weight);
          const df = weight + rest.length + 1;
          const share = ((df - 2) / df) * (1 + 1 / rest.length);
          const none = mat3(() => 0);
          const scale = addScaledMat3(addScaledMat3(none, share, covariance), 1, m.doubt ?? none);
          total += logT(subtract3(m.point, mean), scale, df);
        }
      }
      return total;
    };
    const best = likelihood(USUAL_SCATTER.weight);
    for (const other of [2, 4, 16, 32]) expect(likelihood(other), `weight ${other}`).toBeLessThan(best);
  });
});
