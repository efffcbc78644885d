import { rungsBetween } from "../amounts/ladder.ts";
import { createMixModel } from "../dilution/model.ts";
import { Issues, under } from "../errors.ts";
import { MEASURE_IDS } from "../ids.ts";
import { LEAST_DRIFT, MOST_DRIFT } from "../limits.ts";
import { type PreparedSpec, prepareSpec } from "../place/prepare-spec.ts";
import { compileTarget } from "../targets/compile-target.ts";
import { POUR_TOLERANCE_ML, SAME_POUR_ML } from "../tolerances.ts";
import type { Ingredient, MeasureId } from "../types.ts";
import type { SolveRequest } from "./request.ts";
import { usualMostMl } from "./usual-range.ts";
import { shortNames } from "./words.ts";

/** One amount that may change. */
export interface Variable {
  /** The ingredient's id, with "#2" for its second line in the spec. */
  key: string;
  ingredient: Ingredient;
  /** The name without its qualifiers, in lower case, when that is clear within this drink. */
  shortName: string;
  fromMl: number;
  /** Its range; of a locked amount both ends are the amount. */
  minMl: number;
  maxMl: number;
  /** An addition may be left out, or let in with at least this much. */
  leastIfPouredMl: number;
  locked: boolean;
  /** Spec line, or null for an addition. */
  line: number | null;
  stage: "mix" | "top";
}

/** A request read and checked: which amounts may change to what, and what a change costs. */
export type Question = Readonly<ReturnType<typeof readQuestion>>;

/**
 * Read a request: check every field, and fix variables, ranges and choices.
 *
 * @throws EngineError naming each bad field and its remedy
 */
export function readQuestion(request: SolveRequest) {
  const { spec, pantry, unitSettings } = request;
  const issues = new Issues();
  const prepared = under("/spec", () => prepareSpec(spec, pantry, { unitSettings }));
  const variables = readVariables(request, prepared, issues);
  readLocks(request, variables, issues);
  readBounds(request, variables, issues);
  checkNumbers(request, issues);
  checkCharacter(request, variables, issues);
  const measure = readMeasure(request, variables, issues);
  issues.throwAny();
  for (const v of variables) if (v.locked) Object.assign(v, { minMl: v.fromMl, maxMl: v.fromMl });

  const from = variables.map((v) => v.fromMl);
  const model =
    variables.length === prepared.volumesMl.length
      ? prepared.model
      : createMixModel(variables, spec.method, spec.dilution, from);
  const first = request.firstRound
    ? under("/firstRound", () => prepareSpec(request.firstRound ?? spec, pantry, { unitSettings }))
    : prepared;
  const target = compileTarget(request.target, "/target");
  const { point } = prepared.model.finish(prepared.volumesMl);
  const choices = variables.map((v) => choicesOf(v, request));
  return {
    request,
    prepared,
    /** Spec lines, then additions. */
    variables,
    model,
    /** The changes of each amount (mL) that the ladder allows, ascending, 0 (leave alone) among them. */
    choices,
    /** Indices of the amounts with more than one choice. */
    movable: choices.flatMap((c, i) => (c.length > 1 ? [i] : [])),
    /** The least that a drink can hold, mL: the smallest pour of all choices. */
    leastPourMl: leastPour(variables, choices),
    measure,
    /** Cost of a change by amount, per mL. */
    weight: weightsOf(measure, variables, request),
    maxTouched: request.maxTouched ?? variables.length,
    target,
    /** The drink as it stands. */
    before: { point, membership: target.membership(point) },
    /** Where drift is measured from. */
    firstPoint: first.model.finish(first.volumesMl).point,
  };
}

/** The pours (mL) after changes. */
export function volumesAfter({ variables }: Question, delta: ArrayLike<number>): number[] {
  return variables.map((v, i) => {
    const ml = v.fromMl + (delta[i] ?? 0);
    return ml < POUR_TOLERANCE_ML ? 0 : ml;
  });
}

/** Pours by ingredient, for an answer. */
export function amountsOf({ variables }: Question, volumesMl: readonly number[]) {
  return variables.map((v, i) => ({ ingredient: v.ingredient.id, ml: volumesMl[i] ?? 0 }));
}

function choicesOf(v: Variable, { ladder, unitSettings }: SolveRequest): Float64Array {
  if (v.locked) return Float64Array.of(0);
  const rungs = rungsBetween(v.minMl, v.maxMl, ladder, v.ingredient, unitSettings);
  const pourable = rungs.filter((ml) => ml === 0 || ml >= v.leastIfPouredMl - POUR_TOLERANCE_ML);
  const changes = pourable.map((ml) => (Math.abs(ml - v.fromMl) < SAME_POUR_ML ? 0 : ml - v.fromMl));
  if (!changes.includes(0)) changes.push(0);
  return Float64Array.from(changes).sort();
}

