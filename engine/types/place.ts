import type { AXIS_IDS, DOUBT_KIND_IDS } from "../ids.ts";
import type { UnitId } from "./amounts.ts";
import type { CautionId } from "./pantry.ts";

/** Where a finished drink sits. */
export interface Point {
  sugarGPer100Ml: number;
  acidGPer100Ml: number;
  abvPercent: number;
}

/** An axis by name, where a number would say too little. */
export type AxisName = (typeof AXIS_IDS)[number];

/** Axis order everywhere a vector or matrix appears: sugar, acid, ABV. */
export type Vec3 = readonly [number, number, number];
export type Mat3 = readonly [Vec3, Vec3, Vec3];

export interface DilutionEstimate {
  /** Water added / volume poured into the mix stage. */
  ratio: number;
  ratioSd: number;
  waterMl: number;
  source: string;
}

/** Why one figure for the water is to be trusted over the other, or neither. */
export type TrustReason =
  /** The finished drink was measured. */
  | "measured"
  /** No ice is used, or every line goes in after it. */
  | "no-ice"
  /** A usual drink by a method with a published curve. */
  | "usual-drink"
  /** The user's own measured rounds scale the model. */
  | "calibrated"
  /** The user gave conditions of their own. */
  | "own-conditions"
  /** Much smaller or larger than what the curve was read on. */
  | "unusual-size"
  /** Weaker or stronger before ice than what the curve was read on. */
  | "outside-curve"
  /** No published curve for the method. */
  | "no-published-curve"
  /** The heat would melt more ice than there is, or none at all. */
  | "ice-runs-out"
  | "ice-stays-whole";

export interface DilutionReport extends Omit<DilutionEstimate, "source"> {
  used: "regression" | "energy" | "measured" | "none";
  /** Of the finished drink, toppings included; null where it cannot be said. */
  finalTempC: number | null;
  finalTempSdC: number | null;
  /** The method's curve. */
  regression: DilutionEstimate | null;
  /** The curve corrected for the ice, temperatures, vessel and size; null where the method has no heat balance. */
  energy: DilutionEstimate | null;
  /** Which to rely on; "measure": neither is good enough, weigh or measure the finished drink. */
  trust: "regression" | "energy" | "measured" | "none" | "measure";
  because: TrustReason;
  /** The same in words. */
  reason: string;
}

export interface LinePlacement {
  ingredient: string;
  name: string;
  volumeMl: number;
  massG: number;
  shareOfFinishedPercent: number;
  sugarG: number;
  acidG: number;
  ethanolMl: number;
  /** Shares of the drink's total, percent (0 when the total is 0). */
  sugarSharePercent: number;
  acidSharePercent: number;
  ethanolSharePercent: number;
  cost: number | null;
}

/** What a doubt is about: a quantity of an ingredient, the size of a unit, the hand, or the water from ice. */
export type DoubtKind = (typeof DOUBT_KIND_IDS)[number];

/** Where a doubt comes from. */
export interface DoubtSource {
  kind: DoubtKind;
  /** Whose, for all but units, pours and the water from ice. */
  ingredient?: string;
  /** Of the kind "unit". */
  unit?: UnitId;
}

/** One independent doubt and how much of each axis's variance it carries. */
export interface DoubtShare extends DoubtSource {
  /** One a source, e.g. "juice-lemon:acid", "dilution", "unit:dash"; what it is about is in the fields. */
  id: string;
  label: string;
  /** Variance contributed per axis (sugar, acid, ABV), in squared axis units. */
  variance: Vec3;
  /**
   * The same with the covariances between axes (diagonal = `variance`); over all doubts these sum to the
   * point's covariance. Absent: the axes are taken as unrelated within this doubt, and results say so.
   */
  covariance?: Mat3;
}

export interface Placement {
  point: Point;
  sd: Point;
  covariance: Mat3;
  /** sugar / acid; null when there is no acid. */
  sugarAcidRatio: number | null;
  /** Sum of the pours in mL: what the jigger says. */
  initialVolumeMl: number;
  initialAbvPercent: number;
  finishedVolumeMl: number;
  finishedVolumeSdMl: number;
  finishedMassG: number;
  dilution: DilutionReport;
  washLine: {
    glass: string;
    name: string;
    capacityMl: number;
    fillPercent: number;
    /** Room that the ice it is served on takes below the surface. */
    iceMl: number;
    verdict: string;
  } | null;
  energyKcal: number;
  ethanolG: number;
  standardDrinks: { us: number; uk: number; au: number };
  lines: LinePlacement[];
  doubts: DoubtShare[];
  cost: number | null;
  cautions: CautionId[];
  warnings: string[];
}
