import { ICE_CONDITION_IDS, METHOD_IDS, SERVING_ICE_IDS, UNIT_IDS } from "../../../engine/ids.ts";
import { ICE_CONDITIONS, LEAST_AMOUNT, LONGEST, MOST_AMOUNT } from "../../../engine/limits.ts";
import type { DilutionChoice, IceConditions, Spec, SpecLine, UnitId } from "../../../engine/types.ts";
import type { LineRule } from "../view.ts";
import { finite, nonNegative, num, oneOf, positive, type Reader, range, readId } from "./reader.ts";

const NUMBER = String.raw`-?\d+(?:\.\d+)?(?:e-?\d+)?`;
const LINE = new RegExp(
  String.raw`^([a-z0-9-]+):(${NUMBER})([a-z-]+)(\^top|\^mix)?(!)?(?:\[(${NUMBER})?\.\.(${NUMBER})?\])?$`,
);

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

/** The spec and rules a reader holds; null when it has no readable line. */
export function readSpec(reader: Reader): { spec: Spec; rules: Record<string, LineRule> } | null {
  const lines = reader.many("l", readLine, "line");
  if (lines.length === 0) return null;
  const glass = reader.one("g", readId, "glass");
  const servedOn = reader.one("gi", oneOf(SERVING_ICE_IDS), "ice in the glass");
  const dilution = reader.one("d", readDilution, "dilution");
  const rules: Record<string, LineRule> = {};
  for (const { line, rule } of lines) if (rule) rules[line.ingredient] = rule;
  return {
    spec: {
      name: (reader.text("n") ?? "Untitled").slice(0, LONGEST.name),
      method: reader.one("m", oneOf(METHOD_IDS), "method") ?? "shaken",
      lines: lines.map((entry) => entry.line),
      ...(glass && { glass }),
      ...(servedOn && { servedOn }),
      ...(dilution && { dilution }),
    },
    rules,
  };
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

function readLine(value: string): { line: SpecLine; rule: LineRule | null } | null {
  const match = LINE.exec(value);
  if (!match) return null;
  const [, ingredient, amountText, unit, stage, lock, min, max] = match;
  const amount = finite(amountText!);
  if (
    amount === null ||
    !(amount === 0 || amount >= LEAST_AMOUNT) ||
    amount > MOST_AMOUNT ||
    !UNIT_IDS.includes(unit as UnitId)
  )
    return null;
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
    const known = ICE_CONDITION_IDS.find((candidate) => candidate === key);
    const x = finite(text ?? "");
    if (known === undefined || x === null) return null;
    if (x < ICE_CONDITIONS[known].min || x > ICE_CONDITIONS[known].max) return null;
    conditions[known] = x;
  }
  return { model, ...calibration, conditions };
}
