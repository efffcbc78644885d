import { fail } from "../errors.ts";
import type { Calibration, DilutionReport } from "../types.ts";

/** One measured round: water really added, and what the model said for the same pours. */
export interface MeasuredRound {
  measuredWaterMl: number;
  modelWaterMl: number;
}

/**
 * How far one bartender's usual water may lie from the model (relative standard deviation), and
 * how far one of their rounds lies from their usual. Estimates: the model's own uncertainty is
 * 0.05 in about 0.5; round to round a practised hand repeats within some 6 %.
 */
const PRIOR_SD = 0.12;
const ROUND_SD = 0.06;
/** Weight of that ROUND_SD against the observed scatter, in degrees of freedom. */
const ROUND_SD_DF = 4;

/**
 * Factor on the model's water, learned from measured rounds of one method.
 *
 * Normal prior at 1 (sd 0.12), updated by the rounds' ratios measured/model; their scatter is pooled
 * with a prior scatter of 6 %, so one round moves the factor most of the way and does not pretend to
 * certainty. `sd` is predictive: it holds the doubt of the factor and the scatter of the next round.
 *
 * @throws EngineError for an empty list or a model's water of zero
 */
export function calibrate(rounds: readonly MeasuredRound[]): Calibration {
  if (rounds.length === 0)
    fail("/rounds", "no measured round was given", "measure at least one finished drink");
  const ratios = rounds.map((r, i) => {
    if (!(r.modelWaterMl > 0 && r.measuredWaterMl >= 0 && Number.isFinite(r.measuredWaterMl))) {
      fail(
        `/rounds/${i}`,
        "a calibration needs water above 0 in the model and 0 or more measured",
        "leave this round out",
      );
    }
    return r.measuredWaterMl / r.modelWaterMl;
  });
  const n = ratios.length;
  const mean = ratios.reduce((a, b) => a + b, 0) / n;
  const squares = ratios.reduce((s, r) => s + (r - mean) ** 2, 0);
  const scatter = (ROUND_SD_DF * ROUND_SD ** 2 + squares) / (ROUND_SD_DF + n - 1);
  const precision = 1 / PRIOR_SD ** 2 + n / scatter;
  const factor = (1 / PRIOR_SD ** 2 + (n * mean) / scatter) / precision;
  return { factor, sd: Math.sqrt(1 / precision + scatter), n };
}

/** Measured rounds among placements' dilution reports, against one model's uncalibrated water. */
export function measuredRounds(
  reports: readonly DilutionReport[],
  model: "regression" | "energy" = "regression",
): MeasuredRound[] {
  return reports.flatMap((report) => {
    const estimate = report[model];
    if (report.used !== "measured" || estimate === null || !(estimate.waterMl > 0)) return [];
    return [{ measuredWaterMl: report.waterMl, modelWaterMl: estimate.waterMl }];
  });
}
