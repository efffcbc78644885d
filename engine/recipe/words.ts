import { formatQuantity } from "../amounts/format-amount.ts";
import { type QuantityNote, quantityNoteText } from "../amounts/words.ts";
import type { Method } from "../types.ts";
import { type FactsOf, joinWords, sentenceOf } from "../wording.ts";
import type { ParsedLine, ParsedRecipe } from "./parse-recipe.ts";

/*
 * Every sentence of the reader, made at the edge from the facts it gives.
 */

const ml = (x: number) => formatQuantity(x < 10 ? Number(x.toPrecision(2)) : Math.round(x * 2) / 2, "ml");
const quoted = (words: readonly string[]) => words.map((w) => `“${w}”`).join(", ");

/** What a sentence may be made from. Amounts are in mL; `said` is the text's own words. */
interface Told {
  said: string;
  name: string;
  names: string[];
  words: string[];
  percent: number;
  ratio: string;
  note: QuantityNote;
  /** What the text was read as, and what else it could have been. */
  taken: string;
  others: string[];
  base: string;
  typed: string;
  used: string;
  ml: number;
  sdMl: number;
  roomMl: number;
  unit: string;
  count: number;
  glass: string;
  method: Method;
}
type Of<F extends keyof Told> = Pick<Told, F>;

const REASONS = {
  "no-words": () => "no words to read",
  heading: () => "a heading",
  title: () => "the drink's name",
  label: () => "a note about serving: not counted",
  rim: () => "a rim: not counted",
  step: () => "method",
  service: () => "how it is served",
  /** Aroma, decoration or seasoning. */
  "not-counted": ({ said }: Of<"said">) =>
    `“${said}” brings aroma or salt, not sugar, acid or alcohol: not counted`,
  prose: () => "no amount and ingredient found: write amount, unit, ingredient",
  "too-long": () => "too long for an ingredient line: one ingredient a line",
  "no-name": () => "an amount without an ingredient",
  "no-unit": () => "no unit: write oz, mL, parts, dashes or g after the number",
  "no-size": ({ said }: Of<"said">) => `“${said}” has no agreed size: give mL, oz or g`,
  "no-piece-size": ({ name }: Of<"name">) => `the pantry has no size for one ${name}: give mL, oz or g`,
  "whole-fruit": ({ said }: Of<"said">) =>
    `how much juice “${said}” gives is not known: give mL, oz or g of juice or purée`,
  "no-volume": ({ said }: Of<"said">) => `the amount of ${said} cannot be turned into a volume`,
  "too-large": ({ said }: Of<"said">) => `${said} is more than 20 litres`,
  "zero-amount": () => "the amount is zero",
  "no-amount": ({ said }: Of<"said">) =>
    `no amount for “${said}”: write how much, for example “30 ml ${said}”`,
  "to-taste": ({ said }: Of<"said">) => `“${said}” is no amount: give the one you pour, then taste`,
  "several-on-line": () => "several ingredients on one line: give each its own line",
  "chain-of-numbers": () => "numbers without names: write each amount before its ingredient",
  "nothing-like": ({ said }: Of<"said">) => `nothing in the pantry is like “${said}”`,
  "choice-offered": ({ names }: Of<"names">) => `the text offers a choice: ${names.join(" or ")}`,
  "fits-several": ({ said, names }: Of<"said" | "names">) =>
    `“${said}” fits ${names.join(", ")}, which differ in the glass`,
  "words-left": ({ words }: Of<"words">) => `no pantry name has all its words: ${quoted(words)} left over`,
  "about-as-close": ({ said }: Of<"said">) => `“${said}” is not quite any pantry name`,
  "strength-unlikely": ({ said, percent, name }: Of<"said" | "percent" | "name">) =>
    `“${said}” says ${percent} %, which ${name} cannot be: choose another, or enter your own`,
  "ratio-unusable": ({ said, ratio, name }: Of<"said" | "ratio" | "name">) =>
    `“${said}” says ${ratio}, and what that makes of ${name} is not known: choose, or enter your own`,
  "glass-is-full": ({ name }: Of<"name">) => `${name} is full to its wash line without it: write how much`,
};

