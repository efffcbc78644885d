import type { DilutionChoice, Spec } from "../types.ts";
import type { MixModel } from "./model.ts";

/**
 * The dilution choice that goes with changed pours. A model's choice stays as it is; a measured glass
 * was measured on other pours, so its water per mL poured is kept and the water scaled (mL).
 *
 * @param model the model of the spec that was measured
 * @param mixPouredMl mL poured into the mix stage after the change
 */
export function carriedDilution(
  spec: Spec,
  model: MixModel,
  mixPouredMl: number,
): DilutionChoice | undefined {
  if (spec.dilution?.model !== "measured" || model.dilution.kind !== "constant") return spec.dilution;
  const { sdMl } = spec.dilution;
  return {
    model: "measured",
    waterMl: model.dilution.ratio * mixPouredMl,
    ...(sdMl === undefined ? {} : { sdMl }),
  };
}
