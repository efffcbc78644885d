import { METHODS } from "../dilution/methods.ts";
import type { Finished, MixModel } from "../dilution/model.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import type { DilutionReport } from "../types.ts";

/**
 * Strengths of the undiluted mix at which the published curves are trusted. The fitted range was
 * not read; this is our judgement from the drinks that the author reports.
 */
const REGRESSION_STRENGTH = [0.1, 0.5] as const;

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
  let mixMl = 0;
  let mixEthanolMl = 0;
  model.ingredients.forEach((ingredient, i) => {
    const c = model.coeffs[i]!;
    if (model.stages[i] === "mix") {
      mixMl += volumesMl[i]!;
      mixEthanolMl += c.ethanolMl * volumesMl[i]!;
    }
    if (seen.has(ingredient.id)) return;
    seen.add(ingredient.id);
    const density = ingredient.densityGPerMl?.value;
    if (density !== undefined && c.massG > density * 1.0001) {
      warnings.push(
        `${ingredient.name}: its parts weigh ${((100 * c.massG) / density - 100).toFixed(1)} % more than its density allows; the sources disagree`,
      );
    }
  });

  const strength = mixMl >= SMALLEST_POUR_ML ? mixEthanolMl / mixMl : 0;
  if (
    dilution.used === "regression" &&
    METHODS[model.method].kind === "published" &&
    (strength < REGRESSION_STRENGTH[0] || strength > REGRESSION_STRENGTH[1])
  ) {
    warnings.push(
      `The mix is ${(100 * strength).toFixed(0)} % vol before ice, outside the 10–50 % where we trust the dilution curve`,
    );
  }

  const { regression, energy } = dilution;
  const apart = (a: { ratio: number; ratioSd: number }, b: { ratio: number; ratioSd: number }) =>
    Math.abs(a.ratio - b.ratio) > DISAGREEMENT_SDS * Math.hypot(a.ratioSd, b.ratioSd);
  if (dilution.used === "measured" && regression && apart(dilution, regression)) {
    warnings.push(
      `Measured water is ${dilution.waterMl.toFixed(0)} mL where the model expects ${regression.waterMl.toFixed(0)} mL; check the measurement and the pours`,
    );
  } else if (regression && energy && dilution.used !== "measured" && apart(regression, energy)) {
    warnings.push(
      `The two dilution models disagree: ${regression.waterMl.toFixed(0)} mL by the curve, ${energy.waterMl.toFixed(0)} mL by the energy balance; measure the glass`,
    );
  }
  if (dilution.used === "energy" && energy?.note === "all ice melted") {
    warnings.push("All the ice melts before the drink is cold; use more ice");
  }
  if (dilution.used === "energy" && energy?.note === "no ice melted") {
    warnings.push("No ice melts: the mix starts too cold, and only water already on the ice goes in");
  }

  const pouredAbv = (100 * finished.totals.ethanolMl) / finished.totals.pouredMl;
  if (finished.point[2] > pouredAbv * (1 + 1e-9) && pouredAbv > 0) {
    warnings.push(
      `Finished ABV is above the ${pouredAbv.toFixed(1)} % of the pours: they contract (or dry sugar dissolves) by more than the water added`,
    );
  }
  return warnings;
}
