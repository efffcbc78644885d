import type { UnitId } from "../types.ts";
import { formatQuantity } from "./format-amount.ts";
import { ML_PER_UNIT, UNITS } from "./units.ts";

export interface ParsedQuantity {
  /** The amount, or the lower end of a range. In `unit`. */
  amount: number;
  /** The upper end of a range ("1-2 dashes"). */
  high?: number;
  /** Null when the text gives a bare number. */
  unit: UnitId | null;
  /** What follows the quantity, connecting "of" removed. */
  rest: string;
  /** What was understood, written back: "0.75 oz" for "0,75 oz". */
  echo: string;
  /** Readings that a person should see: "“scant” was not used". */
  notes: string[];
}

/** How a unit word maps to a unit; `factor` converts (1 dl = 100 mL). */
interface UnitWord {
  unit: UnitId;
  factor: number;
}

const unit = (id: UnitId, factor = 1): UnitWord => ({ unit: id, factor });

/**
 * Unit words by pattern, tried in order at the current place, in the spellings of English,
 * German, French, Spanish, Italian and Portuguese specs. Each must end at a word boundary.
 */
const UNIT_WORDS: [RegExp, UnitWord][] = (
  [
    ["(?:imp(?:erial|\\.)?|uk|british)\\s*(?:fl(?:uid|\\.)?\\s*)?(?:oz|ounce)s?", unit("imperial-oz")],
    ["(?:us\\s*)?(?:fl(?:uid|\\.)?\\s*)?(?:oz|ounce|onza|unze|oncia)s?|once(?:s)?|unzen|fl", unit("oz")],
    ["m(?:illi)?l(?:s|it(?:er|re|ro|ri)s?)?|millilitres?|mililitros?|cc|c\\.\\s?c", unit("ml")],
    ["cls?|centi(?:lit(?:er|re|ro|ri)s?)", unit("cl")],
    ["dl|deci(?:lit(?:er|re|ro|ri)s?)", unit("ml", 100)],
    ["l|lit(?:er|re|ro|ri)s?", unit("ml", 1000)],
    ["cups?", unit("oz", 8)],
    [
      "bar[\\s-]?spoon(?:ful)?s?|bar[\\s-]?sp|bspn?s?|b\\.s|bs|barl(?:ö|oe)ffel|bl|cuill(?:è|e)res? de bar|cuchar(?:ad)?as? de bar|cucharillas?|colher(?:es)? bailarinas?",
      unit("barspoon"),
    ],
    [
      "t(?:ea)?sps?|tea[\\s-]?spoon(?:ful)?s?|tl|teel(?:ö|oe)ffel|cuill(?:è|e)res? (?:à|a) caf(?:é|e)|c\\.?\\s?(?:à|a)\\.?\\s?c|cucharaditas?|cucchiain[oi]|colher(?:es)? de ch(?:á|a)",
      unit("tsp"),
    ],
    [
      "tb(?:l?sp|s)s?|table[\\s-]?spoon(?:ful)?s?|el|essl(?:ö|oe)ffel|cuill(?:è|e)res? (?:à|a) soupe|c\\.?\\s?(?:à|a)\\.?\\s?s|cucharadas?|cucchiai[o]?|colher(?:es)? de sopa",
      unit("tbsp"),
    ],
    ["dash(?:e?s)?|ds|dsh|spritzer|traits?|golpes?", unit("dash")],
    ["drops?|tropfen|gouttes?|gotas?|goccia|gocce", unit("drop")],
    ["parts?|teile?|partes?|parti", unit("part")],
    ["g|gr|gms?|gram(?:me|m|o|mi|mo)?s?", unit("g")],
    ["kg|kilo(?:gram(?:me)?)?s?", unit("g", 1000)],
    ["mg|milligram(?:me)?s?", unit("g", 0.001)],
    ["pieces?|pcs?|whole|each|st(?:ü|ue)ck|pi(?:è|e)ces?", unit("piece")],
  ] as [string, UnitWord][]
).map(([pattern, word]) => [new RegExp(`^(?:${pattern})(?![\\p{L}\\p{N}])\\.?`, "iu"), word]);

/** Units that may stand without a number: "dash of absinthe" is one dash. */
const BARE_UNITS =
  /^(?:dash|bar[\s-]?spoon(?:ful)?|bsp|tea[\s-]?spoon(?:ful)?|table[\s-]?spoon(?:ful)?|drop)(?![\p{L}])/iu;

