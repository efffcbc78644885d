import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import type { Along } from "../../engine/bench/along.ts";
import { KEEP_IDS, MEASURE_IDS, ROUND_STATE_IDS } from "../../engine/ids.ts";
import { LONGEST } from "../../engine/limits.ts";
import { unitSettingsShape } from "../../engine/shapes/amounts.ts";
import { roundShape } from "../../engine/shapes/bench.ts";
import type { Shape } from "../../engine/shapes/check.ts";
import { ingredientShape } from "../../engine/shapes/ingredient.ts";
import { prepShape } from "../../engine/shapes/prep.ts";
import {
  askOptionsShape,
  characterRuleShape,
  ladderChoiceShape,
  measuredShape,
} from "../../engine/shapes/view.ts";
import type { Bench, CharacterRule, Ingredient, Round, UnitSettings } from "../../engine/types.ts";
import { createReader, finite, fits, LONGEST_FRAGMENT, oneOf, type Reader, readId } from "./codec/reader.ts";
import { readSpec } from "./codec/spec-part.ts";
import { readPart } from "./codec/target-part.ts";
import { MEASURE_KEYS, MEASURED_KEYS, USUAL_OWN_STEP_ML } from "./link-writer.ts";
import { type Settled, settled } from "./settling.ts";
import type { Settings } from "./storage.ts";
import { DEFAULT_ASK, type LadderChoice, type Measured, type View } from "./view.ts";

/**
 * A fragment as it was read (grammar: `link-writer.ts`). Unknown keys are ignored. A value that cannot be read
 * is left out and named in `problems`; nothing throws.
 */
export interface DecodedView {
  view: Partial<View>;
  /** The bench a link carries with it, rounds and all. */
  bench: Bench | null;
  problems: string[];
  /** The same in a house's own ids, and its settings with what came along; absent where nothing did. */
  settle?(pantry: readonly Ingredient[], settings: Settings): Settled;
}

