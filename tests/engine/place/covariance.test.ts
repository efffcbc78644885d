import { describe, expect, test } from "vitest";
import { createMixModel } from "../../../engine/dilution/model.ts";
import { doubtId, pointCovariance } from "../../../engine/place/covariance.ts";
import { place } from "../../../engine/place/place.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import { sensitivityOf } from "../../../engine/place/sensitivity.ts";
import type { DilutionChoice, Ingredient, Pantry, SourcedValue, Spec } from "../../../engine/types.ts";
import { lime, liqueur, pantry, soda } from "../mix/pantry.ts";

/** Seeded uniform numbers (mulberry32) and from them normal ones (Box–Muller): the same seed, the same test. */
function normals(seed: number): () => number {
  let state = seed;
  const uniform = () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
}

function jittered(i: Ingredient, normal: () => number): Ingredient {
  const v = (s: SourcedValue): SourcedValue => ({
    ...s,
    value: s.sd > 0 ? Math.max(0, s.value + s.sd * normal()) : s.value,
  });
  const all = <K extends string>(r: Partial<Record<K, SourcedValue>>) =>
    Object.fromEntries(Object.entries<SourcedValue | undefined>(r).map(([k, s]) => [k, v(s!)])) as typeof r;
  return {
    ...i,
    abvPercent: v(i.abvPercent),
    sugarsGPer100Ml: all(i.sugarsGPer100Ml),
    acidsGPer100Ml: all(i.acidsGPer100Ml),
    ...(i.otherSolidsGPer100Ml && { otherSolidsGPer100Ml: v(i.otherSolidsGPer100Ml) }),
  };
}

/**
 * Brute force: new compositions, pours and water for each sample, placed by the model itself. Shares no
 * derivative with the analytic covariance.
 */
function monteCarlo(spec: Spec, from: Pantry, ratioSd: number, samples: number, seed: number) {
  const normal = normals(seed);
  const base = prepareSpec(spec, from);
  const ids = [...new Set(base.model.ingredients.map((i) => i.id))];
  const points: number[][] = [];
  for (let n = 0; n < samples; n++) {
    const world = new Map(ids.map((id) => [id, jittered(from.get(id)!, normal)]));
    const shared = new Map<string, number>();
    const volumes = base.volumesMl.map((v, i) => {
      const id = doubtId(base.volumeDoubts[i]!);
      if (id !== "pour" && !shared.has(id)) shared.set(id, normal());
      return Math.max(0, v + base.volumeSdsMl[i]! * (id === "pour" ? normal() : shared.get(id)!));
    });
    const items = base.model.ingredients.map((ingredient, i) => ({
      ingredient: world.get(ingredient.id)!,
      stage: base.model.stages[i]!,
    }));
    const model = createMixModel(items, spec.method, spec.dilution, volumes);
    const plain = model.finish(volumes);
    const poured = volumes.reduce((s, v, i) => s + (items[i]!.stage === "mix" ? v : 0), 0);
    const waterMl = Math.max(0, (plain.ratio + ratioSd * normal()) * poured);
    const f = createMixModel(items, spec.method, { model: "measured", waterMl }, volumes).finish(volumes);
    points.push([...f.point, f.finishedVolumeMl]);
  }
  const mean = [0, 1, 2, 3].map((k) => points.reduce((s, p) => s + p[k]!, 0) / samples);
  return [0, 1, 2, 3].map((a) =>
    [0, 1, 2, 3].map(
      (b) => points.reduce((s, p) => s + (p[a]! - mean[a]!) * (p[b]! - mean[b]!), 0) / (samples - 1),
    ),
  );
}

/** Bitters on two lines and lime both shaken and topped, so that shared doubts are exercised. */
const spec: Spec = {
  name: "test",
  method: "shaken",
  lines: [
    { ingredient: "rum", amount: 45, unit: "ml" },
    { ingredient: "liqueur", amount: 0.5, unit: "oz" },
    { ingredient: "syrup", amount: 2, unit: "barspoon" },
    { ingredient: "lime", amount: 22.5, unit: "ml" },
    { ingredient: "lime", amount: 10, unit: "ml", stage: "top" },
    { ingredient: "egg", amount: 1, unit: "piece" },
    { ingredient: "bitters", amount: 3, unit: "dash" },
    { ingredient: "bitters", amount: 2, unit: "dash", stage: "top" },
    { ingredient: "soda", amount: 30, unit: "ml" },
  ],
};

