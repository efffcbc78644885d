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

/**
 * Check a certificate's leaves by arithmetic alone: in each cell their boxes hold every pour once, and none of them
 * has a pour that could cost less than `cost` (all of them empty: +∞). `isCheaper` of the pours of a leaf without
 * coefficients is for the caller to try. Throws on a gap; returns how many leaves were shown by numbers, and the
 * boxes to try.
 */
export function checkLeaves(
  { leaves }: SolveCertificate,
  choices: readonly (readonly number[])[],
  cost: number,
  touched: number,
): { shown: number; toTry: { low: number[]; high: number[] }[] } {
  if (!leaves) throw new Error("the certificate has no leaves");
  const { cells, weights, boxes } = leaves;
  const within = (low: number, high: number, i: number) =>
    choices[i]!.filter((d) => d >= low - 1e-9 && d <= high + 1e-9);
  const total = choices.reduce((n, c) => n * c.length, 1);
  const toTry: { low: number[]; high: number[] }[] = [];
  // Where every cost is a whole multiple of a step, a bound above the next cheaper multiple is as good.
  const step = choices.flatMap((c, i) => c.map((d) => Math.abs(d) * weights[i]!)).reduce(divisor, 0);
  const enough = step > 0.05 ? cost - step + 1e-6 : cost - 1e-6;
  let shown = 0;
  for (let cell = 0; cell < cells; cell += 1) {
    const own = boxes.filter((leaf) => leaf.cell === cell);
    const held = own.reduce(
      (sum, leaf) =>
        sum + choices.reduce((n, _, i) => n * within(leaf.leastMl[i]!, leaf.mostMl[i]!, i).length, 1),
      0,
    );
    if (held !== total) throw new Error(`cell ${cell}: the leaves hold ${held} pours of ${total}`);
    for (const [k, a] of own.entries()) {
      for (const b of own.slice(k + 1)) {
        const apart = choices.some(
          (_, i) => a.leastMl[i]! > b.mostMl[i]! + 1e-9 || b.leastMl[i]! > a.mostMl[i]! + 1e-9,
        );
        if (!apart) throw new Error(`cell ${cell}: two leaves overlap`);
      }
    }
    for (const { leastMl, mostMl, coefficients, limit, isEmpty } of own) {
      if (coefficients === null) {
        toTry.push({ low: leastMl, high: mostMl });
        continue;
      }
      // The least over the box, amount by amount: convex and piecewise linear, so at an end or at 0. Of the amounts
      // that may stay as they are, at most `touched` less the others take what they gain.
      let sum = -limit;
      let forced = 0;
      const gains: number[] = [];
      for (const [i, c] of coefficients.entries()) {
        const [lo, hi] = [leastMl[i]!, mostMl[i]!];
        const at = (d: number) => (isEmpty ? 0 : weights[i]! * Math.abs(d)) + c * d;
        if (lo > 0 || hi < 0) {
          sum += Math.min(at(lo), at(hi));
          forced += 1;
        } else gains.push(Math.min(0, at(lo), at(hi)));
      }
      gains.sort((x, y) => x - y);
      sum += gains.slice(0, Math.max(0, touched - forced)).reduce((s, gain) => s + gain, 0);
      const isShown = forced > touched || (isEmpty ? sum > 0 : sum >= enough);
      if (!isShown) throw new Error(`cell ${cell}: a leaf is bounded by ${sum} only, not ${cost}`);
      shown += 1;
    }
  }
  return { shown, toTry };
}

/** Greatest common divisor of two lengths, to 1e-7. */
function divisor(x: number, y: number): number {
  let [a, b] = [Math.max(x, y), Math.min(x, y)];
  while (b > 1e-7) {
    const rest = a % b;
    [a, b] = [b, b - rest < 1e-7 ? 0 : rest];
  }
  return a;
}
