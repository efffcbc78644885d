import { ML_PER_UNIT } from "../../engine/amounts/units.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import type { DilutionReport, Placement, Spec } from "../../engine/types.ts";
import { volumeWords } from "./amounts.ts";
import type { Axis } from "./axis.ts";

/** Finished volume with its standard uncertainty. */
export function finishedWords(placement: Placement, units: "oz" | "ml"): string {
  const sd = placement.finishedVolumeSdMl;
  return `${volumeWords(placement.finishedVolumeMl, units)} ± ${
    units === "oz" ? (sd / ML_PER_UNIT.oz).toFixed(2) : Math.round(sd)
  }`;
}

/** The curve and the corrected curve side by side, which one the numbers use, and which to trust. */
export function dilutionWords(report: DilutionReport, { method }: Spec): string {
  if (report.used === "none") return "no ice: nothing added";
  const names = {
    regression: METHODS[method].kind === "published" ? "published curve" : "our estimate for this method",
    energy: "corrected for ice and size",
  };
  const both = (["regression", "energy"] as const).flatMap((model) => {
    const estimate = report[model];
    return estimate
      ? [`${names[model]} ${Math.round(estimate.ratio * 100)} % ± ${Math.round(estimate.ratioSd * 100)}`]
      : [];
  });
  return `${both.join(" · ")}. ${report.reason}`;
}

/** The largest parts of one axis's doubt: "lime juice: acid 61 % · water from ice 24 % · the rest 15 %". */
export function doubtWords(placement: Placement, axis: Axis): string {
  const total = placement.doubts.reduce((sum, doubt) => sum + doubt.variance[axis], 0);
  if (!(total > 0)) return "no doubt known";
  const shares = placement.doubts
    .map((doubt) => ({ label: doubt.label, percent: Math.round((100 * doubt.variance[axis]) / total) }))
    .sort((a, b) => b.percent - a.percent);
  const named = shares.filter(({ percent }, i) => i < 3 && percent >= 5);
  const rest = 100 - named.reduce((sum, { percent }) => sum + percent, 0);
  return [
    ...named.map(({ label, percent }) => `${label} ${percent} %`),
    ...(rest > 0 ? [`the rest ${rest} %`] : []),
  ].join(" · ");
}

/** A chance as a count people can picture; never a false certainty. */
export function glassesInHundred(chance: number): string {
  const n = Math.round(chance * 100);
  if (n < 1) return "hardly a real glass in 100";
  if (n > 99) return "nearly every real glass";
  return `about ${n} real ${n === 1 ? "glass" : "glasses"} in 100`;
}
