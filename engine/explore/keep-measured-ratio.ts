import { prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { Spec } from "../types.ts";

/**
 * A changed spec with a dilution that still holds. A model's choice stays as it is; a measured glass was
 * measured on the old pours, so what carries over is its water per mL poured with ice (as in the solver).
 */
export function keepMeasuredRatio(
  request: Pick<SolveRequest, "spec" | "pantry" | "unitSettings">,
  changed: Spec,
): Spec {
  const { dilution } = request.spec;
  if (dilution?.model !== "measured") return changed;
  const options = { unitSettings: request.unitSettings };
  const old = prepareSpec(request.spec, request.pantry, options);
  const { model, volumesMl } = prepareSpec({ ...changed, dilution: undefined }, request.pantry, options);
  const mixPouredMl = volumesMl.reduce((sum, v, i) => sum + (model.stages[i] === "mix" ? v : 0), 0);
  const { sdMl } = dilution;
  return {
    ...changed,
    dilution: { model: "measured", waterMl: old.model.dilution.a0 * mixPouredMl, sdMl },
  };
}