const NOTES = {
  amount: ({ note }: Of<"note">) => quantityNoteText(note),
  "range-middle": ({ said }: Of<"said">) => `a range, ${said}: its middle is used`,
  "as-juice": ({ said }: Of<"said">) => `“${said}” read as its juice`,
  "no-ratio": ({ taken, others }: Of<"taken" | "others">) =>
    `no ratio given: read as ${taken}; the pantry also has ${others.join(", ")}`,
  "also-has": ({ taken, others }: Of<"taken" | "others">) =>
    `read as ${taken}; the pantry also has ${others.join(", ")}`,
  "taken-among": ({ taken, others }: Of<"taken" | "others">) =>
    `${taken} is taken; ${joinWords(others)} would sit in the same place`,
  adjusted: ({ said, base, taken }: Of<"said" | "base" | "taken">) =>
    `“${said}”: ${base} at what was written, as ${taken}`,
  respelt: ({ typed, taken }: Of<"typed" | "taken">) => `“${typed}” read as “${taken}”`,
  "read-as": ({ said, taken }: Of<"said" | "taken">) => `“${said}” read as ${taken}`,
  /** A second name in brackets, of the same kind. */
  gloss: ({ said, taken }: Of<"said" | "taken">) => `“${said}” in brackets read as another word for ${taken}`,
  "figure-idle": ({ said }: Of<"said">) => `“${said}” is not a strength here: not used`,
  /** Another ingredient of its kind in its place: in so small an amount they sit alike. */
  "stands-for": ({ said, taken }: Of<"said" | "taken">) =>
    `“${said}” is not in the pantry: by the dash it sits where ${taken} does, which is taken for it`,
  "second-amount": ({ said, used }: Of<"said" | "used">) =>
    `also written as ${said}, which is another amount: ${used} is used`,
  "piece-size": ({ ml: size, sdMl }: Of<"ml" | "sdMl">) =>
    `taken as ${ml(size)} ± ${ml(sdMl)}: measure yours`,
  "part-size": ({ ml: size }: Of<"ml">) => `one part taken as ${ml(size)}`,
  "powder-by-volume": () => "an ounce of a powder read as a fluid ounce, by volume, not by weight",
  "unit-from-others": ({ unit }: Of<"unit">) => `no unit: ${unit} taken from the other lines`,
  "read-as-ml": () => "no unit: read as mL",
  "read-as-parts": ({ ml: size }: Of<"ml">) => `no unit: read as parts of ${ml(size)}`,
  "one-implied": () => "no amount given: read as one",
  "word-size": ({ said, ml: size, sdMl }: Of<"said" | "ml" | "sdMl">) =>
    `“${said}” taken as ${ml(size)} ± ${ml(sdMl)}: measure yours`,
  few: ({ said, count }: Of<"said" | "count">) => `“${said}” read as ${count}, give or take`,
  optional: () => "marked as optional: counted as written",
  "goes-on-top": ({ name }: Of<"name">) => `${name} goes in after the ice has done its work`,
  filled: ({ ml: poured, sdMl, glass, roomMl }: Of<"ml" | "sdMl" | "glass" | "roomMl">) =>
    `fills the ${glass.toLowerCase()} to its wash line (${ml(roomMl)} beside the ice): ${ml(poured)} ± ${ml(sdMl)}`,
  "glass-supposed": ({ glass }: Of<"glass">) => `no glass named: a ${glass.toLowerCase()} is supposed`,
  "method-supposed": ({ method }: Of<"method">) => `the text names no method: ${method} is supposed`,
  wedges: ({ count }: Of<"count">) => `${count} wedges taken as ${count}/8 of a fruit`,
};

/** Why a piece was not read, must be chosen, or is no ingredient. */
export type Reason = FactsOf<typeof REASONS>;
/** What was taken as so. */
export type Note = FactsOf<typeof NOTES>;

/** Why a line was not read, must be chosen, or is no ingredient. */
export const reasonText = (reason: Reason) => sentenceOf(REASONS, reason);
/** What was taken as so. */
export const noteText = (note: Note) => sentenceOf(NOTES, note);

/** A code for machines and its sentence for people. */
export interface Remark {
  code: string;
  text: string;
}

/** A line with its codes and sentences, as the API gives it. */
export interface SpokenLine extends Omit<ParsedLine, "notes" | "reason"> {
  assumptions: Remark[];
  reason?: Remark;
}

/** A reading with its codes and sentences, as the API gives it. */
export interface SpokenRecipe extends Omit<ParsedRecipe, "lines" | "notes"> {
  lines: SpokenLine[];
  assumptions: Remark[];
}

/** A note's code and sentence. */
export const spokenNote = (note: Note): Remark => ({ code: note.code, text: noteText(note) });

/** The reading with sentences beside its codes. */
export function spoken({ lines, notes, ...rest }: ParsedRecipe): SpokenRecipe {
  return {
    ...rest,
    lines: lines.map(({ notes: own, reason, ...line }) => ({
      ...line,
      assumptions: own.map(spokenNote),
      ...(reason && { reason: { code: reason.code, text: reasonText(reason) } }),
    })),
    assumptions: notes.map(spokenNote),
  };
}