function leastPour(variables: readonly Variable[], choices: readonly Float64Array[]): number {
  const least = variables.map(({ fromMl }, i) => {
    const change = choices[i]?.find((by) => fromMl + by > POUR_TOLERANCE_ML);
    return fromMl + (change ?? Number.POSITIVE_INFINITY);
  });
  return Math.min(...least);
}

/** Weight per mL of change by variable. */
function weightsOf(
  measure: MeasureId,
  variables: readonly Variable[],
  { prices }: SolveRequest,
): Float64Array {
  const total = variables.reduce((s, v) => s + v.fromMl, 0);
  return Float64Array.from(variables, (v) => {
    if (measure === "relative") return 1 / (v.fromMl > 0 ? v.fromMl : total);
    if (measure === "cost") return v.locked ? 0 : (prices?.get(v.ingredient.id) ?? 0) / 1000;
    return 1;
  });
}

function readVariables(request: SolveRequest, prepared: PreparedSpec, issues: Issues): Variable[] {
  const { spec, pantry } = request;
  const seen = new Map<string, number>();
  const variables: Variable[] = [];
  const add = (ingredient: Ingredient, line: number | null, fromMl: number, stage: Variable["stage"]) => {
    const count = (seen.get(ingredient.id) ?? 0) + 1;
    seen.set(ingredient.id, count);
    variables.push({
      key: count === 1 ? ingredient.id : `${ingredient.id}#${count}`,
      ingredient,
      shortName: "",
      fromMl,
      minMl: 0,
      maxMl: usualMostMl(ingredient, fromMl),
      leastIfPouredMl: 0,
      locked: false,
      line,
      stage,
    });
  };
  const { ingredients, stages } = prepared.model;
  spec.lines.forEach((_, i) => {
    add(ingredients[i]!, i, prepared.volumesMl[i]!, stages[i]!);
  });
  request.additions?.forEach((id, i) => {
    const ingredient = pantry.get(id);
    if (!ingredient) {
      const detail = `"${id}" is not in the pantry`;
      issues.add(`/additions/${i}`, detail, "choose an ingredient of the pantry, or add it");
    } else if (!seen.has(id)) add(ingredient, null, 0, ingredient.addAfterDilution ? "top" : "mix");
  });
  const names = shortNames(variables.map((v) => v.ingredient));
  return variables.map((v, i) => ({ ...v, shortName: names[i] ?? v.key }));
}

/** Note an issue for an id that is neither a line nor an addition. */
function requireInDrink(id: string, at: string, variables: readonly Variable[], issues: Issues): void {
  if (variables.some((v) => v.ingredient.id === id)) return;
  const detail = `"${id}" is neither in the spec nor among the additions`;
  issues.add(at, detail, "use the id of one of the spec's lines or of an addition");
}

function readLocks({ locks }: SolveRequest, variables: readonly Variable[], issues: Issues): void {
  locks?.forEach((id, i) => {
    requireInDrink(id, `/locks/${i}`, variables, issues);
    for (const v of variables) if (v.ingredient.id === id) v.locked = true;
  });
}

/** Narrow the ranges; several bounds on one ingredient hold together. */
function readBounds({ bounds }: SolveRequest, variables: readonly Variable[], issues: Issues): void {
  const limits = new Map<string, { at: string; minMl: number; maxMl: number }>();
  for (const [i, { ingredient, ...ends }] of (bounds ?? []).entries()) {
    const at = `/bounds/${i}`;
    requireInDrink(ingredient, `${at}/ingredient`, variables, issues);
    const bad = (["minMl", "maxMl"] as const).find((end) => !isAmount(ends[end] ?? 0));
    if (bad) {
      const detail = `${ends[bad]} is not a finite volume of at least 0 mL`;
      issues.add(`${at}/${bad}`, detail, "give a volume in mL, or leave it out");
      continue;
    }
    const { minMl, maxMl } = limits.get(ingredient) ?? { minMl: 0, maxMl: Number.POSITIVE_INFINITY };
    limits.set(ingredient, {
      at,
      minMl: Math.max(minMl, ends.minMl ?? minMl),
      maxMl: Math.min(maxMl, ends.maxMl ?? maxMl),
    });
  }
  for (const [id, { at, minMl, maxMl }] of limits) {
    if (minMl > maxMl) {
      const detail = `the least (${minMl} mL) is above the most (${maxMl} mL)`;
      issues.add(`${at}/minMl`, detail, "swap or widen the two");
      continue;
    }
    for (const v of variables) if (v.ingredient.id === id) narrow(v, at, minMl, maxMl, issues);
  }
}

