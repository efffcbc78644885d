import type { METHOD_IDS, SERVING_ICE_IDS, STAGE_IDS } from "../ids.ts";
import type { ICE_CONDITIONS } from "../limits.ts";
import type { UnitId } from "./amounts.ts";

export type Method = (typeof METHOD_IDS)[number];

/** When a line goes in: mixed with ice, or added after it and taking no melt water. */
export type Stage = (typeof STAGE_IDS)[number];

export interface SpecLine {
  /** Pantry id. */
  ingredient: string;
  amount: number;
  unit: UnitId;
  /** Overrides the pantry's habit: mixed with ice, or added after. */
  stage?: Stage;
  /**
   * Standard uncertainty of the amount, percent of it, where words gave it and no measure did ("a splash",
   * "20–25 mL", filled to the wash line). Absent: the hand's own pouring error.
   */
  amountSdPercent?: number;
}

/** How the water from ice is found. Default: `{ model: "regression" }`. */
export type DilutionChoice =
  | { model: "regression"; calibration?: Calibration }
  /** The same curve, corrected for your ice, temperatures, vessel and size. */
  | { model: "energy"; conditions?: Partial<IceConditions>; calibration?: Calibration }
  /** The user measured the glass; exactly one of the three is given. */
  | { model: "measured"; finishedVolumeMl?: number; finishedMassG?: number; waterMl?: number; sdMl?: number };

/** Learned from the user's measured rounds: multiplies the model's water. */
export interface Calibration {
  factor: number;
  sd: number;
  /** How many measured rounds it came from. */
  n: number;
}

/** What the ice balance rests on. */
export type IceConditions = { -readonly [Condition in keyof typeof ICE_CONDITIONS]: number };

/** Ice in the glass a drink is served in. */
export type ServingIce = (typeof SERVING_ICE_IDS)[number];

export interface Spec {
  name: string;
  method: Method;
  lines: SpecLine[];
  dilution?: DilutionChoice;
  glass?: string;
  /** Absent: as is usual for the method and the glass. */
  servedOn?: ServingIce;
}
