import { DEFAULT_UNIT_SETTINGS, fromVolumeMl, toVolumeMl } from "../amounts/units.ts";
import { fail } from "../errors.ts";
import type { Glass, Ingredient, Method, Pantry, Spec, SpecLine, UnitId, UnitSettings } from "../types.ts";
import type { MadeIngredient } from "./adjust.ts";
import { called, type Facts, type PouredName } from "./facts.ts";
import { fillTo } from "./fill.ts";
import type { ReadPiece } from "./line-rules.ts";
import { readName } from "./names.ts";
import { indexPantry, type PantryIndex } from "./pantry-index.ts";
import { readLine } from "./plain-line.ts";
import {
  asInstruction,
  keepMade,
  type LineContext,
  type ParsedLine,
  readPoured,
  readUnpoured,
} from "./read-line.ts";
import { detectGlass, detectMethod, detectServingIce, hintedMethod } from "./service.ts";
import { settle } from "./settle.ts";
import { bareLine } from "./tokens.ts";
import { COMMENT_WORDS, CUT_WORDS, NOT_COUNTED, STEP_VERBS } from "./vocabulary.ts";
import type { Note, Reason } from "./words.ts";

export type { ParsedLine } from "./read-line.ts";

/** Most characters of a pasted text; beyond this it is no drink spec. */
export const MAX_RECIPE_CHARS = 20_000;
/** Most lines of a pasted text. */
export const MAX_RECIPE_LINES = 400;

/** A pasted text as read. */
export interface ParsedRecipe {
  /** One per line of the text, in order; several where one line holds several pieces. */
  lines: ParsedLine[];
  /** The read lines only; null when none was read. */
  spec: Spec | null;
  /** Pantry entries at the strength or ratio that was typed, which `spec` pours: see `withMade`. */
  made: MadeIngredient[];
  /** The method given or named in the text, or null: then `spec.method` is supposed, as `notes` says. */
  method: Method | null;
  /** The text's method lines. */
  methodText?: string;
  /** The drink's name, where the text gives one. */
  title?: string;
  /** About the text as a whole. */
  notes: Note[];
  /** True when at least one line was read and none is left to choose or unread. */
  complete: boolean;
}

/** The pantry with what a reading made of its entries, to place or solve the reading's spec with. */
export function withMade(pantry: Pantry, made: readonly MadeIngredient[]): Pantry {
  if (made.length === 0) return pantry;
  return new Map([...pantry, ...made.map(({ ingredient }) => [ingredient.id, ingredient] as const)]);
}

/** What is known beside the text. */
export interface ParseRecipeOptions {
  unitSettings?: UnitSettings;
  /** In place of what the text says, or does not say. */
  method?: Method;
  /** Id of a glass, in place of what the text says. */
  glass?: string;
  /** Glasses to fill to the wash line; without them "top with soda" is asked about. */
  glasses?: readonly Glass[];
}

/**
 * Read a pasted spec: ingredients a line each or several on one. Every line comes back with its raw text and a
 * status; what the text leaves open is noted or left to choose, never settled silently. A name is read only as an
 * ingredient that is called so; a typed strength or ratio is used, through `made`.
 *
 * @throws EngineError when the text is longer than 20 000 characters or 400 lines, never otherwise
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
  const pieces: ReadPiece[] = [];
  for (let i = 0; i < raws.length; i += 1) readLine(raws[i] ?? "", i + 1, index, pieces);
  const title = findTitle(pieces, index);
  const { implied, barePours } = bareNumbers(pieces, settings);
  const ctx: LineContext = { index, settings, implied, barePours, made: new Map() };
  const methodText = stepsOf(pieces, title);
  const method = options.method ?? detectMethod(methodText) ?? (title && detectMethod(title.line));
  const servedOn = detectServingIce(methodText);
  let glass = options.glass ?? knownGlass(methodText, options.glasses);

  const lines = pieces.map(({ said, facts }, i): ParsedLine => {
    if (i === title?.at) return asInstruction(facts.piece, { code: "title" });
    if (said.kind !== "pour") return readUnpoured(said, facts);
    return stepWhenNotCalled(said, facts) ?? readPoured(said, facts, ctx);
  });
  settleTops(pieces, lines);

  const read = () => pouredLines(lines);
  const notes: Note[] = [];
  const taken = method ?? hintedMethod(methodText) ?? likelyMethod(read(), index, ctx.made);
  const specOf = (): Spec => {
    const said: Spec = { name: title?.text ?? "Untitled", method: taken, lines: read() };
    if (glass !== null) said.glass = glass;
    if (servedOn !== null) said.servedOn = servedOn;
    return said;
  };
  const { glasses } = options;
  if (glasses) {
    const filled = fillTops(pieces, lines, ctx, (top) =>
      fillTo(specOf(), top, withMade(pantry, [...ctx.made.values()]), { glasses, unitSettings: settings }),
    );
    // What fills a glass holds for that glass.
    glass ??= filled;
  }
  const whole = specOf();
  const spec = whole.lines.length > 0 ? whole : null;
  if (spec && method === null) notes.push({ code: "method-supposed", method: taken });
  const complete = spec !== null && lines.every((l) => l.status !== "choose" && l.status !== "unread");
  const recipe: ParsedRecipe = { lines, spec, made: [...ctx.made.values()], method, notes, complete };
  if (methodText !== "") recipe.methodText = methodText;
  if (title) recipe.title = title.text;
  return recipe;
}

/** "top with a smile": what is no ingredient's name there is a step. */
function stepWhenNotCalled(said: PouredName, facts: Facts): ParsedLine | null {
  if (said.only !== "if-called") return null;
  const settled = settle(readName(said.name), facts.piece.text, facts.index);
  if (settled.status !== "unread") return null;
  return readUnpoured({ kind: "unread", reason: settled.reason, name: said.name }, facts);
}