const isAmount = (ml: number) => ml >= 0 && ml < Number.POSITIVE_INFINITY;

/** Hold an amount to bounds; without a most `maxMl` is infinite. */
function narrow(v: Variable, at: string, minMl: number, maxMl: number, issues: Issues): void {
  // A least beyond the usual range asks for more than the usual range.
  v.maxMl = Number.isFinite(maxMl) ? maxMl : Math.max(v.maxMl, 2 * minMl);
  if (v.line === null) {
    v.leastIfPouredMl = minMl;
    return;
  }
  v.minMl = minMl;
  const now = `${v.ingredient.name} is ${Math.round(v.fromMl * 100) / 100} mL now`;
  if (v.fromMl < minMl - POUR_TOLERANCE_ML) {
    const detail = `${now}, below its least of ${minMl} mL`;
    issues.add(`${at}/minMl`, detail, "raise the line first, or lower the bound");
  }
  if (v.fromMl > maxMl + POUR_TOLERANCE_ML) {
    const detail = `${now}, above its most of ${maxMl} mL`;
    issues.add(`${at}/maxMl`, detail, "lower the line first, or raise the bound");
  }
}

const isAboveZero = (x: number) => Number.isFinite(x) && x > 0;
const isWholeFrom = (least: number) => (x: number) => Number.isInteger(x) && x >= least;
const isDrift = (x: number) => x >= LEAST_DRIFT && x <= MOST_DRIFT;
const DRIFT_RANGE = `in ${LEAST_DRIFT}..${MOST_DRIFT} axis-scale steps`;

/** The numbers of a request, what each must be, and what to do where it is not. */
const NUMBERS = [
  ["maxFinishedMl", isAboveZero, "a finite volume in mL above 0", "correct it or leave it out"],
  ["minFinishedMl", isAboveZero, "a finite volume in mL above 0", "correct it or leave it out"],
  ["timeBudgetMs", isAboveZero, "a finite time in ms above 0", "correct it or leave it out"],
  ["nodeLimit", isAboveZero, "a finite number of nodes above 0", "correct it or leave it out"],
  ["maxTouched", isWholeFrom(0), "a whole number of at least 0", "give a whole number, or leave it out"],
  ["count", isWholeFrom(1), "a whole number of at least 1", "give a whole number, or leave it out"],
  ["driftBudget", isDrift, DRIFT_RANGE, "give a distance a pour can keep, or leave it out"],
] as const;

function checkNumbers(request: SolveRequest, issues: Issues): void {
  for (const [key, isGood, what, remedy] of NUMBERS) {
    const value = request[key];
    if (value !== undefined && !isGood(value)) issues.add(`/${key}`, `${value} is not ${what}`, remedy);
  }
}

function checkCharacter({ character }: SolveRequest, variables: readonly Variable[], issues: Issues): void {
  character?.forEach(({ ingredient, minSharePercent: share, atLeastAsMuchAs: other }, i) => {
    const at = `/character/${i}`;
    requireInDrink(ingredient, `${at}/ingredient`, variables, issues);
    if (share === undefined && other === undefined) {
      issues.add(at, "the rule asks for nothing", "give minSharePercent or atLeastAsMuchAs");
    }
    if (share !== undefined && !(share >= 0 && share <= 100)) {
      const detail = `${share} is not in 0..100`;
      issues.add(`${at}/minSharePercent`, detail, "give a share of the finished glass in percent");
    }
    if (other !== undefined) requireInDrink(other, `${at}/atLeastAsMuchAs`, variables, issues);
  });
}

function readMeasure(request: SolveRequest, variables: readonly Variable[], issues: Issues): MeasureId {
  const { measure = MEASURE_IDS[0], prices } = request;
  if (!MEASURE_IDS.includes(measure)) {
    const detail = `"${String(measure)}" is not a measure`;
    issues.add("/measure", detail, `use one of ${MEASURE_IDS.join(", ")}`);
  }
  for (const [id, price] of prices ?? []) {
    if (isAmount(price)) continue;
    const detail = `${price} is not a finite price of at least 0`;
    issues.add(`/prices/${id}`, detail, "give the price of a litre");
  }
  for (const v of variables) {
    if (measure !== "cost" || v.locked || prices?.has(v.ingredient.id)) continue;
    const detail = `${v.ingredient.name} has no price`;
    issues.add(`/prices/${v.ingredient.id}`, detail, "give its price per litre, or lock it");
  }
  return measure;
}
