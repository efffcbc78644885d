import { amountOnLadder } from "../amounts/format-amount.ts";
import { toVolumeMl } from "../amounts/units.ts";
import { toPoint } from "../axes.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import { withMeasuredRatio } from "../solve/poured-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { Spec, SpecLine } from "../types.ts";

/** Volume of one line of a request's spec, mL. Throws EngineError for an amount that cannot be read. */
export function lineMl(request: Pick<SolveRequest, "pantry" | "unitSettings">, line: SpecLine): number {
  const ingredient = request.pantry.get(line.ingredient);
  return toVolumeMl(line.amount, line.unit, { settings: request.unitSettings, ingredient }).ml;
}

/** Volume of one ingredient over all its lines, mL; of the whole spec when none is named. */
export function pouredMl(
  request: Pick<SolveRequest, "spec" | "pantry" | "unitSettings">,
  ingredient?: string,
): number {
  return request.spec.lines
    .filter((line) => ingredient === undefined || line.ingredient === ingredient)
    .reduce((sum, line) => sum + lineMl(request, line), 0);
}

/** Where a spec sits, as a vector and a point, and its finished volume in mL. */
export function pointOf(request: Pick<SolveRequest, "pantry" | "unitSettings">, spec: Spec) {
  const { model, volumesMl } = prepareSpec(spec, request.pantry, { unitSettings: request.unitSettings });
  const { point: vector, finishedVolumeMl } = model.finish(volumesMl);
  return { vector, point: toPoint(vector), finishedVolumeMl };
}

/**
 * A changed spec with a dilution that still holds: a measured glass was measured on the old pours, so what
 * carries over is its water per mL poured with ice.
 */
export function keepMeasuredRatio(
  request: Pick<SolveRequest, "spec" | "pantry" | "unitSettings">,
  changed: Spec,
): Spec {
  const { spec, pantry, unitSettings } = request;
  return withMeasuredRatio(request, prepareSpec(spec, pantry, { unitSettings }).model, changed);
}

/**
 * The request's spec with `to` in place of `from` (pantry ids), volume for volume. A gram or a piece of
 * another ingredient is another volume, and it may have no piece at all, so lines in those units are
 * written anew in what the ladder measures; the rest keep their amount and unit.
 */
export function swapIngredient(
  request: Pick<SolveRequest, "spec" | "pantry" | "ladder" | "unitSettings">,
  from: string,
  to: string,
): Spec {
  const { spec, pantry, ladder, unitSettings: settings } = request;
  const anew = (line: SpecLine) => {
    return amountOnLadder(lineMl(request, line), ladder, { settings, ingredient: pantry.get(to) });
  };
  const lines = spec.lines.map((line) => {
    if (line.ingredient !== from) return line;
    const isItsOwn = line.unit === "g" || line.unit === "piece";
    return { ...line, ingredient: to, ...(isItsOwn && anew(line)) };
  });
  return { ...spec, lines };
}
