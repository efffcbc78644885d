import { formatQuantity } from "../amounts/format-amount.ts";
import { normaliseText, type ParsedQuantity, parseQuantity } from "../amounts/parse-quantity.ts";
import { ML_PER_UNIT, toVolumeMl } from "../amounts/units.ts";
import { MOST_AMOUNT } from "../limits.ts";
import type { Ingredient, Pantry, SpecLine, UnitId, UnitSettings } from "../types.ts";
import { type Candidate, EXACT_SCORE, type Match, matchName, type PantryIndex } from "./match.ts";
import { detectMethod } from "./method.ts";
import type { Hints } from "./words.ts";

export type LineStatus = "read" | "choose" | "unread" | "blank" | "instruction";

export interface ParsedLine {
  /** The line exactly as pasted. */
  raw: string;
  /** From 1. */
  lineNumber: number;
  status: LineStatus;
  /** Present when read; for "choose", with the first candidate, so that only the name is left to settle. */
  line?: SpecLine;
  /** Ranked, best first; empty for blanks and instructions. */
  candidates: Candidate[];
  /** What was taken as so, in words. */
  assumptions: string[];
  /** Why the line was not read, must be chosen, or is not an ingredient. */
  reason?: string;
}

export interface LineContext {
  pantry: Pantry;
  index: PantryIndex;
  settings: UnitSettings;
  /** For numbers without a unit: the unit they stand for and why, or null when nobody can tell. */
  impliedUnit: { unit: UnitId; why: string } | null;
  /** Pours of the text are bare numbers, so "¾ lime" is a pour too and not three quarters of a fruit. */
  barePours: boolean;
}

/** A longer line is prose. */
const MAX_LINE_CHARS = 240;
/** Of a method paragraph this much is searched for amounts. */
const MOST_CHARS_LOOKED_AT = 2000;
/** "30 lime" is a pour whose unit was left out, not thirty limes. */
const MOST_FRUITS = 8;
const MOST_CANDIDATES = 6;
/** An inexact best candidate is taken only from this score and with this lead over the second. */
const READ_SCORE = 0.62;
const READ_LEAD = 0.12;
/** From this score a name is the ingredient's own, give or take a descriptive word. */
const SURE_SCORE = 0.9;
/** From this score the words are the same, apart from a stated strength or the spacing. */
const SAME_NAME_SCORE = 0.96;
/** Below this nothing in the pantry is meant. */
const CHOOSE_SCORE = 0.34;
/** A stated strength this far (% vol) from the pantry's is another bottle. */
const OTHER_STRENGTH_PERCENT = 3;
/** Two amounts for one pour ("1 oz (30 ml)") agree within this share. */
const SAME_POUR = 0.06;

const BULLET = /^(?:[\s>|•·▪◦‣●○■□☐☑✓✔*–—_~-]|\[[ xX]?\]|\(?\d{1,2}[.)](?= (?!\d+ ?[/.,]?\d* ?$)))+/u;

const VERB =
  "shake|stir|strain|double[- ]?strain|fine[- ]?strain|dry[- ]?shake|whip[- ]?shake|hard[- ]shake|reverse|build|built|muddle|throw|blend|swizzle|pour|serve|garnish|combine|mix|chill|fill|rim|express|rub|discard|dump|churn|roll|whip|place|put|rinse|wash|enjoy|using|in an?|into|over|without|with ice|add (?:all|the|every|ice|everything)|add|top|method|instructions|directions|shaken|stirred|thrown|blended|carbonate|let|then|first|schütteln|rühren|abseihen|auffüllen|agiter|filtrer|verser|servir|agitar|colar|remover|decorar|mescolare|shakerare|filtrare|servire|bater|coar";
const STARTS_WITH_VERB = new RegExp(`^(?:${VERB})(?![\\p{L}-])`, "iu");

