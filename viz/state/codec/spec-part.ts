import { METHOD_IDS, SERVING_ICE_IDS } from "../../../engine/ids.ts";
import { LONGEST } from "../../../engine/limits.ts";
import { dilutionShape, specLineShape } from "../../../engine/shapes/spec.ts";
import { lineRuleShape } from "../../../engine/shapes/view.ts";
import type { DilutionChoice, Spec, SpecLine } from "../../../engine/types.ts";
import type { LineRule } from "../view.ts";
import { finite, fits, oneOf, type Reader, readId } from "./reader.ts";

const NUMBER = String.raw`-?\d+(?:\.\d+)?(?:e-?\d+)?`;
const LINE = new RegExp(
  String.raw`^([a-z0-9-]+):(${NUMBER})([a-z-]+)(?:~(${NUMBER}))?(\^top|\^mix)?(!)?(?:\[(${NUMBER})?\.\.(${NUMBER})?\])?$`,
);

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

function readLine(value: string): { line: SpecLine; rule: LineRule | null } | null {
  const match = LINE.exec(value);
  if (!match) return null;
  const [, ingredient, amount, unit, doubt, stage, lock, min, max] = match;
  const line = fits(specLineShape, {
    ingredient,
    amount: Number(amount),
    unit,
    ...(doubt !== undefined && { amountSdPercent: Number(doubt) }),
    ...(stage && { stage: stage.slice(1) }),
  });
  const rule = fits(lineRuleShape, {
    ...(lock && { locked: true }),
    ...(min !== undefined && { minMl: Number(min) }),
    ...(max !== undefined && { maxMl: Number(max) }),
  });
  return line && rule && { line, rule: Object.keys(rule).length > 0 ? rule : null };
}

const MEASURED_AS = { volume: "finishedVolumeMl", mass: "finishedMassG", water: "waterMl" } as const;

function readDilution(value: string): DilutionChoice | null {
  const modelled = /^(regression|energy)(?:\*([^@]+))?(?:@(.+))?$/.exec(value);
  if (modelled) return readModel(modelled[1]!, modelled[2], modelled[3]);
  const match = /^(volume|mass|water):([^/]+)(?:\/(.+))?$/.exec(value);
  if (!match) return null;
  return fits(dilutionShape, {
    model: "measured",
    [MEASURED_AS[match[1] as keyof typeof MEASURED_AS]]: finite(match[2]!),
    ...(match[3] !== undefined && { sdMl: finite(match[3]) }),
  });
}

function readModel(
  model: string,
  calibrationText: string | undefined,
  conditionsText: string | undefined,
): DilutionChoice | null {
  const [factor, sd, n, ...more] = calibrationText?.split("/").map(finite) ?? [];
  if (more.length > 0) return null;
  const conditions = conditionsText?.split(",").map((entry) => {
    const [key, text] = entry.split("=");
    return [key, finite(text ?? "")] as const;
  });
  return fits(dilutionShape, {
    model,
    ...(calibrationText !== undefined && { calibration: { factor, sd, n } }),
    ...(conditions && { conditions: Object.fromEntries(conditions) }),
  });
}