/** What the read lines pour. (A loop: `flatMap` takes a tenth of the whole reading here.) */
function pouredLines(lines: readonly ParsedLine[]): SpecLine[] {
  const poured: SpecLine[] = [];
  for (const { status, line } of lines) if (status === "read" && line) poured.push(line);
  return poured;
}

/** The words about method, glass and ice: the lines that pour nothing. */
function stepsOf(pieces: readonly ReadPiece[], title: Title | null): string {
  const steps: string[] = [];
  pieces.forEach(({ said, facts: { piece } }, i) => {
    if (i !== title?.at && (said.kind === "instruction" || piece.step)) steps.push(piece.text);
  });
  return steps.join("\n");
}

/** The glass a text names, if it is one of those to fill. */
function knownGlass(methodText: string, glasses: readonly Glass[] | undefined): string | null {
  const glass = detectGlass(methodText);
  return glass !== null && (!glasses || glasses.some((g) => g.id === glass)) ? glass : null;
}

/** Common practice, no published source: juice, egg and dairy are shaken, the rest is stirred. */
function likelyMethod(
  lines: readonly SpecLine[],
  index: PantryIndex,
  made: ReadonlyMap<string, MadeIngredient>,
): Method {
  const cloudy = new Set(["sour-juice", "sweet-juice", "egg", "dairy"]);
  const roleOf = (id: string) => (index.pantry.get(id) ?? made.get(id)?.ingredient)?.role ?? "";
  return lines.some((l) => cloudy.has(roleOf(l.ingredient))) ? "shaken" : "stirred";
}

/** Which piece is the drink's name, as pasted, and what is the name in it. */
interface Title {
  at: number;
  line: string;
  text: string;
}

