import type { Calibration, DilutionReport, Method, TrustReason } from "../types.ts";
import { METHODS } from "./methods.ts";

/** Why a method without a published curve is better measured. */
const MEASURE_YOURS: Partial<Record<Method, string>> = {
  built:
    "a built drink goes on melting its ice: how much is in it depends on the glass, the ice and when it is tasted",
  crushed: "crushed ice is wet, its pieces are small, and it goes on melting while the drink is drunk",
  blended: "all the ice is drunk, so the water is as much as the ice that went into the jug: weigh it",
  thrown: "nobody has published a curve for throwing",
  carbonated: "what melts when it is poured depends on the ice in the glass",
};

/** Which figure for the water from ice is used, which to trust, and why. */
export function dilutionReason(
  report: Pick<DilutionReport, "used" | "because">,
  method: Method,
  calibration: Calibration | undefined,
): string {
  const scaled = calibration
    ? `, scaled by ${calibration.factor.toFixed(2)} from your ${rounds(calibration)}`
    : "";
  return [USED[report.used](scaled), TRUST[report.because](method)].filter((s) => s !== "").join(" ");
}

const rounds = ({ n }: Calibration) => (n === 1 ? "1 measured round" : `${n} measured rounds`);

const USED: Readonly<Record<DilutionReport["used"], (scaled: string) => string>> = {
  measured: () => "You measured the finished drink, so the measurement replaces the models.",
  none: () => "",
  energy: (scaled) => `The method's curve, corrected for ice, temperatures, vessel and size${scaled}.`,
  regression: (scaled) => `The method's curve by strength before ice${scaled}.`,
};

const TRUST: Readonly<Record<TrustReason, (method: Method) => string>> = {
  measured: () => "",
  "no-ice": (method) =>
    METHODS[method].kind === "exact"
      ? "This method uses no ice, so no water is added."
      : "Every line goes in after the ice, so no water is added.",
  "usual-drink": () => "It rests on measured drinks of this kind; measure your own glass to replace it.",
  calibrated: () => "Your own measured rounds count for more than any curve.",
  "own-conditions": () =>
    "Trust the corrected figure: the curve holds for usual ice and temperatures, and yours differ.",
  "unusual-size": () =>
    "Trust the corrected figure: ice and vessel weigh more on a small mix, and less on a large one, than on the drinks the curve was read on.",
  "outside-curve": () =>
    "Measure yours: the mix is weaker or stronger before ice than the drinks the curve was read on.",
  "no-published-curve": (method) =>
    `Measure yours: ${MEASURE_YOURS[method] ?? "there is no published curve for this method"}. Until then this is our own wide estimate.`,
  "ice-runs-out": () => "Measure yours, or use more ice: all of it would melt before the drink is cold.",
  "ice-stays-whole": () =>
    "Measure yours: the mix starts so cold that only the water already on the ice goes in.",
};
