import { AXES, AXIS_INDICES, type AxisIndex, perAxis, toVec } from "../axes.ts";
import { Issues } from "../errors.ts";
import { LONGEST } from "../limits.ts";
import type { Vec3 } from "../types.ts";
import type { Observation } from "./response.ts";
import { MARK_OF, type Mark, type TablePrior, type TableRecord, type Tasting } from "./types.ts";
import { isAbout, tastingWord } from "./vocabulary.ts";

/** A larger group is several tables; the sampling is made for this many. */
const MOST_TASTERS = 16;
/** More than any bench pours; bounds the time an answer takes. */
const MOST_TASTINGS = 240;

/** Answers in the model's terms, and who gave them. */
export interface TableAnswers {
  /** In order of first appearance. */
  tasters: string[];
  observations: Observation[];
  /** Words tasters wrote that the vocabulary does not hold. */
  unreadWords: string[];
}

/** Axis units → spreads from the classics' centre. */
export function inSpreads({ centre, spread }: TablePrior, p: Vec3): Vec3 {
  return perAxis((k) => (p[k] - centre[k]) / spread[k]);
}

/** Spreads from the classics' centre → axis units. */
export function fromSpreads({ centre, spread }: TablePrior, u: Vec3): Vec3 {
  return perAxis((k) => centre[k] + u[k] * spread[k]);
}

/**
 * Read a table's record for the model. A word that points along an axis the same tasting marked adds nothing
 * to the mark and is left out.
 *
 * @throws EngineError naming every bad field: an unknown round, a mark or liking off its scale, too many tasters
 */
export function tableAnswers({ prior, rounds, tastings, comparisons = [] }: TableRecord): TableAnswers {
  const issues = new Issues();
  const points = new Map(rounds.map((r) => [r.id, inSpreads(prior, toVec(r.point))]));
  rounds.forEach((round, i) => {
    if (rounds.findIndex((r) => r.id === round.id) < i) {
      issues.add(`/rounds/${i}/id`, "an id twice", "give each round its own");
    }
    for (const { key } of AXES) {
      if (Number.isFinite(round.point[key])) continue;
      issues.add(`/rounds/${i}/point/${key}`, "expected a finite number", "place the round first");
    }
  });
  const pointOf = (round: string, pointer: string): Vec3 => {
    const point = points.get(round);
    if (point === undefined) {
      const detail = `no round has the id ${JSON.stringify(round.slice(0, LONGEST.id))}`;
      issues.add(pointer, detail, "give its point in rounds");
    }
    return point ?? [0, 0, 0];
  };
  const names = [...new Set([...tastings, ...comparisons].map((said) => said.taster))];
  const who = new Map(names.map((name, i) => [name, i]));
  if (names.length > MOST_TASTERS) {
    const detail = `${names.length} tasters; the most is ${MOST_TASTERS}`;
    issues.add("/tastings", detail, "take them as two tables");
  }
  if (tastings.length + comparisons.length > MOST_TASTINGS) {
    const detail = `more than ${MOST_TASTINGS} tastings and comparisons`;
    issues.add("/tastings", detail, "leave out the oldest rounds");
  }

  const unread = new Set<string>();
  const observations: Observation[] = [];
  tastings.forEach((tasting, i) => {
    noteOffScale(tasting, `/tastings/${i}`, issues);
    const at = pointOf(tasting.round, `/tastings/${i}/round`);
    observations.push(...answersOf(tasting, who.get(tasting.taster)!, at, unread));
  });
  comparisons.forEach(({ taster, tie = false, ...compared }, i) => {
    const at = pointOf(compared.preferred, `/comparisons/${i}/preferred`);
    const other = pointOf(compared.other, `/comparisons/${i}/other`);
    observations.push({ kind: "comparison", taster: who.get(taster)!, at, other, tie });
  });
  issues.throwAny();
  return { tasters: names, observations, unreadWords: [...unread] };
}

function noteOffScale(tasting: Tasting, at: string, issues: Issues): void {
  const off = (value: number | null | undefined, low: number, high: number) =>
    value !== null && value !== undefined && !(Number.isInteger(value) && value >= low && value <= high);
  if (off(tasting.liking, 1, 9)) {
    const detail = `${tasting.liking} is not on the nine-point scale`;
    issues.add(`${at}/liking`, detail, "give a whole number from 1 to 9, or null");
  }
  for (const name of Object.values(MARK_OF)) {
    if (!off(tasting[name], -2, 2)) continue;
    const detail = `${tasting[name]} is not a just-about-right mark`;
    issues.add(`${at}/${name}`, detail, "give -2, -1, 0, 1, 2 or null");
  }
}

function answersOf(tasting: Tasting, taster: number, at: Vec3, unread: Set<string>): Observation[] {
  const found: Observation[] = [];
  const markOn = (axis: AxisIndex): Mark | null => tasting[MARK_OF[AXES[axis].id]] ?? null;
  for (const axis of AXIS_INDICES) {
    const mark = markOn(axis);
    if (mark !== null) found.push({ kind: "mark", taster, at, axis, mark });
  }
  if (tasting.liking !== null && tasting.liking !== undefined) {
    found.push({ kind: "liking", taster, at, liking: tasting.liking });
  }
  for (const written of tasting.words ?? []) {
    const word = tastingWord(written);
    if (word === null) unread.add(written);
    if (word?.meaning.kind !== "move") continue;
    const { direction } = word.meaning;
    const isMarked = AXIS_INDICES.some((axis) => isAbout(direction, axis) && markOn(axis) !== null);
    if (!isMarked) found.push({ kind: "word", taster, at, direction });
  }
  return found;
}