const GLYPHS: Record<string, string> = {
  "¼": "1/4",
  "½": "1/2",
  "¾": "3/4",
  "⅐": "1/7",
  "⅑": "1/9",
  "⅒": "1/10",
  "⅓": "1/3",
  "⅔": "2/3",
  "⅕": "1/5",
  "⅖": "2/5",
  "⅗": "3/5",
  "⅘": "4/5",
  "⅙": "1/6",
  "⅚": "5/6",
  "⅛": "1/8",
  "⅜": "3/8",
  "⅝": "5/8",
  "⅞": "7/8",
};

/** Whole numbers as words; "a" and "an" count as one only before a unit or a thing. */
const NUMBER_WORDS: Record<string, number> = {
  a: 1,
  an: 1,
  one: 1,
  two: 2,
  three: 3,
  four: 4,
  five: 5,
  six: 6,
  seven: 7,
  eight: 8,
  nine: 9,
  ten: 10,
  twelve: 12,
  ein: 1,
  eine: 1,
  einen: 1,
  zwei: 2,
  drei: 3,
  un: 1,
  una: 1,
  une: 1,
  uno: 1,
  deux: 2,
  trois: 3,
  dos: 2,
  tres: 3,
  due: 2,
  tre: 3,
  um: 1,
  uma: 1,
  dois: 2,
  duas: 2,
};

const FRACTION_WORDS: [RegExp, number][] = [
  [/^three[\s-]quarters?(?:\s+of)?(?:\s+an?)?(?![\p{L}])/iu, 0.75],
  [/^two[\s-]thirds?(?:\s+of)?(?:\s+an?)?(?![\p{L}])/iu, 2 / 3],
  [/^(?:an?\s+|one[\s-])?half(?:\s+of)?(?:\s+an?)?(?![\p{L}])/iu, 0.5],
  [/^(?:an?\s+|one[\s-])?quarter(?:\s+of)?(?:\s+an?)?(?![\p{L}])/iu, 0.25],
  [/^(?:an?\s+|one[\s-])third(?:\s+of)?(?:\s+an?)?(?![\p{L}])/iu, 1 / 3],
  [
    /^(?:(?:ein(?:e[rsnm]?)?|un[ae]?|uno|uma?)\s+)?(?:halbe[rns]?|demi[e]?|medi[oa]|mezz[oa]|mei[oa])(?![\p{L}])/iu,
    0.5,
  ],
];

const HEDGES =
  /^(?:~|≈|about|around|approx(?:imately|\.)?|ca\.?|circa|roughly|scant|short|barely|generous|heaping|heaped|heavy|fat|good|level|full)(?![\p{L}])\s*/iu;

/**
 * One spelling for fractions, spaces and dashes; lengths may change. Glyphs are spelled out before the
 * compatibility fold, which would otherwise turn "2½" into "21⁄2".
 */
export function normaliseText(text: string): string {
  return text
    .replace(/[¼½¾⅐-⅞]/gu, (g) => (GLYPHS[g] ? ` ${GLYPHS[g]} ` : g))
    .replace(/(\d)([⁰¹²³⁴-⁹]+[⁄/∕])/gu, "$1 $2")
    .normalize("NFKC")
    .replace(/[⁄∕]/gu, "/")
    .replace(/℥/gu, " oz ")
    .replace(/[‐-―−]/gu, "-")
    .replace(/[\p{Zs}\t]+/gu, " ")
    .trim();
}

interface NumberRead {
  value: number;
  length: number;
  notes: string[];
  /** "1/2" alone, so that "1-1/2" can be told from a range. */
  properFraction: boolean;
  whole: boolean;
}

/** What may not follow a number that is an amount: more digits, a ratio, a strength, an age, an ordinal. */
const NOT_AN_AMOUNT =
  /^(?:[\d:/]|[.,]\d|\s*(?:%|°|º)|[\s-]*(?:proof|prf|percent|per cent|abv|vol\b|brix|bx\b|y\.?o\.?\b|yrs?\b|years?\b|años\b|ans\b|jahre\b|anni\b)|st\b|nd\b|rd\b|th\b|\s+to\s+\d+\s+(?:simple|sugar|honey|syrup|rich|demerara))/iu;