const HEADING =
  /^(?:#+ .*|(?:ingredients?|zutaten|ingr[ée]dients?|ingredientes|ingredienti|spec|recipe|method|methode|m[ée]thode|m[ée]todo|preparation|preparaci[óo]n|zubereitung|instructions|directions|notes?|for the .{1,30}|to serve)\s*:?)$/iu;
const LABEL =
  /^(?:glass(?:ware)?|garnish|garnitur|deko|ice|eis|yield|serves|makes|glas|verre|vaso|copa|source|note|tools?|equipment)\s*[:-]\s*.+/iu;
const METHOD_LABEL = /^(?:method|methode|m[ée]thode|m[ée]todo|technique|how)\s*[:-]\s*(.+)/iu;

/** Aroma and decoration: they carry no sugar, acid or alcohol that the model counts. */
const NOT_COUNTED =
  /(?<!\p{L})(?:garnish|twists?|peels?|zest|wheels?|wedges?|slices?|sprigs?|leaf|leaves|mint|basil|rosemary|thyme|sage|nutmeg|cinnamon sticks?|cloves?|star anise|cardamom|pepper(?:corns?)?|salt|olives?|cocktail cherr(?:y|ies)|maraschino cherr(?:y|ies)|cherr(?:y|ies)|cucumber|ice cubes?|ice|eis|hielo|glaçons?|ghiaccio|gelo|minze|menthe|menta|hierbabuena|straw|umbrella|edible flowers?)(?!\p{L})/iu;

/** Sizes that nobody agrees on. */
const NO_SIZE =
  /^(?:(?:an?|one|\d+|½|generous|small|large|good)\s+)*(splash(?:es)?|shots?|jiggers?|pon(?:y|ies)|glugs?|measures?|pinch(?:es)?|handfuls?|drizzles?|touch|hint|knobs?|bottles?|cans?|glass(?:es)?|wineglass(?:es)?|schuss|prise|chorritos?|pizca|filet|spritz(?:es)?|sprays?|rinse|few|some|bits?|squeezes?|squirts?|swath|lugs?|nips?|fingers?|scoops?)(?:\s+(?:of|de|di))?(?!\p{L})/iu;

const TOP_PREFIX =
  /^(?:top(?:ped)?(?: it)?(?: (?:up|off))?(?: with)?|float(?:ed)?(?: with| of)?|finish(?:ed)? with|lengthen(?:ed)? with|fill up with|auffüllen mit|compl[ée]ter (?:avec|de)|completar con|colmare con|rellenar con)(?!\p{L})\s*:?\s*/iu;
const TOP_SUFFIX =
  /[\s,(:;-]+(?:to (?:top|float|finish|fill)(?: (?:up|off))?|floated|for topping|as a float|on top|float|top(?: (?:up|off))?)\s*\)?\.?$/iu;

const FRUIT =
  /^(?:(?:large|small|medium|whole|fresh|ripe|freshly squeezed)\s+)*(limes?|lemons?|oranges?|(?:pink |white |ruby )?grapefruits?|limetten?|zitronen?|orangen?|citrons? verts?|citrons?|limón(?:es)?|limon(?:es)?|limas?|limoni|limone|naranjas?|arance|arancia)(?:\s*,?\s*(?:juiced|squeezed|juice of|juice only|ausgepresst|pressés?|exprimidos?|cut .*|quartered|muddled|in wedges|\(juice\)|\(juiced\)))?$/iu;
const JUICE_OF =
  /^(?:the )?(?:(?:fresh|freshly squeezed|strained) )?(?:juice (?:of|from)|saft (?:von|einer|eines|aus)|jus d(?:e |['’])|(?:zumo|jugo) de|succo di|suco de) ?(.+)$/iu;
const FRUIT_IN_ENGLISH: [RegExp, string][] = [
  [/^(?:limett|lima|citrons? vert)/iu, "lime"],
  [/^(?:zitron|citron|lim[oó]n)/iu, "lemon"],
  [/^(?:orangen|naranja|aranc)/iu, "orange"],
  [/^(?:pamplemousse|pomelo|pompelmo)/iu, "grapefruit"],
  [/^(?:ananas|piña|abacaxi)/iu, "pineapple"],
];

/** "citron vert" → "lime juice"; English names keep their words. */
function juiceName(fruit: string): string {
  const english = FRUIT_IN_ENGLISH.find(([words]) => words.test(fruit))?.[1];
  return `${english ?? fruit.replace(/s$/iu, "")} juice`;
}

/** Take the marks of a list off the line; the words stay. */
export function bareText(raw: string): string {
  return normaliseText(raw.slice(0, MOST_CHARS_LOOKED_AT))
    .replace(/\*\*|__|`|\|/gu, " ")
    .replace(/\s+/gu, " ")
    .trim()
    .replace(BULLET, "")
    .replace(/[\s*_|;,-]+$/u, "")
    .trim();
}

interface Found {
  quantity: ParsedQuantity;
  name: string;
}

/** Places in `text` where an amount with a unit starts. */
function* amountsIn(text: string): Generator<{ start: number; quantity: ParsedQuantity }> {
  const starts = /(?<![\p{L}\p{N}.,:/%-])(?:[\d.]|(?:an?|one|two|three|four|half|barspoon|dash)(?= ))/giu;
  for (let m = starts.exec(text); m; m = starts.exec(text)) {
    const quantity = parseQuantity(text.slice(m.index));
    if (!quantity || quantity.unit === null) continue;
    yield { start: m.index, quantity };
    starts.lastIndex = Math.max(starts.lastIndex, text.length - quantity.rest.length);
  }
}

/** "Aged rum - 50 ml", "aged rum (50 ml)": an amount that ends the line. */
function trailing(text: string): Found | null {
  for (const { start, quantity } of amountsIn(text)) {
    const rest = quantity.rest.replace(/^[\s).\]]+/u, "");
    const alternative = afterAlternative(rest, quantity);
    if (start === 0 || (alternative ?? rest) !== "") continue;
    const name = text.slice(0, start).replace(/[\s:;,.([=…-]+$/u, "");
    if (name !== "") return { quantity, name };
  }
  return null;
}

/** Exact volume of a quantity for comparing two readings of one pour; null when a unit is conventional. */
function exactMl(q: ParsedQuantity): number | null {
  return q.unit !== null && q.unit in ML_PER_UNIT && q.high === undefined
    ? q.amount * ML_PER_UNIT[q.unit as keyof typeof ML_PER_UNIT]
    : null;
}

/** Text after a second reading of the same pour ("/ 30 ml gin", "(1 oz) gin"), or null if there is none. */
function afterAlternative(rest: string, first: ParsedQuantity, notes?: string[]): string | null {
  const mark = /^(?:\/|\||=|\(|\[|~|≈|or\b)\s*/iu.exec(rest);
  const second = mark ? parseQuantity(rest.slice(mark[0].length)) : null;
  if (!second || second.unit === null || second.unit === first.unit) return null;
  const [a, b] = [exactMl(first), exactMl(second)];
  if (notes && a !== null && b !== null) {
    const agrees = Math.abs(a - b) <= SAME_POUR * Math.max(a, b);
    if (!agrees) notes.push(`also written as ${second.echo}, which is another amount: ${first.echo} is used`);
  }
  return second.rest.replace(/^[\s)\]]+/u, "");
}

interface NameReading {
  match: Match;
  text: string;
  notes: string[];
  /** Several names offered by the text itself ("lemon or lime juice"). */
  either: boolean;
}

const READ_LEFTOVERS = /\b(?:optional|to taste|or more|or less|if (?:you|needed|desired))\b/iu;

/** A shorter reading may not drop the strength that the whole name states. */
function losesStrength(whole: Hints, part: Hints): boolean {
  return (
    whole.ratio !== part.ratio ||
    whole.abvPercent !== part.abvPercent ||
    whole.minAbvPercent !== part.minAbvPercent ||
    (whole.rich && !part.rich)
  );
}

/** The best reading of a name: whole, without its brackets, or only up to the comma. */
function readIngredientName(name: string, index: PantryIndex): NameReading {
  const notes: string[] = [];
  const brackets = [...name.matchAll(/[([]([^)\]]*)[)\]]?/gu)].map((m) => m[1]!.trim());
  const outside = name
    .replace(/[([][^)\]]*[)\]]?/gu, " ")
    .replace(/\s+/gu, " ")
    .trim();
  const kept = brackets
    .filter(
      (b) => !/\b100 ?%/u.test(b) && /\d ?(?::|%|°)|\d[- ]?to[- ]?\d|\d parts?\b.*water|proof/iu.test(b),
    )
    .join(" ");
  const variants = [name, `${outside} ${kept}`.trim(), outside.split(/[,;]| - /u)[0]!.trim()];
  const tailStrength =
    /\d(?:[.,]\d)? ?(?::|to) ?\d|\d+ ?(?:%|proof)/u.exec(outside.slice(variants[2]!.length))?.[0] ?? "";
  const withKept = `${variants[2]} ${kept} ${tailStrength}`.replace(/\s+/gu, " ").trim();
  variants.splice(2, 1, withKept);
  const whole = matchName(name, index).hints;
  let best: { match: Match; text: string } | null = null;
  for (const text of new Set(variants)) {
    if (text === "") continue;
    const match = matchName(text, index);
    if (text !== name && losesStrength(whole, match.hints)) continue;
    const score = (m: Match) => (m.candidates[0]?.score ?? 0) - 0.05 * m.weightyWords.length;
    if (!best || score(match) > score(best.match) + 1e-9) best = { match, text };
  }
  if (!best) return { match: matchName(name, index), text: name, notes, either: false };
  if (best.text !== name) {
    const left = brackets.filter((b) => b !== "" && !best.text.includes(b));
    const tail = /[,;](.+)$/u.exec(outside)?.[1]?.trim();
    if (tail && tailStrength === "" && !best.text.includes(tail)) left.push(tail);
    for (const note of left) {
      if (kept.includes(note)) continue;
      if (parseQuantity(note)?.unit) notes.push(`“${note}” was not used`);
      else notes.push(`the note “${note}” was not used for the match`);
    }
  }
  if (READ_LEFTOVERS.test(name)) notes.push("marked as optional or to taste: counted as written");
  return { ...best, notes, either: false };
}

/** "lemon or lime juice": each side read alone, the tail word shared. */
function readAlternatives(name: string, index: PantryIndex): NameReading | null {
  const sides = name
    .replace(/[([][^)\]]*[)\]]?/gu, " ")
    .split(/ (?:or|oder|ou|o|\/) |(?<=\p{L})\/(?=\p{L})/iu)
    .map((s) => s.trim());
  if (sides.length < 2 || sides.some((s) => s === "" || READ_LEFTOVERS.test(`or ${s}`))) return null;
  const tail = sides.at(-1)!.split(" ").at(-1)!;
  const best = new Map<string, Candidate>();
  let matched = 0;
  for (const side of sides) {
    const [alone, shared] = [matchName(side, index), matchName(`${side} ${tail}`, index)];
    const of = (m: Match) => m.candidates[0]?.score ?? 0;
    const match = of(shared) > of(alone) ? shared : alone;
    const top = match.candidates.filter((c) => c.score >= Math.max(READ_SCORE, of(match) - 0.02));
    if (top.length > 0) matched += 1;
    for (const c of top) if ((best.get(c.ingredient)?.score ?? 0) < c.score) best.set(c.ingredient, c);
  }
  if (matched < 2 || best.size < 2) return null;
  const candidates = [...best.values()].sort((a, b) => b.score - a.score);
  return { match: { ...matchName(name, index), candidates }, text: name, notes: [], either: true };
}

type Verdict = { status: "read" | "choose" | "unread"; reason?: string; notes: string[] };

function judge(reading: NameReading, ctx: LineContext): Verdict {
  const { match } = reading;
  const [first, second] = match.candidates;
  const notes: string[] = [];
  if (!first || first.score < CHOOSE_SCORE) {
    return { status: "unread", reason: `nothing in the pantry is like “${reading.text}”`, notes };
  }
  if (reading.either) return { status: "choose", reason: "the text offers a choice", notes };
  const top = ctx.pantry.get(first.ingredient)!;
  const lead = first.score - (second?.score ?? 0);
  if (lead <= 0) {
    const same = match.candidates.filter((c) => c.score === first.score);
    return {
      status: "choose",
      reason: `“${reading.text}” fits ${same.map((c) => c.name).join(", ")}`,
      notes,
    };
  }
  if (match.weightyWords.length > 0) {
    const words = match.weightyWords.map((w) => `“${w}”`).join(", ");
    return { status: "choose", reason: `no pantry name has all its words: ${words} left over`, notes };
  }
  const stated = match.hints.abvPercent;
  const off = stated !== null && top.abvPercent.value > 0 ? Math.abs(stated - top.abvPercent.value) : 0;
  if (off > OTHER_STRENGTH_PERCENT) {
    return {
      status: "choose",
      reason: `the text says ${stated} % vol; the nearest by name, ${first.name}, has ${top.abvPercent.value} %`,
      notes,
    };
  }
  const unsure = first.score < READ_SCORE || lead < READ_LEAD || match.unusedWords.length > 0;
  if (!match.sameWords && unsure && off === 0) {
    const unknown = match.unusedWords.map((w) => `“${w}”`).join(", ");
    const reason = unknown
      ? `the pantry does not know ${unknown}, and what is left is no name in it`
      : "several pantry names are about as close";
    return { status: "choose", reason, notes };
  }
  if (off > 0) notes.push(`the text says ${stated} % vol; the pantry's ${top.abvPercent.value} % is used`);
  if (stated !== null && top.abvPercent.value === 0 && !top.name.includes(String(stated)))
    notes.push(`“${stated} %” was not used for the match`);
  if (match.respelt.length > 0) notes.push(...match.respelt);
  if (match.unusedWords.length > 0) {
    notes.push(`not used for the match: ${match.unusedWords.map((w) => `“${w}”`).join(", ")}`);
  }
  if (first.score < EXACT_SCORE && match.unusedWords.length === 0) {
    notes.push(`“${reading.text}” read as ${first.name}`);
  }
  notes.push(...strengthAssumption(top, match, ctx));
  return { status: "read", notes };
}

/** What a name without strength leaves open: other ratios of the syrup, other strengths of the spirit. */
function strengthAssumption(top: Ingredient, match: Match, ctx: LineContext): string[] {
  const { hints } = match;
  const others = match.candidates.slice(1).filter((c) => c.score >= SAME_NAME_SCORE);
  if (top.syrup && hints.ratio === null && !hints.rich) {
    const family = [...ctx.pantry.values()].filter(
      (i) => i.id !== top.id && i.syrup?.family === top.syrup?.family,
    );
    if (family.length > 0) {
      return [
        `no ratio given: read as ${top.name}; the pantry also has ${family.map((i) => i.name).join(", ")}`,
      ];
    }
  } else if (others.length > 0 && hints.abvPercent === null) {
    return [`read as ${top.name}; the pantry also has ${others.map((c) => c.name).join(", ")}`];
  }
  return [];
}

function unread(base: ParsedLine, reason: string, candidates: Candidate[] = []): ParsedLine {
  return { ...base, status: "unread", reason, candidates: candidates.slice(0, MOST_CANDIDATES) };
}

function instruction(base: ParsedLine, reason: string): ParsedLine {
  return { ...base, status: "instruction", reason };
}

/** Amounts in a step that are not a pour: "3 oz ice", "into a 6 oz glass", "for 12 seconds". */
const VESSEL_OR_ICE =
  /^(?:\p{L}+[ -]){0,3}(?:ice|eis|cubes?|glass(?:es)?|coupes?|goblet|tumbler|flute|tins?|jars?|bottles?|whipper|siphon|shaker)(?!\p{L})/iu;

function poursIn(text: string): number {
  let pours = 0;
  for (const { quantity } of amountsIn(text)) if (!VESSEL_OR_ICE.test(quantity.rest)) pours += 1;
  return pours;
}

/** Words of a step that name an ingredient to top with, or null. */
function topped(text: string): string | null {
  const m =
    /(?<!\p{L})(?:top(?:ped)?(?: (?:it|the drink|the glass))?(?: (?:up|off))?(?: with)?|lengthen with|finish with|float(?: with)?|fill up with) ([^.;]+)/iu.exec(
      text,
    );
  return m
    ? m[1]!
        .replace(/,? (?:and|then) .*/iu, "")
        .replace(/\b(?:a )?(?:little|splash of|some|dash of)\b/giu, "")
        .trim()
    : null;
}

/**
 * An instruction line, or unread when it pours something that no ingredient line counts.
 * `onLines` holds the ingredients that other lines give.
 */
export function checkInstruction(
  line: ParsedLine,
  onLines: ReadonlyMap<string, SpecLine>,
  ctx: LineContext,
): ParsedLine {
  const text = bareText(line.raw);
  if (/(?<!\p{L})(?:rinse|spray|spritz)/iu.test(text)) {
    line = {
      ...line,
      assumptions: [...line.assumptions, "a rinse is not counted: give it an amount to count it"],
    };
  }
  const name = topped(text);
  if (name === null || parseQuantity(name)?.unit) return line;
  const { match } = readIngredientName(name, ctx.index);
  const first = match.candidates[0];
  if (!first || first.score < READ_SCORE) return line;
  const given = match.candidates.map((c) => onLines.get(c.ingredient)).find((l) => l !== undefined);
  if (given) {
    given.stage = "top";
    return { ...line, assumptions: [...line.assumptions, `${name} goes in after the ice has done its work`] };
  }
  return unread(
    line,
    `no amount for “${name}”: write how much, for example “60 ml ${name}”`,
    match.candidates,
  );
}

/** Read one line. Never throws on any text; the raw text is kept. */
export function parseLine(raw: string, lineNumber: number, ctx: LineContext): ParsedLine {
  const base: ParsedLine = { raw, lineNumber, status: "unread", candidates: [], assumptions: [] };
  let text = bareText(raw);
  if (!/[\p{L}\p{N}½¼¾]/u.test(text)) {
    return /[\p{L}\p{N}]/u.test(raw) ? unread(base, "no words to read") : { ...base, status: "blank" };
  }
  if (HEADING.test(text) || METHOD_LABEL.test(text)) return instruction(base, "heading or method");
  if (LABEL.test(text)) return instruction(base, "a note about serving: not counted");

  text = text.replace(/^(?:ingredients?|spec|zutaten|ingr[ée]dients|ingredientes|ingredienti)\s*:\s*/iu, "");
  if (/(?<!\p{L})rim(?:med)?\.?$/iu.test(text)) return instruction(base, "a rim: not counted");

  text = text.replace(/^mit (.+) auff(?:ü|ue)llen\.?$/iu, "top with $1");
  let stage: SpecLine["stage"];
  const prefix = TOP_PREFIX.exec(text);
  if (prefix) {
    stage = "top";
    text = text.slice(prefix[0].length).trim();
  } else {
    const suffix = TOP_SUFFIX.exec(text);
    if (suffix && !STARTS_WITH_VERB.test(text)) {
      stage = "top";
      text = text.slice(0, suffix.index).trim();
    }
  }
  const pours = poursIn(text);
  if (!prefix && STARTS_WITH_VERB.test(text)) {
    const poured = text.replace(/^(?:then |first )?(?:add|pour|muddle|stir in|shake|combine|mix)\s+/iu, "");
    const named = pours === 1 ? trailing(text) : null;
    if (pours === 1 && parseQuantity(poured)?.unit) text = poured;
    // "Blended Scotch - 60 ml" only looks like a step.
    else if (named && (matchName(named.name, ctx.index).candidates[0]?.score ?? 0) >= SURE_SCORE)
      text = text.trim();
    else if (pours > 0)
      return unread(base, "a step that also names amounts: give each ingredient its own line");
    else return instruction(base, "method");
  }
  if (text.length > MAX_LINE_CHARS)
    return unread(base, "too long for an ingredient line: one ingredient a line");
  if (text === "") return unread(base, "no ingredient named");
  return readPour(text, base, ctx, stage, prefix !== null);
}

function readPour(
  text: string,
  base: ParsedLine,
  ctx: LineContext,
  stage: SpecLine["stage"],
  toppedUp: boolean,
): ParsedLine {
  const notes: string[] = [];
  let found: Found | null = null;
  let unitId: UnitId | null = null;

  text = text.replace(/^(?:the )?whites? (?:of|from) (.+?) eggs?$/iu, "$1 egg white");
  const juiceOf = JUICE_OF.exec(text);
  const countOfFruit = parseQuantity(juiceOf?.[1] ?? text);
  const fruitText = countOfFruit?.rest.replace(/ ?\([^)]*\)?/gu, "") ?? "";
  const fruit = FRUIT.exec(fruitText);
  const asPour = ctx.barePours && !juiceOf && countOfFruit?.unit === null && /^\p{L}+[^s]$/u.test(fruitText);
  const tooMany = countOfFruit !== null && countOfFruit.unit === null && countOfFruit.amount > MOST_FRUITS;
  const isFruit = countOfFruit && !tooMany && (countOfFruit.unit === null || countOfFruit.unit === "piece");
  if (countOfFruit && fruit && isFruit && !(asPour && /^[\d.,/ ]/u.test(text))) {
    const measured = parseQuantity(/\(([^)]*)\)?/u.exec(countOfFruit.rest)?.[1] ?? "");
    const name = juiceName(fruit[1]!);
    if (measured?.unit) found = { quantity: measured, name };
    else {
      found = { quantity: countOfFruit, name };
      unitId = "piece";
    }
    if (!juiceOf) notes.push(`“${fruitText}” read as its juice`);
  }

  const leading = parseQuantity(text);
  if (!found && leading?.unit) found = { quantity: leading, name: leading.rest };
  if (!found) found = trailing(text);
  const served = leading ? matchName(leading.rest, ctx.index).candidates[0] : undefined;
  const servedWhole =
    served?.score === EXACT_SCORE && ctx.pantry.get(served.ingredient)?.pieceMl !== undefined;
  if (!found && leading && (servedWhole || !NO_SIZE.test(text))) {
    found = { quantity: leading, name: leading.rest };
    if (servedWhole && NO_SIZE.test(text)) unitId = "piece";
  }

  if (!found) return readNoAmount(text, base, ctx, toppedUp);

  const { quantity } = found;
  let { name } = found;
  unitId ??= quantity.unit;
  notes.push(...quantity.notes);
  const afterSecond = afterAlternative(name, quantity, notes);
  if (afterSecond !== null) name = afterSecond;
  name = name.replace(/^[\s:;,.)\]-]+|[\s:;,.-]+$/gu, "").replace(/^(?:of|de|di|von)\s+/iu, "");
  const juice =
    JUICE_OF.exec(name) ??
    /^(?:frische[rn]? )?(limetten|zitronen|orangen|ananas|grapefruit)saft$/iu.exec(name);
  if (juice) name = juiceName(juice[1]!);
  const suffix = TOP_SUFFIX.exec(name);
  if (suffix) {
    stage = "top";
    name = name.slice(0, suffix.index);
  }
  if (name === "") return unread(base, "an amount without an ingredient");
  if (!/\p{L}/u.test(name)) return unread(base, `“${name}” names no ingredient`);
  const noSize = unitId === null ? NO_SIZE.exec(name) : null;
  if (noSize) {
    const rest = readIngredientName(name.slice(noSize[0].length).trim() || name, ctx.index);
    return unread(base, `“${noSize[1]}” has no agreed size: give mL, oz or g`, rest.match.candidates);
  }
  if (poursIn(name.replace(/[([][^)\]]*[)\]]?/gu, " ")) > 0) {
    return unread(base, "several amounts on one line: give each ingredient its own line");
  }
  if (/\beach\b|\bequal parts\b/iu.test(name)) {
    return unread(base, "several ingredients on one line: give each its own line");
  }

  const reading = readAlternatives(name, ctx.index) ?? readIngredientName(name, ctx.index);
  const candidates = reading.match.candidates.slice(0, MOST_CANDIDATES);
  const first = candidates[0];
  const sure = first !== undefined && first.score >= SURE_SCORE;
  if (first?.score !== EXACT_SCORE && NOT_COUNTED.test(name)) {
    const poured = unitId !== null && unitId !== "piece" && unitId !== "g";
    if (!poured && (first?.score ?? 0) < SAME_NAME_SCORE) {
      return instruction(base, `“${name}” brings aroma, not sugar, acid or alcohol: not counted`);
    }
  }
  const both = / (?:and|&|\+) /u.test(name) && !sure;
  if (both && readAlternatives(name.replace(/ (?:and|&|\+) /gu, " or "), ctx.index)) {
    return unread(base, "several ingredients on one line: give each its own line", candidates);
  }

  const verdict = judge(reading, ctx);
  if (verdict.status === "unread") return unread(base, verdict.reason!, candidates);
  const ingredient = ctx.pantry.get(first!.ingredient)!;

  if (quantity.amount === 0 && quantity.high === undefined)
    return unread(base, "the amount is zero", candidates);
  let amount = quantity.amount;
  if (quantity.high !== undefined) {
    amount = (quantity.amount + quantity.high) / 2;
    notes.push(`a range, ${quantity.echo}: its middle is used`);
  }
  if (unitId === null) {
    const countable = ingredient.pieceMl && (ingredient.role === "egg" || /\b(?:cube|shot)s?\b/iu.test(name));
    if (countable) unitId = "piece";
    else if (ctx.impliedUnit) {
      unitId = ctx.impliedUnit.unit;
      notes.push(ctx.impliedUnit.why);
    } else return unread(base, "no unit: write oz, mL, parts or g after the number", candidates);
  }
  if (unitId === "piece" && !ingredient.pieceMl) {
    return unread(base, `the pantry has no size for one ${ingredient.name}: give mL, oz or g`, candidates);
  }
  const line: SpecLine = { ingredient: ingredient.id, amount, unit: unitId, ...(stage && { stage }) };
  let volume: { ml: number; sdMl: number } | null = null;
  try {
    volume = toVolumeMl(amount, unitId, { settings: ctx.settings, ingredient });
  } catch {
    return unread(base, `${quantity.echo} of ${ingredient.name} cannot be turned into a volume`, candidates);
  }
  if (volume.ml > MOST_AMOUNT) return unread(base, `${quantity.echo} is more than 20 litres`, candidates);
  if (unitId === "piece") {
    notes.push(
      `taken as ${formatQuantity(volume.ml, "ml")} ± ${formatQuantity(volume.sdMl, "ml")}: measure yours`,
    );
  }
  if (quantity.unit === "part") {
    notes.push(`one part taken as ${formatQuantity(ctx.settings.partMl, "ml")}`);
  }
  if (unitId === "oz" && (ingredient.role === "sugar" || ingredient.role === "acid")) {
    notes.push("an ounce of a powder read as a fluid ounce, by volume, not by weight");
  }
  return {
    ...base,
    status: verdict.status,
    line,
    candidates,
    assumptions: [...notes, ...reading.notes, ...verdict.notes],
    ...(verdict.reason && { reason: verdict.reason }),
  };
}

