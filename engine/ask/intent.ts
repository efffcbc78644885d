import type { AxisName, Method, UnitId } from "../types.ts";

/** An amount as the user said it. */
export interface SaidAmount {
  amount: number;
  unit: UnitId;
}

/** Which way to lean, in taster's words; each is one axis and one sign. */
export type Lean = "drier" | "sweeter" | "sharper" | "softer" | "stronger" | "lighter";

/** One lean; `by` in the axis's own unit, the usual step without it. */
export interface LeanStep {
  lean: Lean;
  by?: number;
}

/** What a lean must not disturb. */
export interface Keep {
  axis: AxisName;
  how: "not-less" | "not-more" | "same";
}

/**
 * One change in a what-if. `by` adds to the present amount (negative takes away); `to` replaces it; `times`
 * multiplies it; `swapFor` keeps the amount and changes the ingredient; `scale` multiplies every amount;
 * `method` mixes it another way.
 */
export type WhatIfChange =
  | { ingredient: string; by: SaidAmount }
  | { ingredient: string; to: SaidAmount }
  | { ingredient: string; times: number }
  | { ingredient: string; swapFor: string }
  | { scale: number }
  | { method: Method };

/**
 * The questions the engine answers. Structured on purpose: a form fills these in, a short grammar reads
 * them from text, and the API takes them as JSON, so the same question always means the same thing.
 *
 * - `how-much`: every dose of one ingredient, and which brings the drink into a target.
 * - `what-if`: where the drink goes after the given changes, made in order.
 * - `lean`: the least change that moves the given axes while keeping others.
 * - `least`: the least change that brings it into the target.
 * - `where`: where it sits now and how far from the target.
 */
export type Intent =
  | { ask: "how-much"; ingredient: string }
  | { ask: "what-if"; changes: WhatIfChange[] }
  | { ask: "lean"; leans: LeanStep[]; keep: Keep[] }
  | { ask: "least" }
  | { ask: "where" };

/** A question for a lean. */
export type LeanIntent = Extract<Intent, { ask: "lean" }>;

/** Axis and sign of each lean. */
export const LEANS: Record<Lean, { axis: AxisName; sign: 1 | -1 }> = {
  drier: { axis: "sugar", sign: -1 },
  sweeter: { axis: "sugar", sign: 1 },
  sharper: { axis: "acid", sign: 1 },
  softer: { axis: "acid", sign: -1 },
  stronger: { axis: "abv", sign: 1 },
  lighter: { axis: "abv", sign: -1 },
};

/**
 * How far one lean goes when the user gives no number: half an axis scale, a step most tasters would
 * notice (our choice; common practice, no published source). Keeping an axis "the same" means within a
 * quarter of an axis scale, because amounts on a pour ladder cannot hold an axis exactly.
 */
export const LEAN_STEP_SCALES = 0.5;

/** Tolerance of "keep the same", in axis scales; see LEAN_STEP_SCALES. */
export const KEEP_TOLERANCE_SCALES = 0.25;
