import { sizedLine } from "../amounts/line.ts";
import { echoOf } from "../amounts/parse-quantity.ts";
import { MOST_AMOUNT } from "../limits.ts";
import { coefficientsOf, isDrySolid } from "../mix/coefficients.ts";
import type { Ingredient, SpecLine, UnitId, UnitSettings } from "../types.ts";
import type { MadeIngredient } from "./adjust.ts";
import { type Facts, nameText, type PouredName, type Said } from "./facts.ts";
import { type Candidate, rank } from "./match.ts";
import { type NameWords, readName } from "./names.ts";
import { type PantryIndex, wordsKey } from "./pantry-index.ts";
import { type Settled, sameOnAxes, settle } from "./settle.ts";
import { isMark, isWord, type Token } from "./tokens.ts";
import { BITTERS, FRUITS } from "./vocabulary.ts";
import type { Note, Reason } from "./words.ts";

/** A line as read, as facts; `engine/recipe/words.ts` has the sentences. */
export interface ParsedLine {
  /** The line exactly as pasted; of a line that holds several pieces, this piece. */
  raw: string;
  /** From 1. Pieces of one line share it. */
  lineNumber: number;
  /** How it was understood. */
  status: "read" | "choose" | "unread" | "blank" | "instruction";
  /** The name as written, without its amount; absent where none was told apart. */
  name?: string;
  /** Present when read; for "choose", with the first candidate, so that only the name is left to settle. */
  line?: SpecLine;
  /** Ranked, best first; empty for blanks and instructions. */
  candidates: Candidate[];
  /** What was taken as so. */
  notes: Note[];
  /** Why the line was not read, must be chosen, or is not an ingredient. */
  reason?: Reason;
}

/** What holds for every line of a text. */
export interface LineContext {
  index: PantryIndex;
  settings: UnitSettings;
  /** For numbers without a unit: the unit they stand for and why, or null when nobody can tell. */
  implied: { unit: UnitId; why: Note } | null;
  /** Pours of the text are bare numbers, so "¾ lime" is a pour too and not three quarters of a fruit. */
  barePours: boolean;
  /** Own ingredients made on the way, by id. */
  made: Map<string, MadeIngredient>;
}

const MOST_CANDIDATES = 6;
/** A bare number of bitters up to this is dashes in one bar and millilitres in another. */
const FEW_DASHES = 6;
/** A number this large beside fruit is millilitres; in millilitres one this small is a piece. */
const LEAST_POUR_OF_JUICE_ML = 5;

const CUBE = new Set(["cube", "lump"]);

type Read = Extract<Settled, { status: "read" }>;

/** Two that the text offers, and nobody but the reader can choose between. */
function choiceOf(a: Read, b: Read): Settled {
  const names = [a.ingredient.name, b.ingredient.name];
  return {
    status: "choose",
    reason: { code: "choice-offered", names },
    candidates: firstOf(a, b),
    notes: [],
  };
}
const firstOf = (a: Settled, b: Settled) => [...a.candidates.slice(0, 1), ...b.candidates.slice(0, 1)];

/** "gin or vodka", "lemon or lime juice": each side read alone, the last word shared. "And" makes two ingredients. */
function settleEither(name: readonly Token[], said: string, index: PantryIndex): Settled | null {
  const at = name.findIndex((t) => isWord(t, OR) || isWord(t, AND) || isMark(t, "/&+"));
  const sign = name[at];
  if (at <= 0 || at === name.length - 1) return null;
  const [left, right] = [name.slice(0, at), name.slice(at + 1)];
  const tail = right.findLast((t) => t.kind === "word");
  const side = (tokens: readonly Token[]) => {
    const alone = settle(readName(tokens), said, index);
    if (alone.status === "read" || !tail) return alone;
    return settle(readName([...tokens, tail]), said, index);
  };
  const [a, b] = [side(left), side(right)];
  if (a.status !== "read" || b.status !== "read") return null;
  const candidates = firstOf(a, b);
  if (isWord(sign, AND) || isMark(sign, "&+")) {
    return { status: "unread", reason: { code: "several-on-line" }, candidates, notes: [] };
  }
  if (a.ingredient === b.ingredient) return a;
  if (!sameOnAxes(a.ingredient, b.ingredient)) return choiceOf(a, b);
  const among: Note = { code: "taken-among", taken: a.ingredient.name, others: [b.ingredient.name] };
  return { ...a, candidates, notes: [...a.notes, among] };
}
const OR = new Set(["or", "oder", "ou", "o"]);
const AND = new Set(["and", "und", "et", "y"]);

const COUNTED_ROLES: ReadonlySet<Ingredient["role"]> = new Set(["egg", "tea-coffee"]);

/** What is sold by the bottle or can: beside pours with units a bare one or two of it is that, of any size. */
const BOTTLED: ReadonlySet<string | undefined> = new Set(["beer", "cola", "ginger", "tonic"]);
const FEW_BOTTLES = 2;

