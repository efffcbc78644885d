import { amountOnLadder } from "../amounts/format-amount.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { Spec, SpecLine } from "../types.ts";
import { lineMl } from "./poured.ts";

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
