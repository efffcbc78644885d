import { type Finished, type MixModel, mixStageTotals } from "../dilution/model.ts";
import type { DilutionReport } from "../types.ts";

/** How many joint standard uncertainties two estimates of the water may differ before we say so. */
const DISAGREEMENT_SDS = 2;

/** What a careful reader should know before trusting a placement, in plain words. */
export function placementWarnings(
  model: MixModel,
  volumesMl: readonly number[],
  finished: Finished,
  dilution: DilutionReport,
): string[] {
  const warnings: string[] = [];
  const seen = new Set<string>();
  model.ingredients.forEach((ingredient, i) => {
    const c = model.coeffs[i]!;
    if (seen.has(ingredient.id)) return;
    seen.add(ingredient.id);
    const density = ingredient.densityGPerMl?.value;
    if (density !== undefined && c.massG > density * 1.0001) {
      warnings.push(
        `${ingredient.name}: its parts weigh ${((100 * c.massG) / density - 100).toFixed(1)} % more than its density allows; the sources disagree`,
      );
    }
  });

  const { regression, energy } = dilution;
  const apart = (a: { ratio: number; ratioSd: number }, b: { ratio: number; ratioSd: number }) =>
    Math.abs(a.ratio - b.ratio) > DISAGREEMENT_SDS * Math.hypot(a.ratioSd, b.ratioSd);
  if (dilution.used === "measured" && regression && apart(dilution, regression)) {
    warnings.push(
      `Measured water is ${dilution.waterMl.toFixed(0)} mL where the model expects ${regression.waterMl.toFixed(0)} mL; check the measurement and the pours`,
    );
  }
  switch (dilution.because) {
    case "outside-curve": {
      const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
      const strength = (100 * mix.ethanolMl) / mix.pouredMl;
      warnings.push(
        `The mix is ${strength.toFixed(0)} % vol before ice, outside the 10–50 % where we trust the dilution curve; measure the finished drink`,
      );
      break;
    }
    case "ice-runs-out":
      warnings.push("All the ice melts before the drink is cold; use more ice");
      break;
    case "ice-stays-whole":
      warnings.push("No ice melts: the mix starts too cold, and only water already on the ice goes in");
      break;
    case "unusual-size":
      if (dilution.used === "regression") {
        warnings.push(
          `The curve gives ${regression!.waterMl.toFixed(0)} mL of water; corrected for so ${mixIsSmall(regression!, energy!) ? "small" : "large"} a mix it is ${energy!.waterMl.toFixed(0)} mL, which is the figure to trust`,
        );
      }
      break;
  }

  const pouredAbv = (100 * finished.totals.ethanolMl) / finished.totals.pouredMl;
  if (finished.point[2] > pouredAbv * (1 + 1e-9) && pouredAbv > 0) {
    warnings.push(
      `Finished ABV is above the ${pouredAbv.toFixed(1)} % of the pours: they contract (or dry sugar dissolves) by more than the water added`,
    );
  }
  return warnings;
}

/** Ice and vessel weigh more on a small mix, less on a large one. */
const mixIsSmall = (curve: { waterMl: number }, corrected: { waterMl: number }) =>
  corrected.waterMl > curve.waterMl;