const isBottles = ({ amount }: PouredName, { role, kind }: Ingredient, { implied }: LineContext) =>
  implied?.why.code === "unit-from-others" &&
  (amount ?? 0) <= FEW_BOTTLES &&
  BOTTLED.has(kind) &&
  (role === "wine" || role === "lengthener");

/** The unit of a bare number, or the reason why nobody can tell. */
function unitOf(
  said: PouredName,
  ingredient: Ingredient,
  ctx: LineContext,
): { unit: UnitId; notes: Note[] } | Reason {
  if (said.unit !== null) return { unit: said.unit, notes: [] };
  const cubes = said.name.some((t) => isWord(t, CUBE));
  // A bare number of eggs, of shots of espresso and of cubes of sugar counts pieces.
  if (ingredient.pieceMl && (cubes || COUNTED_ROLES.has(ingredient.role)))
    return { unit: "piece", notes: [] };
  const few = ingredient.role === "bitters" && (said.amount ?? 0) <= FEW_DASHES;
  if (cubes || few || isBottles(said, ingredient, ctx) || !ctx.implied) return { code: "no-unit" };
  return { unit: ctx.implied.unit, notes: [ctx.implied.why] };
}

/** A count of fruit is a pour where the text's pours are bare numbers: "60 gin, 20 lemon". */
function asFruit(said: PouredName, ctx: LineContext): PouredName {
  if (said.fruit === undefined) return said;
  const { fruit, ...plain } = said;
  const pour = fruit === "maybe" && ctx.barePours && ctx.implied !== null;
  const tiny = ctx.implied?.unit === "ml" && (said.amount ?? 0) < LEAST_POUR_OF_JUICE_ML;
  if (!pour || tiny) return { ...plain, unit: "piece" };
  return { ...plain, unit: null, notes: plain.notes.filter((n) => n.code !== "as-juice") };
}

/** Sugar cubes are sugar. */
function withoutCubes(name: readonly Token[], index: PantryIndex): NameWords {
  const read = readName(name);
  const rest = read.words.filter((w) => !CUBE.has(w));
  const counted = rest.length < read.words.length && !index.byWords.has(wordsKey(read.words));
  return counted ? { ...read, words: rest } : read;
}

/** "2 dashes orange": its bitters, or its juice? */
function juiceOrBitters(juice: Settled, said: PouredName, name: string, index: PantryIndex): Settled {
  if (juice.status !== "read" || !said.name.every((t) => isWord(t, FRUITS))) return juice;
  const bitters: Token = { kind: "word", word: "bitters", start: 0, end: 0 };
  const other = settle(readName([...said.name, bitters]), name, index);
  if (other.status !== "read") return juice;
  return choiceOf(other, juice);
}

/** Bitters of a kind that the pantry lacks, by the dash: any bitters would land there. */
function settleDashes(settled: Settled, said: PouredName, name: string, index: PantryIndex): Settled {
  const dashed = said.unit === "dash" || said.unit === "drop";
  if (!dashed) return settled;
  if (settled.status === "read") return juiceOrBitters(settled, said, name, index);
  const last = said.name.findLast((t) => t.kind === "word");
  if (!isWord(last, BITTERS)) return settled;
  const nearest = settled.candidates
    .flatMap((c) => index.pantry.get(c.ingredient) ?? [])
    .find((i) => i.role === "bitters");
  if (!nearest) return settled;
  const notes: Note[] = [{ code: "stands-for", said: name, taken: nearest.name }];
  return { status: "read", ingredient: nearest, from: null, candidates: settled.candidates, notes };
}

/** Remember what was made of a pantry entry, so that the spec can be placed. */
export function keepMade(settled: Settled, ctx: LineContext): void {
  if (settled.status !== "read" || settled.from === null) return;
  ctx.made.set(settled.ingredient.id, { from: settled.from, ingredient: settled.ingredient });
}

/** "Gold rum (dark rum)": a name, and a name of the same kind in brackets that says it in other words. */
function settleGloss(name: readonly Token[], facts: Facts, index: PantryIndex): Settled | null {
  const open = name.findIndex((t) => isMark(t, "("));
  if (open <= 0 || index.byWords.has(wordsKey(readName(name).words))) return null;
  const inside = name.slice(open + 1).filter((t) => !isMark(t, ")"));
  const said = nameText(facts, inside);
  const outer = settle(readName(name.slice(0, open)), said, index);
  const inner = settle(readName(inside), said, index);
  if (outer.status !== "read" || inner.status !== "read") return null;
  if (outer.ingredient.role !== inner.ingredient.role) return null;
  return { ...outer, notes: [...outer.notes, { code: "gloss", said, taken: outer.ingredient.name }] };
}

/** What the name stands for: whole, or as two that the text offers. */
function settleName(said: PouredName, name: string, facts: Facts, index: PantryIndex): Settled {
  const { known } = said;
  if (known?.settled) return known.settled;
  const glossed = settleGloss(said.name, facts, index);
  const whole = glossed ?? settle(withoutCubes(said.name, index), name, index);
  const settled = whole.status === "read" ? whole : (settleEither(said.name, name, index) ?? whole);
  if (known) known.settled = settled;
  return settled;
}

