import { type Finished, type MixModel, mixStageTotals } from "../dilution/model.ts";
import { coefficientsOf } from "../mix/coefficients.ts";
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
  for (const ingredient of new Set(model.ingredients)) {
    const { massG } = coefficientsOf(ingredient);
    const density = ingredient.densityGPerMl?.value;
    if (density !== undefined && massG > density * 1.0001) {
      warnings.push(
        `${ingredient.name}: its parts weigh ${((100 * massG) / density - 100).toFixed(1)} % more than its density allows; the sources disagree`,
      );
    }
  }

  const { regression, energy, used, because } = dilution;
  const apart = (a: { ratio: number; ratioSd: number }, b: { ratio: number; ratioSd: number }) =>
    Math.abs(a.ratio - b.ratio) > DISAGREEMENT_SDS * Math.hypot(a.ratioSd, b.ratioSd);
  if (used === "measured" && regression && apart(dilution, regression)) {
    warnings.push(
      `Measured water is ${dilution.waterMl.toFixed(0)} mL where the model expects ${regression.waterMl.toFixed(0)} mL; check the measurement and the pours`,
    );
  }
  if (because === "outside-curve") {
    const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
    const strength = (100 * mix.ethanolMl) / mix.pouredMl;
    warnings.push(
      `The mix is ${strength.toFixed(0)} % vol before ice, outside the 10–50 % where we trust the dilution curve; measure the finished drink`,
    );
  }
  if (because === "ice-runs-out") warnings.push("All the ice melts before the drink is cold; use more ice");
  if (because === "ice-stays-whole")
    warnings.push("No ice melts: the mix starts too cold, and only water already on the ice goes in");
  if (because === "unusual-size" && used === "regression" && regression && energy) {
    // Ice and vessel weigh more on a small mix, less on a large one.
    const size = energy.waterMl > regression.waterMl ? "small" : "large";
    warnings.push(
      `The curve gives ${regression.waterMl.toFixed(0)} mL of water; corrected for so ${size} a mix it is ${energy.waterMl.toFixed(0)} mL, which is the figure to trust`,
    );
  }

  const pouredAbv = (100 * finished.totals.ethanolMl) / finished.totals.pouredMl;
  if (finished.point[2] > pouredAbv * (1 + 1e-9) && pouredAbv > 0) {
    warnings.push(
      `Finished ABV is above the ${pouredAbv.toFixed(1)} % of the pours: they contract (or dry sugar dissolves) by more than the water added`,
    );
  }
  return warnings;
}
