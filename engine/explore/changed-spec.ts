import { amountOnLadder } from "../amounts/format-amount.ts";
import { rungsBetween } from "../amounts/ladder.ts";
import { toVolumeMl } from "../amounts/units.ts";
import { toPoint } from "../axes.ts";
import { finishSpec, prepareSpec } from "../place/prepare-spec.ts";
import { type PouringContext, withMeasuredRatio } from "../solve/poured-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { Spec, SpecLine } from "../types.ts";

/** What amounts are read with. */
export type Reading = Pick<SolveRequest, "pantry" | "unitSettings">;
type Measured = Reading & Pick<SolveRequest, "spec">;

/** Every amount of a spec so many times. */
export function timesAll(spec: Spec, factor: number): Spec {
  return { ...spec, lines: spec.lines.map((line) => ({ ...line, amount: line.amount * factor })) };
}

/** Volume of one line of a request's spec, mL. Throws EngineError for an amount that cannot be read. */
function lineMl(request: Reading, line: SpecLine): number {
  const ingredient = request.pantry.get(line.ingredient);
  return toVolumeMl(line.amount, line.unit, { settings: request.unitSettings, ingredient }).ml;
}

/** Volume of one ingredient over all its lines, mL; of the whole spec when none is named. */
export function pouredMl(request: Measured, ingredient?: string): number {
  return request.spec.lines
    .filter((line) => ingredient === undefined || line.ingredient === ingredient)
    .reduce((sum, line) => sum + lineMl(request, line), 0);
}

/** Where a spec sits, as a vector and a point, and its finished volume in mL. */
export function pointOf(request: Reading, spec: Spec) {
  const { point: vector, finishedVolumeMl } = finishSpec(spec, request.pantry, request);
  return { vector, point: toPoint(vector), finishedVolumeMl };
}

/** A spec where it sits. */
export type PlacedSpec = ReturnType<typeof pointOf>;

/**
 * A changed spec with a dilution that still holds: a measured glass was measured on the old pours, so what
 * carries over is its water per mL poured with ice.
 */
export function keepMeasuredRatio(request: Measured, changed: Spec): Spec {
  return withMeasuredRatio(request, prepareSpec(request.spec, request.pantry, request).model, changed);
}

/** The ladder's rungs of an ingredient in a range, mL, as far as the request's own bound on it lets them. */
export function rungsOf(
  { bounds, ladder, pantry, unitSettings }: SolveRequest,
  id: string,
  leastMl: number,
  mostMl: number,
): number[] {
  const bound = bounds?.find(({ ingredient }) => ingredient === id);
  const from = Math.max(bound?.minMl ?? 0, leastMl);
  const to = Math.min(bound?.maxMl ?? Number.POSITIVE_INFINITY, mostMl);
  return rungsBetween(from, to, ladder, pantry.get(id), unitSettings);
}

/**
 * The request's spec with `to` in place of `from` (pantry ids), volume for volume. A gram or a piece of
 * another ingredient is another volume, and it may have no piece at all, so lines in those units are
 * written anew in what the ladder measures; the rest keep their amount and unit.
 */
export function swapIngredient(request: PouringContext, from: string, to: string): Spec {
  const { spec, pantry, ladder, unitSettings: settings } = request;
  const anew = (line: SpecLine) =>
    amountOnLadder(lineMl(request, line), ladder, { settings, ingredient: pantry.get(to) });
  const lines = spec.lines.map((line) => {
    if (line.ingredient !== from) return line;
    const isItsOwn = line.unit === "g" || line.unit === "piece";
    return { ...line, ingredient: to, ...(isItsOwn && anew(line)) };
  });
  return { ...spec, lines };
}
