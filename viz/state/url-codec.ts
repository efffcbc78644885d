import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import type {
  CharacterRule,
  DilutionChoice,
  IceConditions,
  Interval,
  LadderId,
  MeasureId,
  Method,
  SpecLine,
  UnitId,
  UnitSettings,
} from "../../engine/types.ts";
import type { AskOptions, LadderChoice, LineRule, Measured, TargetPart, View } from "./view.ts";
import { DEFAULT_ASK } from "./view.ts";

/**
 * The view as a URL fragment, and back.
 *
 * Grammar, version 1 (`v=1`), keys joined by `&`, each value percent-encoded:
 *   n   name of the drink            m   method            g  glass id
 *   l   one per line: `rum-aged:2oz`, then any of `^top` `^mix` `!` (locked) `[10..30]` (mL bounds)
 *   d   dilution: `regression` or `energy`, with `*factor/sd/n` when calibrated and `@iceTempC=-5,…` for ice
 *       conditions; or `volume:104`, `mass:110`, `water:30`, with `/sd` where the user gave one
 *   t   one per target part: `family:sour:0.9`, `band:id`, `box:4..8,0.6..0.9,15..20`, `ratio:6..9`, `plane:1,0,0,8`
 *   u   units `oz` or `ml`           k   ladder id, `own:2.5` for an own step in mL
 *   w   size of a measure in mL, one each: `dash:0.8/0.2` (the usual sizes are left out)
 *   o   own figures of an ingredient, one each: `juice-pineapple:s12.6,a0.7,v0` (g, g as citric, % vol)
 *   b   bench   r   round   h   highlighted reference
 *   a   addition, one each   c  character rule, one each   mt mf mp ms md   limits of the question
 *
 * Unknown keys are ignored. A value that cannot be read is left out and named in `problems`;
 * nothing throws.
 */
export interface DecodedView {
  view: Partial<Omit<View, "spec" | "ask">> & { spec?: View["spec"]; ask?: AskOptions };
  problems: string[];
}

const METHODS: readonly Method[] = [
  "shaken",
  "stirred",
  "built",
  "thrown",
  "blended",
  "crushed",
  "carbonated",
  "none",
];
const UNIT_IDS: readonly UnitId[] = [
  "ml",
  "cl",
  "oz",
  "imperial-oz",
  "tsp",
  "tbsp",
  "barspoon",
  "dash",
  "drop",
  "part",
  "g",
  "piece",
];
const LADDER_IDS: readonly LadderId[] = ["us-jigger", "metric-jigger", "scale", "own"];
const MEASURES: readonly MeasureId[] = ["fewest-then-volume", "volume", "relative", "drift", "cost"];
const ICE_KEYS: readonly (keyof IceConditions)[] = [
  "ingredientTempC",
  "iceTempC",
  "adherentWaterShare",
  "iceMassG",
  "vesselMassG",
  "vesselHeatCapacityJPerGK",
  "vesselTempC",
  "approach",
];
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
/** No liquid holds more: honey, saturated acid, pure spirit. */
export const MOST_MEASURED: Readonly<Required<Measured>> = { sugar: 140, acid: 100, abv: 100 };
const MAX_FRAGMENT = 16_000;
const MAX_LINES = 40;

const NUMBER = String.raw`-?\d+(?:\.\d+)?(?:e-?\d+)?`;
const LINE = new RegExp(
  String.raw`^([a-z0-9-]+):(${NUMBER})([a-z-]+)(\^top|\^mix)?(!)?(?:\[(${NUMBER})?\.\.(${NUMBER})?\])?$`,
);

/** Shortest text of a number that keeps six significant digits: enough for any pour. */
function num(x: number): string {
  return String(Number(x.toPrecision(6)));
}

function range(interval: Interval): string {
  return `${interval[0] === null ? "" : num(interval[0])}..${interval[1] === null ? "" : num(interval[1])}`;
}

/** Percent-encode, but leave the characters this grammar uses readable. */
function encode(value: string): string {
  return encodeURIComponent(value).replace(/%(3A|2C|5E|5B|5D|2F|40|3D)/g, (whole) =>
    decodeURIComponent(whole),
  );
}