/** The line without list marks and heading marks, for a title. */
function titleText(raw: string): string {
  return bareLine(raw.replace(/^\s*#+\s*/u, ""))
    .replace(/^(?:name|drink|recipe|title|cocktail)\s*:\s*/iu, "")
    .replace(/[\s:-]+$/u, "");
}

/**
 * The first thing said is a title when it pours nothing, later ones do, and it is no ingredient's name or step.
 * "French 75" pours nothing either: a bare number behind the words, where the pours have units and come first.
 */
function findTitle(pieces: readonly ReadPiece[], index: PantryIndex): Title | null {
  const at = pieces.findIndex(({ said }) => said.kind !== "blank");
  const first = pieces[at];
  const pours = (from: number) => pieces.some(({ facts }, i) => i > from && facts.quantity);
  if (!first || !pours(at)) return null;
  const { piece, quantity, name } = first.facts;
  if (quantity && !isNumbered(first, pieces.slice(at + 1))) return null;
  const title: Title = { at, line: piece.text, text: titleText(piece.raw) };
  if (title.text === "" || title.text.length > 80) return null;
  if (first.said.kind === "instruction") return isTitle(first.said.reason, first.facts) ? title : null;
  return quantity || called(name, index) === null ? title : null;
}

/** "French 75": a bare number behind words, where every other amount has a unit. */
function isNumbered({ facts }: ReadPiece, later: readonly ReadPiece[]): boolean {
  const { tokens, quantity } = facts;
  if (quantity?.unit !== null || quantity.spelled) return false;
  const ends = tokens.at(-1)?.kind === "amount" && tokens[0]?.kind === "word";
  return ends && later.every((l) => l.facts.quantity?.unit !== null);
}

/** What reads as an instruction and names the drink: "# Method" does not, "# Night Bus" and "Mint Julep" do. */
function isTitle({ code }: Reason, { piece, words }: Facts): boolean {
  if (code === "heading") return piece.raw.trimStart().startsWith("#");
  if (code === "not-counted")
    return words.some((w) => !NOT_COUNTED.has(w) && !COMMENT_WORDS.has(w) && !CUT_WORDS.has(w));
  // "Stirred Up Sour" begins with a verb and is a name: every word has a capital.
  const written = piece.text.split(" ");
  const capitals = written.length > 1 && written.every((w) => /^\p{Lu}/u.test(w));
  const plain = code === "step" && !piece.tokens.some((t) => t.kind === "mark");
  return plain && capitals && words.some((w) => !STEP_VERBS.has(w));
}

/** Units that pours are written in; a bare number beside them means the same unit. */
const POUR_UNITS: readonly UnitId[] = ["ml", "cl", "oz", "imperial-oz", "part"];
/** Bare numbers reach this in millilitres and never in ounces or parts. */
const LEAST_ML = 10;

function bareNumbers(
  pieces: readonly ReadPiece[],
  settings: UnitSettings,
): Pick<LineContext, "implied" | "barePours"> {
  let unit: UnitId | null = null;
  let mixed = false;
  let largest = 0;
  for (const { said } of pieces) {
    if (said.kind !== "pour" || said.amount === null) continue;
    if (said.unit !== null && said.sdPercent === undefined && POUR_UNITS.includes(said.unit)) {
      mixed ||= unit !== null && unit !== said.unit;
      unit = said.unit;
    } else if (said.unit === null && !said.fruit) largest = Math.max(largest, said.high ?? said.amount);
  }
  const barePours = largest > 0;
  if (mixed) return { implied: null, barePours };
  if (unit) return { implied: { unit, why: { code: "unit-from-others", unit } }, barePours };
  if (largest >= LEAST_ML) return { implied: { unit: "ml", why: { code: "read-as-ml" } }, barePours };
  return { implied: { unit: "part", why: { code: "read-as-parts", ml: settings.partMl } }, barePours };
}

/** "top with soda" in a step, where a line gives the soda: that line goes on top, and the step pours nothing. */
function settleTops(pieces: readonly ReadPiece[], lines: ParsedLine[]): void {
  pieces.forEach(({ said, facts }, i) => {
    const line = lines[i];
    if (!line || said.kind !== "pour" || said.stage !== "top" || said.only !== "if-called") return;
    const ids = new Set(line.candidates.map((c) => c.ingredient));
    const others = lines.filter((_, k) => k !== i && pieces[k]?.said.kind === "pour");
    const given = pouredLines(others).find(({ ingredient }) => ids.has(ingredient));
    if (!given) return;
    given.stage = "top";
    const note: Note = { code: "goes-on-top", name: line.name ?? facts.piece.text };
    lines[i] = asInstruction(line, { code: "step" }, [note]);
  });
}

/**
 * Give what tops the drink its amount, as much as fills the glass, and give that glass's id back; null when nothing
 * was filled. Two toppings without amounts are asked about.
 */
function fillTops(
  pieces: readonly ReadPiece[],
  lines: ParsedLine[],
  ctx: LineContext,
  fill: (top: Ingredient) => ReturnType<typeof fillTo>,
): string | null {
  const isOpen = (line: ParsedLine, i: number) => {
    const said = pieces[i]?.said;
    return line.status === "unread" && said?.kind === "pour" && said.amount === null;
  };
  const i = lines.findIndex(isOpen);
  const line = lines[i];
  const said = pieces[i]?.said;
  if (!line || said?.kind !== "pour" || lines.findLastIndex(isOpen) !== i) return null;
  const settled = settle(readName(said.name), line.name ?? "", ctx.index);
  if (settled.status !== "read") return null;
  const { ingredient } = settled;
  const filled = fill(ingredient);
  if (!filled) return null;
  if ("full" in filled) {
    lines[i] = { ...line, reason: { code: "glass-is-full", name: filled.full.name } satisfies Reason };
    return null;
  }
  const { sdMl, glass, named, roomMl } = filled;
  const { amount, unit, ml } = poured(filled.ml, lines);
  keepMade(settled, ctx);
  const { reason: _, ...kept } = line;
  const notes: Note[] = [{ code: "filled", ml, sdMl, glass: glass.name, roomMl }];
  if (!named) notes.push({ code: "glass-supposed", glass: glass.name });
  notes.push(...settled.notes);
  const amountSdPercent = (100 * sdMl) / ml;
  const top: SpecLine = { ingredient: ingredient.id, amount, unit, stage: "top", amountSdPercent };
  lines[i] = { ...kept, status: "read", line: top, candidates: settled.candidates, notes };
  return glass.id;
}

/** As a hand pours it beside what else the text pours: quarters of an ounce, or 5 mL, one at the least. */
function poured(ml: number, lines: readonly ParsedLine[]): { amount: number; unit: UnitId; ml: number } {
  const isOz = lines.some(({ line }) => line?.unit === "oz");
  const [unit, step] = isOz ? (["oz", 0.25] as const) : (["ml", 5] as const);
  const amount = step * Math.max(1, Math.round(fromVolumeMl(ml, unit) / step));
  return { amount, unit, ml: toVolumeMl(amount, unit).ml };
}
