import type { MeltLine } from "../dilution/melt.ts";
import type { Pantry, Spec, UnitSettings } from "../types.ts";
import { prepareSpec } from "./prepare-spec.ts";

/**
 * A spec's lines as `meltOverTime` follows them.
 *
 * @throws EngineError as `prepareSpec`
 */
export function meltLinesOf(
  spec: Spec,
  pantry: Pantry,
  options: { unitSettings?: UnitSettings } = {},
): MeltLine[] {
  const { model, volumesMl } = prepareSpec(spec, pantry, options);
  return model.ingredients.map((ingredient, i) => ({
    ingredient,
    stage: model.stages[i]!,
    volumeMl: volumesMl[i]!,
  }));
}
