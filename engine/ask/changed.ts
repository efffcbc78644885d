import { formatAmount } from "../amounts/format-amount.ts";
import { measuredLine } from "../amounts/line.ts";
import { fromVolumeMl, toVolumeMl } from "../amounts/units.ts";
import { fail } from "../errors.ts";
import { keepMeasuredRatio, pouredMl, swapIngredient, timesAll } from "../explore/changed-spec.ts";
import type { PouringContext } from "../solve/poured-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { Ingredient, Spec, SpecLine } from "../types.ts";
import type { WhatIfChange } from "./intent.ts";

/** The ingredient with this id. @throws EngineError at `pointer` */
export function known(request: Pick<SolveRequest, "pantry">, id: string, pointer: string): Ingredient {
  return (
    request.pantry.get(id) ??
    fail(pointer, `"${id}" is not in the pantry`, "use an id from the pantry, or add your own ingredient")
  );
}

/** The spec with all of one ingredient on one line of `ml`, in the line's or the ladder's unit; 0 leaves it out. */
export function withAmountOf(request: PouringContext, id: string, ml: number): Spec {
  const { spec, pantry, ladder, unitSettings: settings } = request;
  const at = spec.lines.findIndex((line) => line.ingredient === id);
  const kept = spec.lines.filter((line, i) => line.ingredient !== id || i === at);
  if (ml === 0) return { ...spec, lines: kept.filter((line) => line.ingredient !== id) };
  const old = spec.lines[at];
  const unit = old?.unit ?? ladder.displayUnit;
  const amount = fromVolumeMl(ml, unit, { settings, ingredient: pantry.get(id) });
  const line: SpecLine = old ? measuredLine(old, { amount, unit }) : { ingredient: id, amount, unit };
  return { ...spec, lines: old ? kept.map((l) => (l.ingredient === id ? line : l)) : [...kept, line] };
}

/**
 * The same; a measured glass keeps its water per mL poured, as it was measured on `measuredOn` (default: the
 * request's spec). The amount the drink has already changes nothing.
 */
export function specWith(request: SolveRequest, id: string, ml: number, measuredOn = request): Spec {
  if (ml === pouredMl(request, id)) return request.spec;
  const changed = withAmountOf(request, id, ml);
  return changed.lines.length > 0 ? keepMeasuredRatio(measuredOn, changed) : changed;
}

/**
 * The spec with one change of a what-if made.
 *
 * @throws EngineError at `pointer` for an ingredient that is not there, or more taken away than there is
 */
export function changedBy(change: WhatIfChange, request: SolveRequest, pointer: string): Spec {
  const { spec } = request;
  if ("method" in change) return { ...spec, method: change.method };
  if ("scale" in change) return timesAll(spec, factorOf(change.scale, `${pointer}/scale`));
  const ingredient = known(request, change.ingredient, `${pointer}/ingredient`);
  const held = spec.lines.some((line) => line.ingredient === change.ingredient);
  if ("swapFor" in change) {
    known(request, change.swapFor, `${pointer}/swapFor`);
    return held
      ? swapIngredient(request, change.ingredient, change.swapFor)
      : notInDrink(ingredient, pointer);
  }
  const presentMl = pouredMl(request, change.ingredient);
  const toMl = amountAfter(change, presentMl, ingredient, request, pointer);
  if (!held && !(toMl > 0)) notInDrink(ingredient, pointer);
  if (toMl < -1e-9) {
    const has = formatAmount(presentMl, request.ladder, { settings: request.unitSettings, ingredient });
    fail(
      `${pointer}/by`,
      `the drink holds only ${has} of ${ingredient.name}`,
      "take away less, or leave it out",
    );
  }
  return withAmountOf(request, change.ingredient, Math.max(0, toMl));
}

function amountAfter(
  change: Exclude<WhatIfChange, { scale: number } | { method: unknown } | { swapFor: string }>,
  presentMl: number,
  ingredient: Ingredient,
  { unitSettings: settings }: SolveRequest,
  pointer: string,
): number {
  if ("times" in change) return presentMl * factorOf(change.times, `${pointer}/times`);
  const said = "to" in change ? change.to : change.by;
  const size = toVolumeMl(Math.abs(said.amount), said.unit, { settings, ingredient, pointer }).ml;
  return Math.sign(said.amount) * size + ("to" in change ? 0 : presentMl);
}

function factorOf(factor: number, pointer: string): number {
  if (factor > 0 && Number.isFinite(factor)) return factor;
  return fail(pointer, `${factor} is not above 0`, "give a number such as 2");
}

function notInDrink({ name }: Ingredient, pointer: string): never {
  return fail(
    `${pointer}/ingredient`,
    `${name} is not in this drink`,
    "name an ingredient of the drink, or add some",
  );
}