/** Write a view as a fragment, without the leading `#`. */
export function encodeView(view: View): string {
  const pairs: [string, string][] = [["v", "1"]];
  const put = (key: string, value: string | null | undefined) => {
    if (value) pairs.push([key, value]);
  };
  put("n", view.spec.name);
  put("m", view.spec.method);
  put("g", view.spec.glass);
  for (const line of view.spec.lines) put("l", encodeLine(line, view.rules[line.ingredient]));
  put("d", encodeDilution(view.spec.dilution));
  for (const part of view.target) put("t", encodePart(part));
  put("u", view.units);
  put("k", view.ladder.id === "own" ? `own:${num(view.ladder.stepMl ?? 5)}` : view.ladder.id);
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
  put("md", view.ask.driftBudget === null ? null : num(view.ask.driftBudget));
  return pairs.map(([key, value]) => `${key}=${encode(value)}`).join("&");
}

function encodeLine(line: SpecLine, rule: LineRule | undefined): string {
  const stage = line.stage ? `^${line.stage}` : "";
  const lock = rule?.locked ? "!" : "";
  const bounds =
    rule && (rule.minMl !== undefined || rule.maxMl !== undefined)
      ? `[${range([rule.minMl ?? null, rule.maxMl ?? null])}]`
      : "";
  return `${line.ingredient}:${num(line.amount)}${line.unit}${stage}${lock}${bounds}`;
}

function encodeDilution(choice: DilutionChoice | undefined): string | null {
  if (!choice) return null;
  if (choice.model !== "measured") {
    const { calibration } = choice;
    const own = choice.model === "energy" ? Object.entries(choice.conditions ?? {}) : [];
    return [
      choice.model,
      calibration ? `*${[calibration.factor, calibration.sd, calibration.n].map(num).join("/")}` : "",
      own.length > 0 ? `@${own.map(([key, value]) => `${key}=${num(value)}`).join(",")}` : "",
    ].join("");
  }
  const sd = choice.sdMl === undefined ? "" : `/${num(choice.sdMl)}`;
  if (choice.finishedVolumeMl !== undefined) return `volume:${num(choice.finishedVolumeMl)}${sd}`;
  if (choice.finishedMassG !== undefined) return `mass:${num(choice.finishedMassG)}${sd}`;
  return `water:${num(choice.waterMl ?? 0)}${sd}`;
}

function encodePart(part: TargetPart): string {
  switch (part.kind) {
    case "family":
      return `family:${part.family}:${num(part.coverage)}`;
    case "band":
      return `band:${part.band}`;
    case "box":
      return `box:${range(part.sugar)},${range(part.acid)},${range(part.abv)}`;
    case "ratio":
      return `ratio:${range([part.min, part.max])}`;
    case "plane":
      return `plane:${[...part.normal, part.offset].map(num).join(",")}`;
  }
}

