import type { AxisName } from "../types.ts";
import { pick } from "./clause.ts";
import { type Keep, LEANS, type Lean } from "./intent.ts";

/*
 * What tasters say for a direction. Common practice of the trade, no published source: "flat" and "dull" want
 * acid, "hot" is too strong, "thin" and "watery" too weak, "cloying" too sweet.
 */

/** "Make it …": the way to go. */
const WAYS: Readonly<Record<Lean, RegExp>> = {
  drier: /^(?:drier|dryer|dry|less sweet|less sugary|less cloying|not so sweet|not as sweet|less sticky)$/,
  sweeter: /^(?:sweeter|sweet|more sweet|less dry|not so dry|sugarier)$/,
  sharper:
    /^(?:sharper|more sour|sourer|sour|tarter|more tart|tart|brighter|more acidic|crisper|zingier|zippier|fresher|livelier|more zing|more lively|less flat|less dull|more citrusy)$/,
  softer:
    /^(?:softer|less sour|less tart|less sharp|less acidic|rounder|mellower|not so sour|not so tart|not as sour|not as tart|less biting|gentler)$/,
  stronger:
    /^(?:stronger|strong|boozier|more alcoholic|more boozy|punchier|stiffer|less weak|less watery|less thin|less diluted)$/,
  lighter:
    /^(?:lighter|weaker|less strong|less boozy|less alcoholic|longer|not so strong|not as strong|lower in alcohol|lower abv|less hot|thinner)$/,
};

/** "Too …": the way to go is the other. */
const FAULTS: Readonly<Record<Lean, RegExp>> = {
  drier: /^(?:sweet|sugary|cloying|sticky|syrupy|candied)$/,
  sweeter: /^(?:dry|bone dry|austere)$/,
  softer: /^(?:sour|tart|sharp|acidic|acid|biting|puckering|citrusy|zingy)$/,
  sharper: /^(?:flat|dull|flabby|soft)$/,
  lighter: /^(?:strong|boozy|alcoholic|hot|stiff|spirituous)$/,
  stronger: /^(?:weak|watery|thin|light|diluted|washed out|watered down)$/,
};

/** "Not … enough", "lacks …", "needs more …": what is wanted. */
const WANTS: Readonly<Record<AxisName, RegExp>> = {
  sugar: /^(?:the )?(?:sugar|sweetness|sweet|sweetening)$/,
  acid: /^(?:the )?(?:acid|acidity|sourness|tartness|sour|tart|sharp|zing|bite|citrus|acidic)$/,
  abv: /^(?:the )?(?:alcohol|booze|strength|abv|proof|spirit|strong|boozy|kick)$/,
};

/** "… it": the verb alone says the way. */
const VERBS: Readonly<Record<Lean, RegExp>> = {
  sweeter: /^sweeten$/,
  drier: /^dry$/,
  sharper: /^(?:sharpen|brighten|freshen|sour)$/,
  softer: /^(?:soften|mellow|round)$/,
  stronger: /^(?:strengthen|stiffen|beef|punch|fortify)$/,
  lighter: /^(?:lighten|weaken)$/,
};

const AXIS_WORDS: Readonly<Record<AxisName, RegExp>> = {
  sugar: /^(?:the )?(?:sugar|sweetness|sweet)$/,
  acid: /^(?:the )?(?:acid|acidity|sourness|tartness|sour)$/,
  abv: /^(?:the )?(?:alcohol|abv|strength|proof|booze)$/,
};

/** "less sweet" → drier; null for what is no direction. */
export const leanOf = (said: string): Lean | null => pick(WAYS, said);

/** "sweet", of a drink that is too much so → drier. */
export const cureOf = (fault: string): Lean | null => pick(FAULTS, fault);

/** Words for what nobody wants; "sweet" and "strong" alone may be praise. */
const ALWAYS_FAULTS =
  /^(?:flat|dull|flabby|cloying|sticky|syrupy|thin|weak|watery|boozy|hot|puckering|austere|washed out|watered down|biting)$/;

/** "sweet and strong", of a drink that is too much of both or, without "too", both; null where one is no fault. */
export function curesOf(said: string, too: boolean): Lean[] | null {
  const faults = said.split(/(?:,| and| but| or)+ (?:too |also |a bit )?/);
  if (!too && !faults.every((fault) => ALWAYS_FAULTS.test(fault))) return null;
  const cures = faults.map(cureOf);
  return cures.every((lean) => lean !== null) ? [...new Set(cures)] : null;
}

/** "sweeten" (it) → sweeter. */
export const leanBy = (verb: string): Lean | null => pick(VERBS, verb);

/** "acid", wanted more (or less) → sharper (or softer). */
export function leanToward(wanted: string, more: boolean): Lean | null {
  const axis = pick(WANTS, wanted);
  const sign = more ? 1 : -1;
  const leans = Object.keys(LEANS) as Lean[];
  return leans.find((lean) => LEANS[lean].axis === axis && LEANS[lean].sign === sign) ?? null;
}

/** How far a lean goes, in usual steps. Our choice; common practice, no published source. */
const SIZES: readonly (readonly [number, RegExp])[] = [
  [0.5, /^(?:just )?(?:a (?:bit|touch|little|little bit|hair|shade|tad|smidge)|slightly|somewhat) /],
  [2, /^(?:much|way|far|a lot|lots|considerably|significantly) /],
];

/** A lean's words without "a touch" or "much", and the size these give, in usual steps. */
export function sized(said: string): { rest: string; steps: number } {
  const found = SIZES.find(([, pattern]) => pattern.test(said));
  return found ? { rest: said.replace(found[1], ""), steps: found[0] } : { rest: said, steps: 1 };
}

const KEEP_VERBS: Readonly<Record<Keep["how"], RegExp>> = {
  "not-less":
    /^(?:losing|lose|drop|lower|reduce|lowering|dropping|less|reducing|hurting|giving up)(?: any| much)? /,
  "not-more": /^(?:adding|add|raise|increase|raising|more|increasing|extra|upping)(?: any)? /,
  same: /^(?:changing|change|move|touch|disturb|moving|touching|disturbing|affecting|keep|keeping|hold|holding|the same|same|leave|leaving) /,
};
const KEEP_TAIL = / (?:the same|as it is|as is|where it is|where they are|unchanged|alone|constant|steady)$/;

/** "losing acid or alcohol" → what must not move, and how; null for a word that is no axis. */
export function keepsOf(clause: string): Keep[] | null {
  const said = clause.replace(KEEP_TAIL, "");
  const lean = leanOf(sized(said.replace(/^(?:(?:making|getting) (?:it|this)|being|getting|any) /, "")).rest);
  // "Without getting drier": on its axis it goes no way but the other.
  if (lean) return [{ axis: LEANS[lean].axis, how: LEANS[lean].sign < 0 ? "not-less" : "not-more" }];
  const how = pick(KEEP_VERBS, said);
  if (!how) return null;
  const axes = said
    .replace(KEEP_VERBS[how], "")
    .split(/ (?:or|and|nor) |, /)
    .map((part) => pick(AXIS_WORDS, part.trim()));
  return axes.every((axis) => axis !== null) ? axes.map((axis) => ({ axis, how })) : null;
}
