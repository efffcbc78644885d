import { prepareSpec } from "../place/prepare-spec.ts";
import { POUR_TOLERANCE_ML } from "../tolerances.ts";
import type { Pantry, Spec, UnitSettings, Vec3 } from "../types.ts";

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
  const isHeld = spec.lines.some((line) => line.ingredient === ingredient);
  const beside = { ...spec, lines: [...spec.lines, { ingredient, amount: 0, unit: "ml" as const }] };
  const { model, volumesMl: poured } = prepareSpec(isHeld ? spec : beside, pantry, { unitSettings });
  const varied = beside.lines.findIndex((line) => line.ingredient === ingredient);
  return volumesMl.flatMap((ml) => {
    const pours = poured.with(varied, ml);
    return pours.some((v) => v > POUR_TOLERANCE_ML) ? [model.finish(pours).point] : [];
  });
}
