import { parseQuantity } from "../amounts/parse-quantity.ts";
import { DEFAULT_UNIT_SETTINGS } from "../amounts/units.ts";
import { fail } from "../errors.ts";
import { LONGEST } from "../limits.ts";
import type { Method, Pantry, Spec, SpecLine, UnitId, UnitSettings } from "../types.ts";
import { EXACT_SCORE, indexPantry, matchName, type PantryIndex } from "./match.ts";
import { detectMethod } from "./method.ts";
import {
  bareText,
  checkInstruction,
  hasAmount,
  isCount,
  type LineContext,
  type ParsedLine,
  parseLine,
  titleText,
} from "./parse-line.ts";

export type { ParsedLine } from "./parse-line.ts";

/** Most characters of a pasted text; beyond this it is no drink spec. */
export const MAX_RECIPE_CHARS = LONGEST.recipe;
/** Most lines of a pasted text. */
export const MAX_RECIPE_LINES = 400;

export interface ParsedRecipe {
  /** One per line of the text, in order. */
  lines: ParsedLine[];
  /** The read lines only; null when none was read. */
  spec: Spec | null;
  /** The method the text names, or null: then `spec.method` is a guess listed in `assumptions`. */
  method: Method | null;
  /** The text's method lines. */
  methodText?: string;
  /** The drink's name, where the text gives one. */
  title?: string;
  /** About the text as a whole. */
  assumptions: string[];
  /** True when at least one line was read and none is left to choose or unread. */
  complete: boolean;
}

export interface ParseRecipeOptions {
  unitSettings?: UnitSettings;
}

/**
 * Read a pasted spec, one ingredient a line. Every line comes back with its raw text and a status;
 * what the text leaves open is listed as an assumption or left to choose, never settled silently.
 * Throws EngineError when the text is longer than 20 000 characters or 400 lines, never otherwise.
 */
export function parseRecipe(text: string, pantry: Pantry, options: ParseRecipeOptions = {}): ParsedRecipe {
  if (text.length > MAX_RECIPE_CHARS) {
    fail("/text", `${text.length} characters, the limit is ${MAX_RECIPE_CHARS}`, "paste one spec at a time");
  }
  const raws = text.split(/\r\n|[\n\r\u2028\u2029]/u);
  if (raws.length > MAX_RECIPE_LINES) {
    fail("/text", `${raws.length} lines, the limit is ${MAX_RECIPE_LINES}`, "paste one spec at a time");
  }
  const settings = options.unitSettings ?? DEFAULT_UNIT_SETTINGS;
  const index = indexPantry(pantry);
  const ctx: LineContext = { pantry, index, settings, ...readBareNumbers(raws, settings) };
  const titleAt = findTitle(raws, index);

  let lines = raws.map((raw, i): ParsedLine => {
    if (i !== titleAt) return parseLine(raw, i + 1, ctx);
    return {
      raw,
      lineNumber: i + 1,
      status: "instruction",
      candidates: [],
      assumptions: [],
      reason: "title",
    };
  });
  const read: SpecLine[] = lines.flatMap((l) => (l.status === "read" && l.line ? [l.line] : []));
  const byIngredient = new Map(lines.flatMap((l) => (l.line ? [[l.line.ingredient, l.line] as const] : [])));
  const steps = lines.filter((l, i) => i !== titleAt && l.status === "instruction").map((l) => l.raw.trim());
  lines = lines.map((l, i) =>
    l.status === "instruction" && i !== titleAt ? checkInstruction(l, byIngredient, ctx) : l,
  );

  const methodText = steps.join("\n");
  const method = detectMethod(methodText) ?? (titleAt === null ? null : detectMethod(raws[titleAt]!));
  const title = titleAt === null ? undefined : titleText(raws[titleAt]!);
  const assumptions: string[] = [];
  let spec: Spec | null = null;
  if (read.length > 0) {
    const taken = method ?? likelyMethod(read, pantry);
    if (method === null) assumptions.push(`the text names no method: ${taken} is assumed`);
    spec = { name: title || "Untitled", method: taken, lines: read };
  }
  return {
    lines,
    spec,
    method,
    ...(methodText && { methodText }),
    ...(title && { title }),
    assumptions,
    complete: read.length > 0 && lines.every((l) => l.status !== "choose" && l.status !== "unread"),
  };
}

/** Common practice, no published source: juice, egg and dairy are shaken, the rest is stirred. */
function likelyMethod(lines: readonly SpecLine[], pantry: Pantry): Method {
  const cloudy = new Set(["sour-juice", "sweet-juice", "egg", "dairy"]);
  return lines.some((l) => cloudy.has(pantry.get(l.ingredient)?.role ?? "")) ? "shaken" : "stirred";
}

/** The first line is a title when it has no amount, later lines do, and it is no ingredient's name. */
function findTitle(raws: readonly string[], index: PantryIndex): number | null {
  const at = raws.findIndex((raw) => /[\p{L}\p{N}]/u.test(raw));
  if (at === -1 || hasAmount(raws[at]!) || !raws.slice(at + 1).some(hasAmount)) return null;
  const title = titleText(raws[at]!);
  if (title === "" || title.length > 80) return null;
  if (/^(?:ingredients?|zutaten|ingr[ée]dients?|ingredientes|ingredienti|spec|recipe|method)$/iu.test(title))
    return null;
  if (/^(?:top|float|splash|dash|add|shake|stir|build|garnish|egg)\b/iu.test(title)) return null;
  return matchName(title, index).candidates[0]?.score === EXACT_SCORE ? null : at;
}

/** Units that pours are written in; a bare number beside them means the same unit. */
const POUR_UNITS: readonly UnitId[] = ["ml", "cl", "oz", "imperial-oz", "part"];

function readBareNumbers(
  raws: readonly string[],
  settings: UnitSettings,
): Pick<LineContext, "impliedUnit" | "barePours"> {
  const counts = new Map<UnitId, number>();
  let largest = 0;
  for (const raw of raws) {
    const quantity = parseQuantity(bareText(raw));
    if (!quantity) continue;
    if (quantity.unit === null) {
      if (!isCount(quantity.rest, quantity.amount))
        largest = Math.max(largest, quantity.high ?? quantity.amount);
    } else if (POUR_UNITS.includes(quantity.unit)) {
      counts.set(quantity.unit, (counts.get(quantity.unit) ?? 0) + 1);
    }
  }
  const barePours = largest > 0;
  const [used] = counts.keys();
  if (counts.size > 1) return { impliedUnit: null, barePours };
  if (used)
    return { impliedUnit: { unit: used, why: `no unit: ${used} taken from the other lines` }, barePours };
  const impliedUnit =
    largest >= 10
      ? { unit: "ml" as const, why: "no unit: read as mL" }
      : { unit: "part" as const, why: `no unit: read as parts of ${settings.partMl} mL` };
  return { impliedUnit, barePours };
}