function readDigits(text: string): NumberRead | null {
  const fraction = /^(\d{1,3}) ?\/ ?(\d{1,3})(?!\d)/u.exec(text);
  if (fraction) {
    const [all, top, bottom] = fraction;
    const value = Number(top) / Number(bottom);
    if (!Number.isFinite(value)) return null;
    return { value, length: all.length, notes: [], properFraction: value < 1, whole: false };
  }
  const mixed = /^(\d{1,4})(?: ?- ?| +| ?& ?| and | y | et | e | und )(\d{1,2}) ?\/ ?(\d{1,2})(?!\d)/iu.exec(
    text,
  );
  if (mixed) {
    const part = Number(mixed[2]) / Number(mixed[3]);
    // "1 1/2" and "1-1/2" are one and a half; "2-4/2" is nothing people write.
    if (part > 0 && part < 1) {
      const value = Number(mixed[1]) + part;
      return { value, length: mixed[0].length, notes: [], properFraction: false, whole: false };
    }
  }
  const decimal = /^(\d{1,7})?(?:([.,])(\d{1,12}))?/u.exec(text);
  if (!decimal || (decimal[1] === undefined && decimal[3] === undefined)) return null;
  const [all, whole = "0", mark, digits] = decimal;
  let value = Number(`${whole}.${digits ?? "0"}`);
  const notes: string[] = [];
  if (mark === ",") {
    // "1,500 ml" is a batch in thousands; "1,125 oz" is nine eighths.
    const small = /^ ?(?:ml|g)(?![\p{L}])/iu.test(text.slice(all.length));
    const inThousands = digits?.length === 3 && /^[1-9]/.test(whole) && small;
    if (inThousands) value = Number(`${whole}${digits}`);
    notes.push(`“${all}” read with ${inThousands ? "a comma for thousands" : "a decimal comma"} as ${value}`);
  }
  return { value, length: all.length, notes, properFraction: false, whole: mark === undefined };
}

