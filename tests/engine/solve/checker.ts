/**
 * An independent judge of the solver: it never imports the search. It tries every pour, and it checks
 * certificates by adding and multiplying the numbers they carry.
 */
import { scaledDistance } from "../../../engine/axes.ts";
import { createMixModel } from "../../../engine/dilution/model.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import type { SolveRequest } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { SolveCertificate } from "../../../engine/types.ts";

/** Every amount each ingredient could have, the present one first (multiples of the ladder's plain step only). */
export function allPours(request: SolveRequest): { ids: string[]; fromMl: number[]; pours: number[][] } {
  const { volumesMl } = prepareSpec(request.spec, request.pantry);
  const ids = [...request.spec.lines.map((l) => l.ingredient), ...(request.additions ?? [])];
  const fromMl = ids.map((_, i) => volumesMl[i] ?? 0);
  const pours = ids.map((id, i) => {
    const list = [fromMl[i]!];
    if (request.locks?.includes(id)) return list;
    const bound = request.bounds!.find((b) => b.ingredient === id)!;
    for (let k = 0; k * request.ladder.stepMl <= bound.maxMl! + 1e-9; k += 1) {
      const ml = k * request.ladder.stepMl;
      if (ml >= (bound.minMl ?? 0) - 1e-9 && Math.abs(ml - fromMl[i]!) > 1e-6) list.push(ml);
    }
    return list;
  });
  return { ids, fromMl, pours };
}

/** True when the pours make a drink that meets everything the request asks. */
export function judge(request: SolveRequest): (x: number[]) => boolean {
  const { ids, fromMl } = allPours(request);
  const base = prepareSpec(request.spec, request.pantry);
  const items = ids.map((id) => {
    const ingredient = request.pantry.get(id)!;
    return { ingredient, stage: ingredient.addAfterDilution ? ("top" as const) : ("mix" as const) };
  });
  const model = createMixModel(items, request.spec.method, request.spec.dilution, fromMl);
  const target = compileTarget(request.target);
  const first = base.model.finish(base.volumesMl).point;
  return (x) => {
    if (x.every((ml) => ml === 0)) return false;
    const { point, finishedVolumeMl } = model.finish(x);
    if (!target.contains(point)) return false;
    if (request.maxFinishedMl !== undefined && finishedVolumeMl > request.maxFinishedMl + 1e-7) return false;
    if (request.driftBudget !== undefined && scaledDistance(point, first) > request.driftBudget + 1e-9)
      return false;
    return (request.character ?? []).every((rule) => {
      const own = x[ids.indexOf(rule.ingredient)]!;
      if (rule.minSharePercent !== undefined && 100 * own < rule.minSharePercent * finishedVolumeMl - 1e-7)
        return false;
      return rule.atLeastAsMuchAs === undefined || own >= x[ids.indexOf(rule.atLeastAsMuchAs)]! - 1e-9;
    });
  };
}

/** Try every pour: the fewest touched with the least volume, the least volume of all, and the sets that work. */
export function bruteForce(request: SolveRequest) {
  const { ids, fromMl, pours } = allPours(request);
  const accepts = judge(request);
  let tried = 0;
  let fewest: { touched: number; volume: number } | null = null;
  let least = Number.POSITIVE_INFINITY;
  const bySet = new Map<string, number>();
  const x = [...fromMl];
  const walk = (i: number, touched: string[], volume: number) => {
    if (i === ids.length) {
      tried += 1;
      const set = touched.join("+");
      const matters =
        volume < least - 1e-9 ||
        volume < (bySet.get(set) ?? Number.POSITIVE_INFINITY) - 1e-9 ||
        fewest === null ||
        touched.length < fewest.touched ||
        (touched.length === fewest.touched && volume < fewest.volume - 1e-9);
      if (!matters || !accepts(x)) return;
      least = Math.min(least, volume);
      bySet.set(set, Math.min(bySet.get(set) ?? Number.POSITIVE_INFINITY, volume));
      if (
        fewest === null ||
        touched.length < fewest.touched ||
        (touched.length === fewest.touched && volume < fewest.volume)
      ) {
        fewest = { touched: touched.length, volume };
      }
      return;
    }
    for (const ml of pours[i]!) {
      x[i] = ml;
      const d = Math.abs(ml - fromMl[i]!);
      if (d > 0) touched.push(ids[i]!);
      walk(i + 1, touched, volume + d);
      if (d > 0) touched.pop();
    }
    x[i] = fromMl[i]!;
  };
  walk(0, [], 0);
  return { tried, fewest: fewest as { touched: number; volume: number } | null, least, bySet };
}

/** Sets of `size` of the ids. */
export function subsets(ids: readonly string[], size: number): string[][] {
  if (size === 0) return [[]];
  return ids.flatMap((id, i) => subsets(ids.slice(i + 1), size - 1).map((rest) => [id, ...rest]));
}

/**
 * Check a certificate's claim that no `touched` ingredients can do it, by arithmetic alone: each set needs, in
 * each cell, a refutation that covers it. Sets that were emptied by trying pours are returned for the caller
 * to try as well. Throws on any gap or false multiplier.
 */
export function checkRefutations(
  certificate: SolveCertificate,
  movable: string[],
  touched: number,
): string[][] {
  const rows = new Map(certificate.rows!.map((r) => [r.row, r]));
  const ranges = new Map(certificate.ranges!.map((r) => [r.ingredient, r]));
  /** The most that each ingredient can lower λA·Δ, and λb; refuted when the gains chosen cannot reach λb. */
  const reading = certificate.refutations.map((r) => {
    const gain = new Map<string, number>(movable.map((id) => [id, 0]));
    let limit = 0;
    const cells = new Set([r.cell]);
    for (const { row, value } of r.multipliers) {
      if (!(value >= 0)) throw new Error(`negative multiplier on ${row}`);
      cells.add(rows.get(row)!.cell);
      limit += value * rows.get(row)!.limit;
    }
    if (cells.size > 1) throw new Error("a refutation mixes cells");
    for (const id of movable) {
      let c = 0;
      for (const { row, value } of r.multipliers) {
        c += value * rows.get(row)!.coefficients.find((x) => x.ingredient === id)!.value;
      }
      const { minMl, maxMl } = ranges.get(id)!;
      gain.set(id, Math.min(0, c * minMl, c * maxMl));
    }
    return { r, gain, limit };
  });
  const refutes = (entry: (typeof reading)[number], set: string[]) =>
    set.reduce((sum, id) => sum + entry.gain.get(id)!, 0) > entry.limit;
  const cells = Array.from({ length: certificate.cells }, (_, k) => k);
  const tried: string[][] = [];
  for (const set of subsets(movable, touched)) {
    for (const cell of cells) {
      const byMultiplier = reading.some(
        (e) =>
          e.r.cell === cell &&
          e.r.touched >= touched &&
          (e.r.covers === "all" || e.r.covers.some((c) => set.every((id) => c.includes(id)))) &&
          refutes(e, set),
      );
      if (byMultiplier) continue;
      // Trying every pour of a set tried leaving some of it alone.
      const byTrying = certificate.refutations.some(
        (r) =>
          r.cell === cell &&
          r.multipliers.length === 0 &&
          r.covers !== "all" &&
          r.covers.some((c) => set.every((id) => c.includes(id))),
      );
      if (!byTrying) throw new Error(`nothing refutes ${set.join(" with ")} in cell ${cell}`);
      tried.push(set);
    }
  }
  return tried;
}
