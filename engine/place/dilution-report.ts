import { energyBalance, energyRatioSd } from "../dilution/energy-balance.ts";
import { measuredWater } from "../dilution/measured.ts";
import { METHODS } from "../dilution/methods.ts";
import { type Finished, iceConditions, type MixModel, mixStageTotals } from "../dilution/model.ts";
import { regressionRatio } from "../dilution/regression.ts";
import { fail } from "../errors.ts";
import { SMALLEST_POUR_ML, type Totals, totalsOf } from "../mix/totals.ts";
import type { Calibration, DilutionChoice, DilutionEstimate, DilutionReport, Method } from "../types.ts";

/**
 * Both models of the water from ice side by side, and which one the drink was placed with.
 *
 * The temperature comes from the energy balance whichever is used, as the regression has none.
 */
export function dilutionReport(
  model: MixModel,
  volumesMl: readonly number[],
  finished: Finished,
  choice: DilutionChoice = { model: "regression" },
): DilutionReport {
  const { method } = model;
  const definition = METHODS[method];
  const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
  const regression = regressionEstimate(method, mix, choice);
  const energy = energyEstimate(method, mix, choice);
  const base = { waterMl: finished.waterMl, ratio: finished.ratio, regression, energy };
  const finalTempC = energy?.finalTempC ?? null;

  if (choice.model === "measured") {
    const { sdMl } = measuredWater(totalsOf(model.coeffs, volumesMl), choice);
    return {
      ...base,
      used: "measured",
      ratioSd: mix.pouredMl >= SMALLEST_POUR_ML ? sdMl / mix.pouredMl : 0,
      finalTempC,
      reason: "You measured the finished drink, so the measurement replaces both models.",
    };
  }
  if (definition.kind === "exact" || !(mix.pouredMl >= SMALLEST_POUR_ML)) {
    return {
      ...base,
      used: "none",
      ratioSd: 0,
      finalTempC: null,
      reason:
        definition.kind === "exact"
          ? "This method uses no ice, so no water is added."
          : "Every line goes in after the ice, so no water is added.",
    };
  }
  if (choice.model === "energy") {
    return {
      ...base,
      used: "energy",
      ratioSd: energy!.ratioSd,
      finalTempC,
      reason: `You chose the energy balance${words(choice.calibration)}; the regression is shown beside it.`,
    };
  }
  return {
    ...base,
    used: "regression",
    ratioSd: regression!.ratioSd,
    finalTempC,
    reason: regressionReason(method, choice.calibration, energy !== null),
  };
}

/**
 * Standard uncertainty of the water a drink was placed with, mL per mL poured with ice: the report's
 * `ratioSd` alone, without working out the model that is only shown beside it.
 */
export function usedRatioSd(
  model: MixModel,
  volumesMl: readonly number[],
  choice: DilutionChoice = { model: "regression" },
): number {
  const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
  if (!(mix.pouredMl >= SMALLEST_POUR_ML)) return 0;
  if (choice.model === "measured") {
    return measuredWater(totalsOf(model.coeffs, volumesMl), choice).sdMl / mix.pouredMl;
  }
  if (METHODS[model.method].kind === "exact") return 0;
  const estimate = choice.model === "energy" ? energyEstimate : regressionEstimate;
  return estimate(model.method, mix, choice)!.ratioSd;
}

function regressionReason(method: Method, calibration: Calibration | undefined, hasEnergy: boolean): string {
  const { kind, name } = METHODS[method];
  const what =
    kind === "published"
      ? "The published regression is used: it rests on measured drinks and needs no temperatures"
      : `No published curve was found for "${name.toLowerCase()}"; our own wide estimate is used`;
  const beside = hasEnergy ? " The energy balance is beside it and gives the temperature." : "";
  return `${what}${words(calibration)}.${beside} Measure your own glass to replace it.`;
}

function words(calibration: Calibration | undefined): string {
  if (calibration === undefined) return "";
  const rounds = calibration.n === 1 ? "1 measured round" : `${calibration.n} measured rounds`;
  return `, scaled by ${calibration.factor.toFixed(2)} from your ${rounds}`;
}

function regressionEstimate(method: Method, mix: Totals, choice: DilutionChoice): DilutionEstimate | null {
  const { sd, kind, source } = METHODS[method];
  if (kind === "exact" || !(mix.pouredMl >= SMALLEST_POUR_ML)) return null;
  const raw = regressionRatio(method, mix.ethanolMl / mix.pouredMl);
  const { ratio, ratioSd } = calibrated(
    raw,
    sd,
    choice.model === "regression" ? choice.calibration : undefined,
  );
  return {
    ratio,
    ratioSd,
    waterMl: ratio * mix.pouredMl,
    finalTempC: null,
    source,
    ...(kind === "estimate" && { note: "our estimate, not a published curve" }),
  };
}

function energyEstimate(method: Method, mix: Totals, choice: DilutionChoice): DilutionEstimate | null {
  const own = choice.model === "energy" ? choice.conditions : undefined;
  const conditions = iceConditions(method, own);
  if (conditions === null || !(mix.pouredMl >= SMALLEST_POUR_ML)) return null;
  const balance = energyBalance(mix, conditions);
  const { ratio, ratioSd } = calibrated(
    balance.ratio,
    energyRatioSd(mix, conditions),
    choice.model === "energy" ? choice.calibration : undefined,
  );
  return {
    ratio,
    ratioSd,
    waterMl: ratio * mix.pouredMl,
    finalTempC: balance.finalTempC,
    source: own
      ? "energy balance with ice, your conditions over the usual ones"
      : "energy balance with ice, usual conditions (estimates)",
    ...(balance.limit !== "temperature" && { note: balance.limit }),
  };
}

/** A calibration's sd is relative to the uncalibrated model and predictive: it replaces the model's own. */
function calibrated(ratio: number, ratioSd: number, calibration: Calibration | undefined) {
  if (calibration === undefined) return { ratio, ratioSd };
  if (!(calibration.sd >= 0 && Number.isFinite(calibration.sd))) {
    fail(
      "/dilution/calibration/sd",
      `${calibration.sd} is not a number of at least 0`,
      "leave the calibration out, or measure again",
    );
  }
  return { ratio: ratio * calibration.factor, ratioSd: ratio * calibration.sd };
}
