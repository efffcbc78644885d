import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import { MEASURE_IDS } from "../../engine/ids.ts";
import { LONGEST } from "../../engine/limits.ts";
import { unitSettingsShape } from "../../engine/shapes/amounts.ts";
import { roundShape } from "../../engine/shapes/bench.ts";
import type { Shape } from "../../engine/shapes/check.ts";
import {
  askOptionsShape,
  characterRuleShape,
  ladderChoiceShape,
  measuredShape,
} from "../../engine/shapes/view.ts";
import type { Bench, CharacterRule, Round, UnitSettings } from "../../engine/types.ts";
import { createReader, finite, fits, joinPairs, num, oneOf, type Reader, readId } from "./codec/reader.ts";
import { readSpec, specPairs } from "./codec/spec-part.ts";
import { encodePart, readPart } from "./codec/target-part.ts";
import { DEFAULT_ASK, type LadderChoice, type Measured, type View } from "./view.ts";

/**
 * The view as a URL fragment, and back.
 *
 * Grammar, version 1 (`v=1`), keys joined by `&`, each value percent-encoded:
 *   n   name of the drink            m   method            g  glass id           gi  ice in it
 *   l   one per line: `rum-aged:2oz`, then any of `^top` `^mix` `!` (locked) `[10..30]` (mL bounds)
 *   d   dilution: `regression` or `energy`, with `*factor/sd/n` when calibrated and `@iceTempC=-5,…` for ice
 *       conditions; or `volume:104`, `mass:110`, `water:30`, with `/sd` where the user gave one
 *   t   one per target part: `family:sour:0.9`, `band:id`, `box:4..8,0.6..0.9,15..20`, `ratio:6..9`, `plane:1,0,0,8`
 *   u   units `oz` or `ml`           k   ladder id, `own:2.5` for an own step in mL
 *   w   size of a measure in mL, one each: `dash:0.8/0.2` (the usual sizes are left out)
 *   o   own figures of an ingredient, one each: `juice-pineapple:s12.6,a0.7,v0` (g, g as citric, % vol)
 *   b   bench   r   round   h   highlighted reference
 *   a   addition, one each   c  character rule, one each   mt mf mp ms md mg   limits of the question
 *
 *   x   a round of the bench, itself such a fragment; bn its name; xr the round in work: only in links
 *       made to carry the bench along
 *
 * Unknown keys are ignored. A value that cannot be read is left out and named in `problems`;
 * nothing throws.
 */
export interface DecodedView {
  view: Partial<View>;
  /** The bench a link carries with it, rounds and all. */
  bench: Bench | null;
  problems: string[];
}

const MEASURE_KEYS: readonly (readonly [string, keyof UnitSettings, (keyof UnitSettings)?])[] = [
  ["barspoon", "barspoonMl", "barspoonSdMl"],
  ["dash", "dashMl", "dashSdMl"],
  ["drop", "dropMl", "dropSdMl"],
  ["part", "partMl"],
];
const MEASURED_KEYS = [
  ["s", "sugar"],
  ["a", "acid"],
  ["v", "abv"],
] as const;
const MAX_FRAGMENT = 64_000;
const USUAL_OWN_STEP_ML = 5;