/** Read a fragment or query string, with or without its leading `#` or `?`. Never throws. */
export function decodeView(fragment: string): DecodedView {
  const problems: string[] = [];
  const text = fragment.replace(/^[#?]/, "");
  const nothing = (...said: string[]): DecodedView => ({ view: {}, bench: null, problems: said });
  if (text === "") return nothing();
  if (text.length > LONGEST_FRAGMENT) {
    return nothing("The link is too long to be one of ours; it was not opened.");
  }
  const reader = createReader(text, problems);
  const version = reader.text("v");
  if (version === null) return nothing();
  if (version !== "1") return nothing(`The link is of version “${version}”; this page reads version 1.`);
  const { one, many } = reader;
  const view: DecodedView["view"] = { ...readSpec(reader) };
  const target = many("t", readPart, "target");
  if (target.length > 0) view.target = target;
  const units = one("u", oneOf(["oz", "ml"] as const), "unit");
  if (units) view.units = units;
  const ladder = one("k", readLadder, "ladder");
  if (ladder) view.ladder = ladder;
  const measures = many("w", readMeasure, "measure");
  if (measures.length > 0) view.unitSettings = Object.assign({ ...DEFAULT_UNIT_SETTINGS }, ...measures);
  const own = many("o", readMeasured, "own figure");
  if (own.length > 0) view.measured = Object.fromEntries(own);
  view.bench = one("b", readId, "bench") ?? null;
  view.round = one("r", readId, "round") ?? null;
  view.reference = one("h", readId, "reference") ?? null;
  const release = many("kr", oneOf(KEEP_IDS), "habit");
  view.ask = {
    additions: many("a", readId, "addition"),
    character: many("c", readCharacter, "character rule"),
    maxTouched: one("mt", numberAs(limits.maxTouched), "limit") ?? null,
    maxFinishedMl: one("mf", numberAs(limits.maxFinishedMl), "glass limit") ?? null,
    minProbability: one("mp", numberAs(limits.minProbability), "chance") ?? null,
    measure: one("ms", oneOf(MEASURE_IDS), "measure") ?? DEFAULT_ASK.measure,
    anyGlass: reader.text("mg") === "1",
    driftBudget: one("md", numberAs(limits.driftBudget), "drift budget") ?? null,
    ...(release.length > 0 && { release }),
  };
  const decoded = { view, bench: readBenchOf(reader, problems), problems };
  const along: Along = {
    ingredients: many("y", jsonAs(ingredientShape), "ingredient"),
    preps: many("yp", jsonAs(prepShape), "prep"),
  };
  if (along.ingredients.length === 0) return decoded;
  return { ...decoded, settle: (pantry, settings) => settled({ decoded, along, pantry, settings }) };
}

/** JSON that has the shape. */
function jsonAs<T>(shape: Shape<T>) {
  return (value: string): T | null => {
    try {
      return fits(shape, JSON.parse(value));
    } catch {
      return null;
    }
  };
}

const limits = askOptionsShape.shape;

/** A number that has the shape. */
function numberAs<T extends number | null>(shape: Shape<T>) {
  return (value: string): T | null => {
    const x = finite(value);
    return x === null ? null : fits(shape, x);
  };
}

function readBenchOf(reader: Reader, problems: string[]): Bench | null {
  const rounds = reader.many("x", (value) => readRound(value, problems), "round");
  const numbers = new Set(rounds.map((round) => round.number));
  if (rounds.length === 0 || numbers.size !== rounds.length) return null;
  const current = reader.one("xr", numberAs(roundShape.shape.number), "round number");
  return {
    id: "linked",
    name: (reader.text("bn") ?? "Linked bench").slice(0, LONGEST.label),
    // A parent the link does not hold makes its child a first round of its own.
    rounds: rounds.map((round) =>
      numbers.has(Number(round.parent?.slice(1))) ? round : { ...round, parent: null },
    ),
    current: `r${current !== undefined && numbers.has(current) ? current : Math.max(...numbers)}`,
    target: "",
  };
}

function readRound(value: string, problems: string[]): Round | null {
  const reader = createReader(value, problems);
  const number = numberAs(roundShape.shape.number)(reader.text("i") ?? "");
  const parent = numberAs(roundShape.shape.number)(reader.text("p") ?? "0");
  const read = readSpec(reader);
  if (number === null || parent === null || read === null) return null;
  const notes = reader.text("q");
  const state = reader.one("s", oneOf(ROUND_STATE_IDS), "mark of a round");
  const faults = reader.many("f", (text) => text.slice(0, LONGEST.fault), "fault");
  return {
    id: `r${number}`,
    number,
    parent: parent === 0 ? null : `r${parent}`,
    label: (reader.text("t") ?? "").slice(0, LONGEST.label),
    spec: read.spec,
    ...(notes && { notes: notes.slice(0, LONGEST.note) }),
    ...(faults.length > 0 && { faults }),
    ...(reader.text("a") === "1" && { abandoned: true }),
    ...(state && state !== "open" && { state }),
  };
}

function readLadder(value: string): LadderChoice | null {
  const [id, step] = value.split(":");
  return fits(ladderChoiceShape, {
    id,
    ...(id === "own" && { stepMl: step === undefined ? USUAL_OWN_STEP_ML : finite(step) }),
  });
}

function readCharacter(value: string): CharacterRule | null {
  const [ingredient, kind, rest] = value.split(":");
  if (kind === "over") return fits(characterRuleShape, { ingredient, atLeastAsMuchAs: rest });
  if (kind !== "share") return null;
  const minSharePercent = finite(rest ?? "");
  return minSharePercent === 0 ? null : fits(characterRuleShape, { ingredient, minSharePercent });
}

function readMeasure(value: string): Partial<UnitSettings> | null {
  const match = /^([a-z]+):([^/]+)(?:\/(.+))?$/.exec(value);
  const keys = MEASURE_KEYS.find(([unit]) => unit === match?.[1]);
  if (!match || !keys) return null;
  const [, sizeKey, sdKey] = keys;
  const sized = { ...DEFAULT_UNIT_SETTINGS, [sizeKey]: finite(match[2]!) };
  if (match[3] !== undefined && sdKey) sized[sdKey] = finite(match[3]) ?? Number.NaN;
  const read = fits(unitSettingsShape, sized);
  if (!read || (match[3] !== undefined && !sdKey)) return null;
  return { [sizeKey]: read[sizeKey], ...(match[3] !== undefined && sdKey && { [sdKey]: read[sdKey] }) };
}

function readMeasured(value: string): [string, Measured] | null {
  const [id, rest] = value.split(":");
  if (!id || !readId(id) || !rest) return null;
  const figures = rest.split(",").map((figure) => {
    const key = MEASURED_KEYS.find(([letter]) => letter === figure[0])?.[1] ?? figure;
    return [key, finite(figure.slice(1))] as const;
  });
  const own = fits(measuredShape, Object.fromEntries(figures));
  return own && [id, own];
}