/** The amount to pour: a range's middle, with the doubt that its width gives. */
function amountOf(
  said: PouredName,
  notes: Note[],
): { amount: number; sdPercent: number | undefined } | Reason {
  const { amount, high, sdPercent } = said;
  if (amount === null) return { code: "no-amount", said: "" };
  if (high === undefined) return amount === 0 ? { code: "zero-amount" } : { amount, sdPercent };
  notes.push({ code: "range-middle", said: echoOf({ amount, high, unit: said.unit }) });
  const middle = (amount + high) / 2;
  // Anywhere within the range alike: the standard deviation of a rectangle.
  return { amount: middle, sdPercent: (100 * (high - amount)) / Math.sqrt(12) / middle };
}

/** The pour of an ingredient as a spec line, with what was taken as so; or why it is none. */
function lineOf(
  said: PouredName,
  ingredient: Ingredient,
  ctx: LineContext,
): { line: SpecLine; notes: Note[] } | Reason {
  const notes = said.notes.slice();
  const poured = amountOf(said, notes);
  if ("code" in poured) return poured;
  const unit = unitOf(said, ingredient, ctx);
  if ("code" in unit) return unit;
  if (unit.unit === "piece" && !ingredient.pieceMl) return { code: "no-piece-size", name: ingredient.name };
  notes.push(...unit.notes);
  const line: SpecLine = { ingredient: ingredient.id, amount: poured.amount, unit: unit.unit };
  if (said.stage) line.stage = said.stage;
  if (poured.sdPercent !== undefined) line.amountSdPercent = poured.sdPercent;
  const volume = sizedLine(line, ingredient, ctx.settings);
  if (!volume) return { code: "no-volume", said: ingredient.name };
  if (volume.ml > MOST_AMOUNT) return { code: "too-large", said: echoOf(line) };
  if (line.unit === "piece") notes.push({ code: "piece-size", ...volume });
  if (said.unit === "part") notes.push({ code: "part-size", ml: ctx.settings.partMl });
  const powder = ingredient.role === "sugar" || ingredient.role === "acid";
  if (line.unit === "oz" && powder && isDrySolid(coefficientsOf(ingredient)))
    notes.push({ code: "powder-by-volume" });
  return { line, notes };
}

/** A pour with its name settled: read, to be chosen, or unread with the reason. */
export function readPoured(given: PouredName, facts: Facts, ctx: LineContext): ParsedLine {
  const said = asFruit(given, ctx);
  const name = said.known?.text ?? nameText(facts, said.name);
  const { raw, lineNumber } = facts.piece;
  const settled = settleDashes(settleName(said, name, facts, ctx.index), said, name, ctx.index);
  const { candidates: all } = settled;
  const candidates = all.length > MOST_CANDIDATES ? all.slice(0, MOST_CANDIDATES) : all;
  const unread = (reason: Reason): ParsedLine => {
    const why: Reason = reason.code === "no-amount" ? { code: "no-amount", said: name } : reason;
    return { raw, lineNumber, status: "unread", name, reason: why, candidates, notes: [] };
  };
  if (settled.status === "unread") return unread(settled.reason);
  const chosen = settled.status === "read";
  const ingredient = chosen ? settled.ingredient : ctx.index.pantry.get(candidates[0]?.ingredient ?? "");
  if (!ingredient) return unread({ code: "nothing-like", said: name });
  const poured = lineOf(said, ingredient, ctx);
  if ("code" in poured) return unread(poured);
  keepMade(settled, ctx);
  const { line, notes } = poured;
  if (facts.words.includes("optional")) notes.push({ code: "optional" });
  notes.push(...settled.notes);
  const read: ParsedLine = { raw, lineNumber, status: settled.status, name, line, candidates, notes };
  if (settled.status === "choose") read.reason = settled.reason;
  return read;
}

/** A line or piece that pours nothing, and is no fault. */
export function asInstruction(
  { raw, lineNumber }: Pick<ParsedLine, "raw" | "lineNumber">,
  reason: Reason,
  notes: Note[] = [],
): ParsedLine {
  return { raw, lineNumber, status: "instruction", reason, candidates: [], notes };
}

/** A piece that pours nothing: a blank, an instruction, or unread with what its name is like. */
export function readUnpoured(said: Exclude<Said, PouredName>, facts: Facts): ParsedLine {
  const { raw, lineNumber } = facts.piece;
  if (said.kind === "blank") return { raw, lineNumber, status: "blank", candidates: [], notes: [] };
  if (said.kind === "instruction") return asInstruction(facts.piece, said.reason, said.notes);
  const { reason, name } = said;
  if (!name) return { raw, lineNumber, status: "unread", reason, candidates: [], notes: [] };
  const candidates = rank(readName(name), facts.index).slice(0, MOST_CANDIDATES);
  return { raw, lineNumber, status: "unread", name: nameText(facts, name), reason, candidates, notes: [] };
}
