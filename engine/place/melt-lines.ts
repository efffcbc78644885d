import type { MixModel } from "../dilution/model.ts";
import type { PouredLine } from "../dilution/temperature.ts";
import type { Pantry, Spec } from "../types.ts";
import { type PrepareOptions, prepareSpec } from "./prepare-spec.ts";

/** What is poured, line by line. */
export function pouredLines({ ingredients, stages }: MixModel, volumesMl: readonly number[]): PouredLine[] {
  return ingredients.map((ingredient, i) => ({ ingredient, stage: stages[i]!, volumeMl: volumesMl[i]! }));
}

/**
 * A spec's lines as `meltOverTime` follows them.
 *
 * @throws EngineError as `prepareSpec`
 */
export function meltLinesOf(spec: Spec, pantry: Pantry, options: PrepareOptions = {}): PouredLine[] {
  const { model, volumesMl } = prepareSpec(spec, pantry, options);
  return pouredLines(model, volumesMl);
}