describe("covariance of the point", () => {
  test.each<[string, DilutionChoice | undefined, number, number]>([
    ["regression", undefined, 0.05, 10_000],
    ["corrected curve", { model: "energy", conditions: { iceTempC: -8 } }, 0.08, 10_000],
    ["a constant ratio", { model: "measured", waterMl: 50 }, 0.02, 10_000],
  ])("analytic equals Monte Carlo: %s", (_name, dilution, ratioSd, samples) => {
    // For the constant kind the model must keep its ratio, not the water, while pours err: place by ratio.
    const p = prepareSpec({ ...spec, dilution }, pantry);
    const analytic = pointCovariance(p, ratioSd);
    const sampled =
      dilution?.model === "measured"
        ? constantRatioMonteCarlo(p.model.dilution, ratioSd, samples)
        : monteCarlo({ ...spec, dilution }, pantry, ratioSd, samples, 20260);
    // A sample variance has relative sd √(2/N): 1.4 % and 2.2 %. Four of them, and 1 % for curvature.
    const tolerance = 4 * Math.sqrt(2 / samples) + 0.01;
    for (let a = 0; a < 3; a++) {
      for (let b = 0; b < 3; b++) {
        const size = Math.sqrt(sampled[a]![a]! * sampled[b]![b]!);
        expect(Math.abs(analytic.covariance[a]![b]! - sampled[a]![b]!)).toBeLessThan(tolerance * size);
      }
    }
    expect(Math.abs(analytic.finishedVolumeSdMl / Math.sqrt(sampled[3]![3]!) - 1)).toBeLessThan(tolerance);
  });

  /** As above, for a model whose ratio stays while the pours change. */
  function constantRatioMonteCarlo(
    dilution: { a2: number; a1: number; a0: number },
    ratioSd: number,
    samples: number,
  ) {
    expect([dilution.a2, dilution.a1]).toEqual([0, 0]);
    const ratio = dilution.a0;
    const normal = normals(77);
    const base = prepareSpec(spec, pantry);
    const rows: number[][] = [];
    for (let n = 0; n < samples; n++) {
      const world = new Map([...pantry].map(([id, i]) => [id, jittered(i, normal)]));
      const shared = new Map<string, number>();
      const volumes = base.volumesMl.map((v, i) => {
        const id = doubtId(base.volumeDoubts[i]!);
        if (id !== "pour" && !shared.has(id)) shared.set(id, normal());
        return Math.max(0, v + base.volumeSdsMl[i]! * (id === "pour" ? normal() : shared.get(id)!));
      });
      const items = base.model.ingredients.map((x, i) => ({
        ingredient: world.get(x.id)!,
        stage: base.model.stages[i]!,
      }));
      const poured = volumes.reduce((s, v, i) => s + (items[i]!.stage === "mix" ? v : 0), 0);
      const waterMl = (ratio + ratioSd * normal()) * poured;
      const f = createMixModel(items, spec.method, { model: "measured", waterMl }, volumes).finish(volumes);
      rows.push([...f.point, f.finishedVolumeMl]);
    }
    const mean = [0, 1, 2, 3].map((k) => rows.reduce((s, p) => s + p[k]!, 0) / samples);
    return [0, 1, 2, 3].map((a) =>
      [0, 1, 2, 3].map(
        (b) => rows.reduce((s, p) => s + (p[a]! - mean[a]!) * (p[b]! - mean[b]!), 0) / (samples - 1),
      ),
    );
  }

  test("doubts are independent and sum to the diagonal, largest first", () => {
    const placement = place(spec, pantry);
    for (let axis = 0; axis < 3; axis++) {
      const sum = placement.doubts.reduce((s, d) => s + d.variance[axis]!, 0);
      expect(sum).toBeCloseTo(placement.covariance[axis]![axis]!, 12);
    }
    const ids = placement.doubts.map((d) => d.id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids).toEqual(
      expect.arrayContaining(["lime:acid", "dilution", "unit:dash", "unit:barspoon", "egg:piece", "pour"]),
    );
    expect(placement.sd.sugarGPer100Ml ** 2).toBeCloseTo(placement.covariance[0][0], 12);
  });

  test("the same lime on two lines is one doubt: more spread than two limes of the same kind", () => {
    const twice = (second: string): Spec => ({
      name: "t",
      method: "none",
      lines: [
        { ingredient: "lime", amount: 30, unit: "ml" },
        { ingredient: second, amount: 30, unit: "ml" },
        { ingredient: "rum", amount: 60, unit: "ml" },
      ],
    });
    const two = new Map([...pantry, ["other-lime", { ...lime, id: "other-lime" }]]);
    const one = place(twice("lime"), two).doubts.find((d) => d.id === "lime:acid")!.variance[1];
    const each = place(twice("other-lime"), two)
      .doubts.filter((d) => d.id.endsWith("lime:acid"))
      .map((d) => d.variance[1]);
    expect(each).toHaveLength(2);
    expect(one / (each[0]! + each[1]!)).toBeCloseTo(2, 6);
  });

  test("all dashes are too big at once: five of them carry 25 times the variance of one", () => {
    const dashes = (n: number): Spec => ({
      name: "t",
      method: "none",
      lines: [
        { ingredient: "soda", amount: 10_000, unit: "ml" },
        { ingredient: "bitters", amount: n, unit: "dash" },
      ],
    });
    const share = (n: number) =>
      place(dashes(n), pantry).doubts.find((d) => d.id === "unit:dash")!.variance[2];
    expect(share(5) / share(1)).toBeCloseTo(25, 0);
  });

  test("a drink of water has no doubt about itself but its pours, and none on any axis", () => {
    const p = place(
      { name: "w", method: "none", lines: [{ ingredient: "soda", amount: 100, unit: "ml" }] },
      pantry,
    );
    expect(p.covariance.flat()).toEqual([0, 0, 0, 0, 0, 0, 0, 0, 0]);
    expect(p.finishedVolumeSdMl).toBeGreaterThan(1);
    expect(p.doubts).toEqual([]);
  });

  test("doubts: false leaves the list out and keeps the covariance", () => {
    const p = place(spec, pantry, { doubts: false });
    expect(p.doubts).toEqual([]);
    expect(p.covariance).toEqual(place(spec, pantry).covariance);
  });
});

