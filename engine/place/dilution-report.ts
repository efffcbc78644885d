import { iceConditions } from "../dilution/conditions.ts";
import { heatCorrection } from "../dilution/heat-correction.ts";
import { measuredWater } from "../dilution/measured.ts";
import { METHODS } from "../dilution/methods.ts";
import {
  type Finished,
  type MixModel,
  mixStageTotals,
  type ResolvedDilution,
  waterFromIceMl,
} from "../dilution/model.ts";
import { CURVE_STRENGTH, curveRatioSd, regressionRatio } from "../dilution/regression.ts";
import { finishedTempC } from "../dilution/temperature.ts";
import { dilutionReason } from "../dilution/words.ts";
import { requireAtLeast0 } from "../errors.ts";
import { SMALLEST_POUR_ML, type Totals, totalsOf } from "../mix/totals.ts";
import type { Calibration, DilutionChoice, DilutionEstimate, DilutionReport, TrustReason } from "../types.ts";
import { pouredLines } from "./melt-lines.ts";

/** Share of a correction that is our doubt of it (estimate): masses and temperatures are guessed, not weighed. */
const CORRECTION_SD_SHARE = 0.25;

/** The method's curve and the curve corrected for heat, which one the drink was placed with, and which to trust. */
export function dilutionReport(
  model: MixModel,
  volumesMl: readonly number[],
  finished: Finished,
  choice: DilutionChoice = { model: "regression" },
): DilutionReport {
  const { method } = model;
  const mix = mixStageTotals(model.coeffs, model.stages, volumesMl);
  const hasIce = METHODS[method].kind !== "exact" && mix.pouredMl >= SMALLEST_POUR_ML;
  const regression = hasIce ? regressionEstimate(model, mix, choice) : null;
  const heated = hasIce ? heatedCurve(model, volumesMl, choice) : null;
  const energy = heated ? energyEstimate(model, heated, mix, volumesMl, choice) : null;
  const used = choice.model === "measured" ? "measured" : hasIce ? choice.model : "none";
  const because = reasonOf(used, { model, heated, mix, choice, regression, energy });
  const trust = TRUSTED[because] ?? used;
  // With no ice left, or none melting, the freezing point is not where the drink ends.
  const melting = hasIce && because !== "ice-runs-out" && because !== "ice-stays-whole";
  const temp = melting ? temperature(model, volumesMl, finished.waterMl, choice) : null;
  const calibration = choice.model === "measured" ? undefined : choice.calibration;
  return {
    used,
    ratio: finished.ratio,
    ratioSd: usedRatioSd(model, volumesMl, choice),
    waterMl: finished.waterMl,
    finalTempC: temp?.tempC ?? null,
    finalTempSdC: temp?.sdC ?? null,
    regression,
    energy,
    trust,
    because,
    reason: dilutionReason({ used, because }, method, calibration),
  };
}

/** What a reason says to trust, where it is not simply what is used. */
const TRUSTED: Partial<Record<TrustReason, DilutionReport["trust"]>> = {
  "own-conditions": "energy",
  "unusual-size": "energy",
  "outside-curve": "measure",
  "no-published-curve": "measure",
  "ice-runs-out": "measure",
  "ice-stays-whole": "measure",
};

interface Evidence {
  model: MixModel;
  heated: ResolvedDilution | null;
  mix: Totals;
  choice: DilutionChoice;
  regression: DilutionEstimate | null;
  energy: DilutionEstimate | null;
}