/** Write a view as a fragment, without the leading `#`. */
export function encodeView(view: View): string {
  const pairs: [string, string][] = [["v", "1"]];
  const put = (key: string, value: string | null | undefined) => {
    if (value) pairs.push([key, value]);
  };
  pairs.push(...specPairs(view.spec, view.rules));
  for (const part of view.target) put("t", encodePart(part));
  put("u", view.units);
  put("k", view.ladder.id === "own" ? `own:${num(view.ladder.stepMl ?? USUAL_OWN_STEP_ML)}` : view.ladder.id);
  for (const [unit, sizeKey, sdKey] of MEASURE_KEYS) {
    const size = view.unitSettings[sizeKey];
    const sd = sdKey ? view.unitSettings[sdKey] : 0;
    const usual = size === DEFAULT_UNIT_SETTINGS[sizeKey] && (!sdKey || sd === DEFAULT_UNIT_SETTINGS[sdKey]);
    if (!usual) put("w", sdKey ? `${unit}:${num(size)}/${num(sd)}` : `${unit}:${num(size)}`);
  }
  for (const [id, own] of Object.entries(view.measured)) {
    const figures = MEASURED_KEYS.flatMap(([letter, key]) => {
      const value = own[key];
      return value === undefined ? [] : [`${letter}${num(value)}`];
    });
    if (figures.length > 0) put("o", `${id}:${figures.join(",")}`);
  }
  put("b", view.bench);
  put("r", view.round);
  put("h", view.reference);
  for (const id of view.ask.additions) put("a", id);
  for (const rule of view.ask.character) {
    put(
      "c",
      rule.atLeastAsMuchAs
        ? `${rule.ingredient}:over:${rule.atLeastAsMuchAs}`
        : `${rule.ingredient}:share:${num(rule.minSharePercent ?? 0)}`,
    );
  }
  put("mt", view.ask.maxTouched === null ? null : num(view.ask.maxTouched));
  put("mf", view.ask.maxFinishedMl === null ? null : num(view.ask.maxFinishedMl));
  put("mp", view.ask.minProbability === null ? null : num(view.ask.minProbability));
  put("ms", view.ask.measure === DEFAULT_ASK.measure ? null : view.ask.measure);
  put("mg", view.ask.anyGlass ? "1" : null);
  put("md", view.ask.driftBudget === null ? null : num(view.ask.driftBudget));
  return joinPairs(pairs);
}

/** The same, with the open bench and its rounds packed in, for someone whose browser does not have them. */
export function encodeViewWithBench(view: View, bench: Bench): string {
  const numberOf = new Map(bench.rounds.map((round) => [round.id, round.number]));
  const rounds = bench.rounds.map((round): [string, string] => [
    "x",
    joinPairs([
      ["i", String(round.number)],
      ["p", String(round.parent === null ? 0 : (numberOf.get(round.parent) ?? 0))],
      ...(round.abandoned ? [["a", "1"] as const] : []),
      ["t", round.label],
      ...(round.notes ? [["q", round.notes] as const] : []),
      ...(round.faults ?? []).map((fault) => ["f", fault] as const),
      ...specPairs(round.spec, {}),
    ]),
  ]);
  const at = numberOf.get(view.round ?? "");
  const pairs = [["bn", bench.name], ...(at ? [["xr", String(at)]] : []), ...rounds] as [string, string][];
  return `${encodeView(view)}&${joinPairs(pairs)}`;
}

/** Read a fragment or query string, with or without its leading `#` or `?`. Never throws. */
export function decodeView(fragment: string): DecodedView {
  const problems: string[] = [];
  const text = fragment.replace(/^[#?]/, "");
  const nothing = (...said: string[]): DecodedView => ({ view: {}, bench: null, problems: said });
  if (text === "") return nothing();
  if (text.length > MAX_FRAGMENT) {
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
  view.ask = {
    additions: many("a", readId, "addition"),
    character: many("c", readCharacter, "character rule"),
    maxTouched: one("mt", numberAs(limits.maxTouched), "limit") ?? null,
    maxFinishedMl: one("mf", numberAs(limits.maxFinishedMl), "glass limit") ?? null,
    minProbability: one("mp", numberAs(limits.minProbability), "chance") ?? null,
    measure: one("ms", oneOf(MEASURE_IDS), "measure") ?? DEFAULT_ASK.measure,
    anyGlass: reader.text("mg") === "1",
    driftBudget: one("md", numberAs(limits.driftBudget), "drift budget") ?? null,
  };
  return { view, bench: readBenchOf(reader, problems), problems };
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
