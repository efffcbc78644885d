import { toVolumeMl } from "../amounts/units.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { SpecLine } from "../types.ts";

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
