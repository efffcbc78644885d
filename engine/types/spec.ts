import type { METHOD_IDS, SERVING_ICE_IDS, STAGE_IDS } from "../ids.ts";
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

export interface IceConditions {
  /** What stands on the shelf: spirits, liqueurs, bitters, sugar. */
  shelfTempC: number;
  /** What is kept cold: juice, syrup, wine, egg, dairy, lengtheners. */
  fridgeTempC: number;
  iceTempC: number;
  /** Water already on the ice, as a share of ice mass (0–0.3). */
  adherentWaterShare: number;
  iceMassG: number;
  vesselMassG: number;
  vesselHeatCapacityJPerGK: number;
  vesselTempC: number;
  /** 1 = full equilibrium (shaking 12–15 s); stirring reaches less. */
  approach: number;
}

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