function readNumber(text: string): NumberRead | null {
  const digits = readDigits(text);
  if (digits) {
    return NOT_AN_AMOUNT.test(text.slice(digits.length)) ? null : digits;
  }
  for (const [pattern, value] of FRACTION_WORDS) {
    const found = pattern.exec(text);
    if (found) return { value, length: found[0].length, notes: [], properFraction: true, whole: false };
  }
  const word = /^(?:a )?(couple)(?: of)?(?![\p{L}])|^(\p{L}+)(?![\p{L}'’])/iu.exec(text);
  if (!word) return null;
  if (word[1]) return { value: 2, length: word[0].length, notes: [], properFraction: false, whole: true };
  const value = NUMBER_WORDS[word[2]!.toLowerCase()];
  if (value === undefined) return null;
  const half = /^ (?:and|&) (?:a half|1\/2)(?![\p{L}])/iu.exec(text.slice(word[0].length));
  return {
    value: value + (half ? 0.5 : 0),
    length: word[0].length + (half ? half[0].length : 0),
    notes: [],
    properFraction: false,
    whole: !half,
  };
}

function readUnit(text: string): { word: UnitWord; length: number } | null {
  const gap = /^(?: ?-(?=[a-z])| of an? | )?/iu.exec(text)![0].length;
  const at = text.slice(gap);
  for (const [pattern, word] of UNIT_WORDS) {
    const found = pattern.exec(at);
    if (found) return { word, length: gap + found[0].length };
  }
  return null;
}

const RANGE_MARK = /^ ?(?:-|to|or|bis|oder|à|a|ou|o)(?![\p{L}]) ?/iu;

interface Term {
  low: number;
  high?: number;
  unit: UnitId | null;
  length: number;
  notes: string[];
}

/** One number or range with its unit, at the start of already normalised text. */
function readTerm(text: string): Term | null {
  const first = readNumber(text);
  if (!first) return null;
  let at = first.length;
  const notes = [...first.notes];
  const times = /^ ?[x×] ?(?=\d)/iu.exec(text.slice(at));
  let multiplier = 1;
  let low = first;
  if (times) {
    const second = readNumber(text.slice(at + times[0].length));
    if (second) {
      multiplier = first.value;
      low = second;
      at += times[0].length + second.length;
      notes.push(...second.notes);
    }
  }
  let unitRead = readUnit(text.slice(at));
  if (unitRead) at += unitRead.length;
  let high: number | undefined;
  const mark = RANGE_MARK.exec(text.slice(at));
  const second = mark ? readNumber(text.slice(at + mark[0].length)) : null;
  if (mark && second && !/^\p{L}/u.test(text.slice(at + mark[0].length))) {
    const end = at + mark[0].length + second.length;
    const secondUnit = readUnit(text.slice(end));
    const sameUnit = !unitRead || (secondUnit !== null && secondUnit.word.unit === unitRead.word.unit);
    if (sameUnit && second.value > low.value) {
      high = second.value;
      unitRead = secondUnit;
      at = end + (secondUnit?.length ?? 0);
      notes.push(...second.notes);
    }
  }
  let value = low.value;
  // "20/25 ml" is a range in a metric spec: nobody measures four fifths of a millilitre.
  const slash = /^(\d{2,3}) ?\/ ?(\d{2,3})$/u.exec(text.slice(0, first.length));
  if (slash && high === undefined && unitRead?.word.unit === "ml" && Number(slash[2]) > Number(slash[1])) {
    value = Number(slash[1]);
    high = Number(slash[2]);
    notes.push(`“${slash[0]}” read as a range`);
  }
  const factor = multiplier * (unitRead?.word.factor ?? 1);
  return {
    low: value * factor,
    high: high === undefined ? undefined : high * factor,
    unit: unitRead?.word.unit ?? null,
    length: at,
    notes,
  };
}

/** Exact units that can be added to each other without asking anything. */
function inMl(term: Term): number | null {
  if (term.unit === null || term.high !== undefined || !(term.unit in ML_PER_UNIT)) return null;
  return term.low * ML_PER_UNIT[term.unit as keyof typeof ML_PER_UNIT];
}

const CONNECTOR = /^(?:(?:of|de|di|du|des|del|da|do|von)(?![\p{L}])|d['’])\s*(?:(?:the|an?)\s+)?/iu;

/**
 * Read an amount at the start of `text`: mixed fractions, fraction glyphs, decimal comma, ranges,
 * number words, and a unit or none. Null when the text does not start with an amount (a ratio, a
 * strength, an age such as "2:1", "40 %", "80 proof" or "7 year" is not one). Never throws.
 */
export function parseQuantity(text: string): ParsedQuantity | null {
  let at = normaliseText(text);
  const notes: string[] = [];
  for (let hedge = HEDGES.exec(at); hedge; hedge = HEDGES.exec(at)) {
    notes.push(`“${hedge[0].trim()}” is not measured: the plain amount is used`);
    at = at.slice(hedge[0].length);
  }
  let term = readTerm(at);
  if (!term) {
    const bare = BARE_UNITS.exec(at);
    const read = bare ? readUnit(at) : null;
    if (!bare || !read) return null;
    term = { low: 1, unit: read.word.unit, length: read.length, notes: ["no number given: read as one"] };
  }
  notes.push(...term.notes);
  at = at.slice(term.length).trim();
  // "a generous dash": the hedge may stand between the number and its unit.
  if (term.unit === null) {
    const hedge = HEDGES.exec(at);
    const read = hedge ? readUnit(at.slice(hedge[0].length)) : null;
    if (hedge && read) {
      notes.push(`“${hedge[0].trim()}” is not measured: the plain amount is used`);
      term = { ...term, low: term.low * read.word.factor, unit: read.word.unit };
      if (term.high !== undefined) term.high *= read.word.factor;
      at = at.slice(hedge[0].length + read.length).trim();
    }
  }
  const plus = /^(?:\+|plus|and|&) ?/iu.exec(at);
  const second = plus ? readTerm(at.slice(plus[0].length)) : null;
  if (plus && second) {
    const [a, b] = [inMl(term), inMl(second)];
    if (a !== null && b !== null) {
      const sum = `${formatQuantity(term.low, term.unit!)} + ${formatQuantity(second.low, second.unit!)}`;
      notes.push(...second.notes, `${sum} added up`);
      at = at.slice(plus[0].length + second.length).trim();
      term = { ...term, low: a + b, unit: "ml" };
    }
  }
  const { low, high } = term;
  if (!Number.isFinite(low) || (high !== undefined && !Number.isFinite(high))) return null;
  const rest = at.replace(CONNECTOR, "").trim();
  return { amount: low, high, unit: term.unit, rest, echo: echoOf(low, high, term.unit), notes };
}

function echoOf(low: number, high: number | undefined, unitId: UnitId | null): string {
  const plain = (x: number) => String(Number(x >= 100 ? x.toFixed(1) : x.toPrecision(4)));
  const range = high === undefined ? plain(low) : `${plain(low)}–${plain(high)}`;
  if (unitId === null) return range;
  return `${range} ${(high ?? low) > 1 ? UNITS[unitId].plural : UNITS[unitId].label}`;
}
