import { amountOnLadder } from "../amounts/format-amount.ts";
import { measuredLine } from "../amounts/line.ts";
import { type PreparedSpec, prepareSpec } from "../place/prepare-spec.ts";
import { SAME_POUR_ML } from "../tolerances.ts";
import type { Spec, SpecLine } from "../types.ts";
import type { SolveRequest } from "./request.ts";

/** What a spec is written with: the pantry, the tools, and what may be let in. */
export type PouringContext = Pick<SolveRequest, "spec" | "pantry" | "ladder" | "unitSettings" | "additions">;

/** Ingredient ids of what may be poured: the spec's lines, then the additions it does not hold yet. */
export function pouredIds({ spec, additions }: Pick<SolveRequest, "spec" | "additions">): string[] {
  const lines = spec.lines.map((line) => line.ingredient);
  return [...lines, ...new Set((additions ?? []).filter((id) => !lines.includes(id)))];
}

/**
 * Line i of the spec with these mL of it: as it is where they are what it has, else in what the ladder measures;
 * null when it is left out. A topping keeps its doubt in mL.
 */
export function pouredLine(
  context: PouringContext,
  prepared: Pick<PreparedSpec, "volumesMl">,
  i: number,
  ml: number,
): SpecLine | null {
  const { spec, ladder, pantry, unitSettings: settings } = context;
  const old = spec.lines[i];
  if (old && Math.abs(ml - (prepared.volumesMl[i] ?? 0)) < SAME_POUR_ML) return { ...old };
  const ingredient = pouredIds(context)[i];
  if (ml === 0 || ingredient === undefined) return null;
  const poured = amountOnLadder(ml, ladder, { settings, ingredient: pantry.get(ingredient) });
  if (!old) return { ingredient, ...poured };
  const { stage, amountSdPercent } = old;
  const line = measuredLine(old, poured);
  // What tops a glass by eye goes on doing so: to measure it is advice, not a change of the drink.
  if (stage !== "top" || amountSdPercent === undefined) return line;
  return { ...line, amountSdPercent: (amountSdPercent * (prepared.volumesMl[i] ?? ml)) / ml };
}

/**
 * The spec for these volumes (mL; lines, then additions): lines left out go, additions come last. A measured
 * glass was measured on the old pours: what carries over is its water per mL poured with ice.
 */
export function pouredSpec(
  context: PouringContext,
  prepared: Pick<PreparedSpec, "model" | "volumesMl">,
  volumesMl: readonly number[],
): Spec {
  const lines = volumesMl.flatMap((ml, i) => pouredLine(context, prepared, i, ml) ?? []);
  return withMeasuredRatio(context, prepared.model, { ...context.spec, lines });
}

/**
 * A changed spec with a dilution that still holds. A model's choice stays as it is; of a measured glass the
 * water per mL poured with ice is kept.
 */
export function withMeasuredRatio(
  { spec: { dilution }, pantry, unitSettings }: Pick<SolveRequest, "spec" | "pantry" | "unitSettings">,
  measuredOn: PreparedSpec["model"],
  changed: Spec,
): Spec {
  if (dilution?.model !== "measured") return changed;
  const { model, volumesMl } = prepareSpec({ ...changed, dilution: undefined }, pantry, { unitSettings });
  const mixPouredMl = volumesMl.reduce((sum, v, i) => sum + (model.stages[i] === "mix" ? v : 0), 0);
  const waterMl = measuredOn.dilution.a0 * mixPouredMl;
  return { ...changed, dilution: { model: "measured", waterMl, sdMl: dilution.sdMl } };
}
