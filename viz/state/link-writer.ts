import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import type { DilutionChoice, Interval, Spec, SpecLine, UnitSettings } from "../../engine/types.ts";
import { DEFAULT_ASK, type LineRule, type TargetPart, type View } from "./view.ts";

/** Letters of the sizes of measures: unit, size, doubt. */
export const MEASURE_KEYS: readonly (readonly [string, keyof UnitSettings, (keyof UnitSettings)?])[] = [
  ["barspoon", "barspoonMl", "barspoonSdMl"],
  ["dash", "dashMl", "dashSdMl"],
  ["drop", "dropMl", "dropSdMl"],
  ["part", "partMl"],
];
/** Letters of a user's own figures. */
export const MEASURED_KEYS = [
  ["s", "sugar"],
  ["a", "acid"],
  ["v", "abv"],
] as const;
/** The step of a ladder of one's own that names none. */
export const USUAL_OWN_STEP_ML = 5;

/**
 * Write a view as a URL fragment, without the leading `#`.
 *
 * Grammar, version 1 (`v=1`), keys joined by `&`, each value percent-encoded:
 *   n   name of the drink            m   method            g  glass id           gi  ice in it
 *   l   one per line: `rum-aged:2oz`, then any of `^top` `^mix` `!` (locked) `[10..30]` (mL bounds)
 *   d   dilution: `regression` or `energy`, with `*factor/sd/n` when calibrated and `@iceTempC=-5,…` for ice
 *       conditions; or `volume:104`, `mass:110`, `water:30`, with `/sd` where the user gave one
 *   t   one per target part: `family:sour:0.9`, `near:daiquiri`, `band:id`, `box:4..8,0.6..0.9,15..20`, `ratio:6..9`, `plane:1,0,0,8`
 *   u   units `oz` or `ml`           k   ladder id, `own:2.5` for an own step in mL
 *   w   size of a measure in mL, one each: `dash:0.8/0.2` (the usual sizes are left out)
 *   o   own figures of an ingredient, one each: `juice-pineapple:s12.6,a0.7,v0` (g, g as citric, % vol)
 *   b   bench   r   round   h   highlighted reference
 *   a   addition, one each   c  character rule, one each   mt mf mp ms md mg   limits of the question
 *
 *   x   a round of the bench, itself such a fragment, with i number, p parent, a put aside, s how it was marked,
 *       t label, q notes, f a fault each; bn the bench's name; xr the round in work: only in links made to carry
 *       the bench along (`link-bench.ts`)
 *   y   an ingredient of the sender's own, as JSON, one each   yp  a prep of theirs, likewise: along with a bench,
 *       or with a lesson
 *
 * `link-reader.ts` reads it.
 */
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
  for (const id of view.ask.release ?? []) put("kr", id);
  put("md", view.ask.driftBudget === null ? null : num(view.ask.driftBudget));
  return joinPairs(pairs);
}

/** A spec and its rules as keys and values: n, m, g, gi, l, d. */
export function specPairs(spec: Spec, rules: Record<string, LineRule>): [string, string][] {
  const dilution = encodeDilution(spec.dilution);
  return [
    ["n", spec.name],
    ["m", spec.method],
    ...(spec.glass ? [["g", spec.glass] satisfies [string, string]] : []),
    ...(spec.servedOn ? [["gi", spec.servedOn] satisfies [string, string]] : []),
    ...spec.lines.map((line): [string, string] => ["l", encodeLine(line, rules[line.ingredient])]),
    ...(dilution ? [["d", dilution] satisfies [string, string]] : []),
  ];
}

function encodeLine(line: SpecLine, rule: LineRule | undefined): string {
  const stage = line.stage ? `^${line.stage}` : "";
  const lock = rule?.locked ? "!" : "";
  const bounds =
    rule && (rule.minMl !== undefined || rule.maxMl !== undefined)
      ? `[${range([rule.minMl ?? null, rule.maxMl ?? null])}]`
      : "";
  const doubt = line.amountSdPercent === undefined ? "" : `~${num(line.amountSdPercent)}`;
  return `${line.ingredient}:${num(line.amount)}${line.unit}${doubt}${stage}${lock}${bounds}`;
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

/** One requirement of the target as text. */
export function encodePart(part: TargetPart): string {
  switch (part.kind) {
    case "family":
      return `family:${part.family}:${num(part.coverage)}${part.era === undefined ? "" : `:${part.era}`}`;
    case "near":
      return `near:${part.drink}`;
    case "band":
      return `band:${part.band}`;
    case "box":
      return `box:${range(part.sugar)},${range(part.acid)},${range(part.abv)}`;
    case "ratio":
      return `ratio:${range([part.min, part.max])}`;
    case "plane":
      return `plane:${[...part.normal, part.offset].map(num).join(",")}`;
    case "table": {
      const numbers = [...part.mean, ...part.covariance, part.radius].map(num).join(",");
      return `table:${numbers}${part.family === null ? "" : `:${part.family}`}`;
    }
  }
}

/** Join keys and values as a fragment; characters this grammar uses stay readable. */
export function joinPairs(pairs: readonly (readonly [string, string])[]): string {
  return pairs
    .map(([key, value]) => {
      const encoded = encodeURIComponent(value);
      return `${key}=${encoded.replace(/%(3A|2C|5E|5B|5D|2F|40|3D)/g, (whole) => decodeURIComponent(whole))}`;
    })
    .join("&");
}

/** Shortest text of a number that keeps six significant digits: enough for any pour. */
export function num(x: number): string {
  return String(Number(x.toPrecision(6)));
}

/** `4..8`, an open end left empty. */
export function range(interval: Interval): string {
  return `${interval[0] === null ? "" : num(interval[0])}..${interval[1] === null ? "" : num(interval[1])}`;
}