/** A line with no amount: a garnish, a step, an egg white, or an ingredient whose amount is missing. */
function readNoAmount(text: string, base: ParsedLine, ctx: LineContext, toppedUp: boolean): ParsedLine {
  const noSize = NO_SIZE.exec(text);
  const name = noSize ? text.slice(noSize[0].length).trim() : text;
  const reading = readIngredientName(name === "" ? text : name, ctx.index);
  const candidates = reading.match.candidates.slice(0, MOST_CANDIDATES);
  const first = candidates[0];
  const sure = first !== undefined && first.score >= SURE_SCORE;
  if (NOT_COUNTED.test(text) && first?.score !== EXACT_SCORE)
    return instruction(base, "brings aroma, not sugar, acid or alcohol: not counted");
  if (noSize) return unread(base, `“${noSize[1]}” has no agreed size: give mL, oz or g`, candidates);
  if (toppedUp) {
    return unread(base, `no amount for “${text}”: write how much, for example “60 ml ${text}”`, candidates);
  }
  const ingredient = first && ctx.pantry.get(first.ingredient);
  if (sure && ingredient?.role === "egg" && ingredient.pieceMl) {
    const one = toVolumeMl(1, "piece", { ingredient });
    return {
      ...base,
      status: "read",
      line: { ingredient: ingredient.id, amount: 1, unit: "piece" },
      candidates,
      assumptions: [
        "no amount given: read as one",
        `taken as ${formatQuantity(one.ml, "ml")}: measure yours`,
      ],
    };
  }
  if (!sure && detectMethod(text) !== null) return instruction(base, "method");
  if (first && first.score >= READ_SCORE) {
    return unread(base, `no amount for “${text}”: write how much, for example “30 ml ${text}”`, candidates);
  }
  return unread(base, "no amount and ingredient found: write amount, unit, ingredient", candidates);
}

/** A count of things ("8 mint leaves", "2 limes", "1 egg white"), which says nothing about the pours' unit. */
export function isCount(name: string, amount: number): boolean {
  return (
    NOT_COUNTED.test(name) || (FRUIT.test(name) && amount <= MOST_FRUITS) || /\b(?:egg|cube)/iu.test(name)
  );
}

/** Whether the line gives an ingredient amount in any way; used to tell a title from a line. */
export function hasAmount(raw: string): boolean {
  const text = bareText(raw);
  return parseQuantity(text) !== null || trailing(text) !== null || JUICE_OF.test(text);
}

/** The line without list marks and heading marks, for a title. */
export function titleText(raw: string): string {
  return bareText(raw.replace(/^\s*#+\s*/u, ""))
    .replace(/^(?:name|drink|recipe|title|cocktail)\s*:\s*/iu, "")
    .replace(/[\s:]+$/u, "");
}