function reasonOf(used: DilutionReport["used"], evidence: Evidence): TrustReason {
  const { model, heated, mix, choice, regression, energy } = evidence;
  if (used === "measured") return "measured";
  if (used === "none") return "no-ice";
  const heat = used === "energy" ? heated?.heat : null;
  if (heat && energy && energy.waterMl >= heat.mostMl) return "ice-runs-out";
  if (heat && energy && energy.waterMl <= heat.leastMl) return "ice-stays-whole";
  if (choice.model !== "measured" && choice.calibration !== undefined) return "calibrated";
  if (METHODS[model.method].kind !== "published") return "no-published-curve";
  const strength = mix.ethanolMl / mix.pouredMl;
  if (strength < CURVE_STRENGTH[0] || strength > CURVE_STRENGTH[1]) return "outside-curve";
  if (used === "energy" && choice.model === "energy" && hasOwn(choice)) return "own-conditions";
  if (!energy || !regression) return "usual-drink";
  const apart = Math.abs(energy.ratio - regression.ratio);
  return apart > METHODS[model.method].sd ? "unusual-size" : "usual-drink";
}

const hasOwn = (choice: Extract<DilutionChoice, { model: "energy" }>) =>
  Object.values(choice.conditions ?? {}).some((v) => v !== undefined);

/**
 * Standard uncertainty of the water a drink was placed with, mL per mL poured with ice: the report's
 * `ratioSd` alone, without working out the figure that is only shown beside it.
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
  if (choice.model === "regression") return regressionEstimate(model, mix, choice).ratioSd;
  return energyEstimate(model, model.dilution, mix, volumesMl, choice).ratioSd;
}

/** The curve corrected for the user's conditions where they gave any; null where there is no heat balance. */
function heatedCurve(
  model: MixModel,
  volumesMl: readonly number[],
  choice: DilutionChoice,
): ResolvedDilution | null {
  if (choice.model === "energy") return model.dilution;
  const heat = heatCorrection(model.method, undefined, pouredLines(model, volumesMl));
  if (heat === null) return null;
  // Written out: of a spread and one more field the runtime makes a new hidden class each time, and keeps it.
  const { a2, a1, a0 } = METHODS[model.method].regression;
  return { a2, a1, a0, heat };
}

function regressionEstimate(model: MixModel, mix: Totals, choice: DilutionChoice): DilutionEstimate {
  const e = mix.ethanolMl / mix.pouredMl;
  const { method } = model;
  const own = choice.model === "regression" ? choice.calibration : undefined;
  const ratio = (own?.factor ?? 1) * regressionRatio(method, e);
  return {
    ratio,
    ratioSd: calibratedSd(own, ratio) ?? curveRatioSd(method, e),
    waterMl: ratio * mix.pouredMl,
    source: METHODS[method].source,
  };
}

function energyEstimate(
  { method }: MixModel,
  heated: ResolvedDilution,
  mix: Totals,
  volumesMl: readonly number[],
  choice: DilutionChoice,
): DilutionEstimate {
  const e = mix.ethanolMl / mix.pouredMl;
  const own = choice.model === "energy" ? choice.calibration : undefined;
  const waterMl = waterFromIceMl(heated, mix, volumesMl);
  const ratio = waterMl / mix.pouredMl;
  const correction = ratio - regressionRatio(method, e);
  return {
    ratio,
    ratioSd:
      calibratedSd(own, ratio) ?? Math.hypot(curveRatioSd(method, e), CORRECTION_SD_SHARE * correction),
    waterMl,
    source:
      choice.model === "energy" && hasOwn(choice)
        ? "the method's curve, and a heat balance of your conditions against the usual ones"
        : "the method's curve, and a heat balance of this size against the usual one",
  };
}

/** A calibration's sd is relative to the uncalibrated model and predictive: it replaces the model's own. */
function calibratedSd(calibration: Calibration | undefined, ratio: number): number | undefined {
  if (calibration === undefined) return undefined;
  const { factor, sd } = calibration;
  requireAtLeast0(sd, "/dilution/calibration/sd", "leave the calibration out, or measure again");
  return (ratio / factor) * sd;
}

function temperature(model: MixModel, volumesMl: readonly number[], waterMl: number, choice: DilutionChoice) {
  const conditions = iceConditions(model.method, choice.model === "energy" ? choice.conditions : undefined);
  if (conditions === null) return null;
  return finishedTempC(pouredLines(model, volumesMl), waterMl, conditions, METHODS[model.method].staysOnIce);
}