/** Read a fragment or query string, with or without its leading `#` or `?`. Never throws. */
export function decodeView(fragment: string): DecodedView {
  const problems: string[] = [];
  const text = fragment.replace(/^[#?]/, "");
  if (text === "") return { view: {}, problems };
  if (text.length > MAX_FRAGMENT) {
    return { view: {}, problems: ["The link is too long to be one of ours; it was not opened."] };
  }
  const params = new URLSearchParams(text);
  const version = params.get("v");
  if (version === null) return { view: {}, problems };
  if (version !== "1") {
    return { view: {}, problems: [`The link is of version "${version}"; this page reads version 1.`] };
  }
  const view: DecodedView["view"] = {};
  const one = <T>(key: string, read: (value: string) => T | null, what: string): T | undefined => {
    const value = params.get(key);
    if (value === null) return undefined;
    const result = read(value);
    if (result === null) {
      problems.push(`The link's ${what} “${clip(value)}” could not be read; it was left out.`);
      return undefined;
    }
    return result;
  };
  const many = <T>(key: string, read: (value: string) => T | null, what: string): T[] =>
    params
      .getAll(key)
      .slice(0, MAX_LINES)
      .flatMap((value) => {
        const result = read(value);
        if (result === null) {
          problems.push(`The link's ${what} “${clip(value)}” could not be read; it was left out.`);
          return [];
        }
        return [result];
      });

  const lines = many("l", readLine, "line");
  if (lines.length > 0) {
    view.spec = {
      name: (params.get("n") ?? "Untitled").slice(0, 120),
      method: one("m", oneOf(METHODS), "method") ?? "shaken",
      lines: lines.map((entry) => entry.line),
    };
    const glass = one("g", readId, "glass");
    if (glass) view.spec.glass = glass;
    const dilution = one("d", readDilution, "dilution");
    if (dilution) view.spec.dilution = dilution;
    view.rules = {};
    for (const { line, rule } of lines) if (rule) view.rules[line.ingredient] = rule;
  }
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
    maxTouched: one("mt", positiveInteger, "limit") ?? null,
    maxFinishedMl: one("mf", positive, "glass limit") ?? null,
    minProbability: one("mp", probability, "chance") ?? null,
    measure: one("ms", oneOf(MEASURES), "measure") ?? DEFAULT_ASK.measure,
    driftBudget: one("md", positive, "drift budget") ?? null,
  };
  return { view, problems };
}

function clip(value: string): string {
  return value.length > 40 ? `${value.slice(0, 40)}…` : value;
}

function oneOf<T extends string>(values: readonly T[]) {
  return (value: string): T | null => values.find((candidate) => candidate === value) ?? null;
}

function readId(value: string): string | null {
  return /^[a-z0-9][a-z0-9-]{0,79}$/i.test(value) ? value : null;
}

function finite(value: string): number | null {
  if (!new RegExp(`^${NUMBER}$`).test(value)) return null;
  const x = Number(value);
  return Number.isFinite(x) ? x : null;
}

function positive(value: string): number | null {
  const x = finite(value);
  return x !== null && x > 0 && x < 1e6 ? x : null;
}

function positiveInteger(value: string): number | null {
  const x = positive(value);
  return x !== null && Number.isInteger(x) ? x : null;
}

function probability(value: string): number | null {
  const x = positive(value);
  return x !== null && x < 1 ? x : null;
}

function readLine(value: string): { line: SpecLine; rule: LineRule | null } | null {
  const match = LINE.exec(value);
  if (!match) return null;
  const [, ingredient, amountText, unit, stage, lock, min, max] = match;
  const amount = finite(amountText!);
  if (amount === null || amount < 0 || amount > 1e5 || !UNIT_IDS.includes(unit as UnitId)) return null;
  const line: SpecLine = { ingredient: ingredient!, amount, unit: unit as UnitId };
  if (stage) line.stage = stage === "^top" ? "top" : "mix";
  const rule: LineRule = {};
  if (lock) rule.locked = true;
  if (min !== undefined) rule.minMl = Number(min);
  if (max !== undefined) rule.maxMl = Number(max);
  return { line, rule: Object.keys(rule).length > 0 ? rule : null };
}

function readDilution(value: string): DilutionChoice | null {
  const modelled = /^(regression|energy)(?:\*([^@]+))?(?:@(.+))?$/.exec(value);
  if (modelled) return readModel(modelled[1] as "regression" | "energy", modelled[2], modelled[3]);
  const match = /^(volume|mass|water):([^/]+)(?:\/(.+))?$/.exec(value);
  if (!match) return null;
  const amount = match[1] === "water" ? nonNegative(match[2]!) : positive(match[2]!);
  if (amount === null) return null;
  const sd = match[3] === undefined ? null : nonNegative(match[3]);
  if (match[3] !== undefined && sd === null) return null;
  return {
    model: "measured",
    ...(match[1] === "volume" && { finishedVolumeMl: amount }),
    ...(match[1] === "mass" && { finishedMassG: amount }),
    ...(match[1] === "water" && { waterMl: amount }),
    ...(sd !== null && { sdMl: sd }),
  };
}

function readModel(
  model: "regression" | "energy",
  calibrationText: string | undefined,
  conditionsText: string | undefined,
): DilutionChoice | null {
  const numbers = calibrationText?.split("/").map(nonNegative) ?? [];
  if (calibrationText !== undefined && (numbers.length !== 3 || numbers.some((x) => x === null))) return null;
  const [factor, sd, n] = numbers as number[];
  const calibration =
    calibrationText === undefined ? {} : { calibration: { factor: factor!, sd: sd!, n: n! } };
  if (conditionsText === undefined) return { model, ...calibration };
  if (model !== "energy") return null;
  const conditions: Partial<IceConditions> = {};
  for (const entry of conditionsText.split(",")) {
    const [key, text] = entry.split("=");
    const known = ICE_KEYS.find((candidate) => candidate === key);
    const x = finite(text ?? "");
    if (known === undefined || x === null) return null;
    conditions[known] = x;
  }
  return { model, ...calibration, conditions };
}

function readMeasure(value: string): Partial<UnitSettings> | null {
  const match = /^([a-z]+):([^/]+)(?:\/(.+))?$/.exec(value);
  const keys = MEASURE_KEYS.find(([unit]) => unit === match?.[1]);
  const size = positive(match?.[2] ?? "");
  if (!keys || size === null) return null;
  const [, sizeKey, sdKey] = keys;
  if (match?.[3] === undefined) return { [sizeKey]: size };
  const sd = nonNegative(match[3]);
  return sd === null || !sdKey ? null : { [sizeKey]: size, [sdKey]: sd };
}

function readMeasured(value: string): [string, Measured] | null {
  const [id, rest] = value.split(":");
  if (!id || !readId(id) || !rest) return null;
  const own: Measured = {};
  for (const figure of rest.split(",")) {
    const key = MEASURED_KEYS.find(([letter]) => letter === figure[0])?.[1];
    const x = nonNegative(figure.slice(1));
    if (!key || x === null || x > MOST_MEASURED[key]) return null;
    own[key] = x;
  }
  return [id, own];
}

function nonNegative(value: string): number | null {
  const x = finite(value);
  return x !== null && x >= 0 && x < 1e6 ? x : null;
}

function readRange(value: string): Interval | null {
  const match = new RegExp(String.raw`^(${NUMBER})?\.\.(${NUMBER})?$`).exec(value);
  if (!match) return null;
  const low = match[1] === undefined ? null : Number(match[1]);
  const high = match[2] === undefined ? null : Number(match[2]);
  return low !== null && high !== null && low > high ? null : [low, high];
}

function readPart(value: string): TargetPart | null {
  const colon = value.indexOf(":");
  const kind = value.slice(0, colon);
  const rest = value.slice(colon + 1);
  if (kind === "family") {
    const [family, coverageText] = rest.split(":");
    const coverage = coverageText === undefined ? 0.9 : probability(coverageText);
    return family && readId(family) && coverage !== null ? { kind, family, coverage } : null;
  }
  if (kind === "band") return readId(rest) ? { kind, band: rest } : null;
  if (kind === "box") {
    const sides = rest.split(",").map(readRange);
    if (sides.length !== 3 || sides.some((side) => side === null)) return null;
    return { kind, sugar: sides[0]!, acid: sides[1]!, abv: sides[2]! };
  }
  if (kind === "ratio") {
    const sides = readRange(rest);
    return sides && (sides[0] !== null || sides[1] !== null) ? { kind, min: sides[0], max: sides[1] } : null;
  }
  if (kind === "plane") {
    const numbers = rest.split(",").map(finite);
    if (numbers.length !== 4 || numbers.some((x) => x === null)) return null;
    const [a, b, c, offset] = numbers as number[];
    return a === 0 && b === 0 && c === 0 ? null : { kind, normal: [a!, b!, c!], offset: offset! };
  }
  return null;
}

function readLadder(value: string): LadderChoice | null {
  const [id, step] = value.split(":");
  const ladder = oneOf(LADDER_IDS)(id ?? "");
  if (ladder === null) return null;
  if (ladder !== "own") return { id: ladder };
  const stepMl = step === undefined ? 5 : positive(step);
  return stepMl !== null && stepMl >= 0.1 && stepMl <= 100 ? { id: "own", stepMl } : null;
}

function readCharacter(value: string): CharacterRule | null {
  const [ingredient, kind, rest] = value.split(":");
  if (!ingredient || !readId(ingredient) || rest === undefined) return null;
  if (kind === "over") return readId(rest) ? { ingredient, atLeastAsMuchAs: rest } : null;
  if (kind !== "share") return null;
  const share = positive(rest);
  return share !== null && share <= 100 ? { ingredient, minSharePercent: share } : null;
}