describe("sensitivity", () => {
  test.each<[string, DilutionChoice]>([
    ["regression", { model: "regression" }],
    ["energy", { model: "energy" }],
  ])("the slope by each pour equals that of finish(): %s", (_name, dilution) => {
    const { model, volumesMl } = prepareSpec({ ...spec, dilution }, pantry);
    const s = sensitivityOf(model, volumesMl);
    volumesMl.forEach((v, line) => {
      const h = 1e-3;
      const at = (x: number) => model.finish(volumesMl.map((y, k) => (k === line ? x : y)));
      const [up, down] = [at(v + h), at(v - h)];
      const slope = s.pour(line);
      for (let axis = 0; axis < 3; axis++) {
        expect(slope[axis]).toBeCloseTo((up.point[axis]! - down.point[axis]!) / (2 * h), 5);
      }
      expect(slope[3]).toBeCloseTo((up.finishedVolumeMl - down.finishedVolumeMl) / (2 * h), 5);
    });
  });
  test("the first drop into an empty mix stage brings its own melt water", () => {
    const model = createMixModel(
      [
        { ingredient: liqueur, stage: "mix" },
        { ingredient: soda, stage: "top" },
      ],
      "shaken",
    );
    const h = 1e-6;
    const slope = sensitivityOf(model, [0, 100]).pour(0);
    const moved = model.finish([h, 100]);
    expect(slope[2]).toBeCloseTo(moved.point[2] / h, 4);
    expect(slope[3]).toBeCloseTo((moved.finishedVolumeMl - 100) / h, 4);
  });
});
