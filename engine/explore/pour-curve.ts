import { prepareSpec } from "../place/prepare-spec.ts";
import type { Pantry, Spec, UnitSettings, Vec3 } from "../types.ts";

/** Less than this, mL, is not poured at all. */
const NOTHING_ML = 1e-9;

/**
 * Where a drink goes as one ingredient's amount is varied, everything else held: one point (axis units) for
 * each volume in `volumesMl`. An ingredient the spec lacks is poured beside it; one on several lines is varied
 * on the first, the others held. A measured glass keeps its water per mL poured.
 *
 * @throws EngineError for a spec that cannot be placed, or one of which nothing is left
 */
export function pourCurve(
  spec: Spec,
  pantry: Pantry,
  ingredient: string,
  volumesMl: readonly number[],
  unitSettings?: UnitSettings,
): Vec3[] {
  const at = spec.lines.findIndex((line) => line.ingredient === ingredient);
  const whole: Spec =
    at >= 0 ? spec : { ...spec, lines: [...spec.lines, { ingredient, amount: 0, unit: "ml" }] };
  const { model, volumesMl: poured } = prepareSpec(whole, pantry, unitSettings ? { unitSettings } : {});
  const index = at >= 0 ? at : whole.lines.length - 1;
  return volumesMl.flatMap((ml) => {
    const pours = poured.map((old, i) => (i === index ? ml : old));
    return pours.some((v) => v > NOTHING_ML) ? [model.finish(pours).point] : [];
  });
}
