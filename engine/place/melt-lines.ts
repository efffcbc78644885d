import type { MeltLine } from "../dilution/melt.ts";
import type { Pantry, Spec } from "../types.ts";
import { type PrepareOptions, prepareSpec } from "./prepare-spec.ts";

/**
 * A spec's lines as `meltOverTime` follows them.
 *
 * @throws EngineError as `prepareSpec`
 */
export function meltLinesOf(spec: Spec, pantry: Pantry, options: PrepareOptions = {}): MeltLine[] {
  const { model, volumesMl } = prepareSpec(spec, pantry, options);
  return model.ingredients.map((ingredient, i) => ({
    ingredient,
    stage: model.stages[i]!,
    volumeMl: volumesMl[i]!,
  }));
}
