import { totalAcid, totalSugar } from "../mix/own-figures.ts";
import type { Ingredient, SourcedValue } from "../types.ts";
import { type Adjusted, atBrix, atPercent, atRatio } from "./adjust.ts";
import { type Candidate, findCalled, rank } from "./match.ts";
import { type NameWords, ratioNumber } from "./names.ts";
import { type Entry, type PantryIndex, type SameName, wordsKey } from "./pantry-index.ts";
import { COMMENT_WORDS, KIND_WORDS, RATIO_WORDS } from "./vocabulary.ts";
import type { Note, Reason } from "./words.ts";

/** What a name was taken for, or why it must be asked about. */
export type Settled = { candidates: Candidate[]; notes: Note[] } & (
  | {
      status: "read";
      ingredient: Ingredient;
      /** The pantry id of the entry it was made of, when a typed figure made it; else null. */
      from: string | null;
    }
  | { status: "choose" | "unread"; reason: Reason }
);

/** A best candidate below this is nothing that was meant. */
const CHOOSE_SCORE = 0.34;

/** Less than this between two ingredients is lost in any drink: % vol, g and g per 100 mL of the ingredient. */
const SAME_ABV = 1;
const SAME_SUGAR = 1;
const SAME_ACID = 0.1;

const sumSd = (parts: Partial<Record<string, SourcedValue>>) =>
  Math.hypot(...Object.values(parts).map((v) => v?.sd ?? 0));

/**
 * True when nobody could tell the two apart here: sugar, acid and strength differ by less than their own doubt
 * or than any drink shows, and they carry the same cautions. Two tequilas of one strength; not two vermouths.
 */
export function sameOnAxes(a: Ingredient, b: Ingredient): boolean {
  const near = (x: number, y: number, least: number, sdX: number, sdY: number) =>
    Math.abs(x - y) <= Math.max(least, Math.hypot(sdX, sdY));
  const cautions = (i: Ingredient) => [...(i.cautions ?? [])].sort().join();
  return (
    near(a.abvPercent.value, b.abvPercent.value, SAME_ABV, 0, 0) &&
    near(totalSugar(a), totalSugar(b), SAME_SUGAR, sumSd(a.sugarsGPer100Ml), sumSd(b.sugarsGPer100Ml)) &&
    near(totalAcid(a), totalAcid(b), SAME_ACID, sumSd(a.acidsGPer100Ml), sumSd(b.acidsGPer100Ml)) &&
    cautions(a) === cautions(b) &&
    (a.addAfterDilution ?? false) === (b.addAfterDilution ?? false)
  );
}

const namesOf = (list: readonly Ingredient[]) => list.map((i) => i.name);
const asCandidate = (i: Ingredient, score: number): Candidate => ({ ingredient: i.id, name: i.name, score });

/** A name no ingredient has: asked about with what is like it, or unread when nothing is. */
function notCalled(name: NameWords, said: string, index: PantryIndex): Settled {
  const candidates = rank(name, index);
  const [best] = candidates;
  if (!best || best.score < CHOOSE_SCORE) {
    return { status: "unread", reason: { code: "nothing-like", said }, candidates, notes: [] };
  }
  const own = index.entries.find((e) => e.ingredient.id === best.ingredient)?.words;
  const left = name.words.filter((w) => !own?.has(w) && (KIND_WORDS.has(w) || !COMMENT_WORDS.has(w)));
  const reason: Reason =
    left.length > 0 ? { code: "words-left", words: left } : { code: "about-as-close", said };
  return { status: "choose", reason, candidates, notes: [] };
}

type Taken = Pick<Extract<Settled, { status: "read" }>, "ingredient" | "from" | "notes">;
const asItIs = (ingredient: Ingredient): Taken => ({ ingredient, from: null, notes: [] });

/** Two or more are called so: one of them if the glass cannot tell, else a question. */
function oneOf(entries: readonly Ingredient[], said: string): Taken | Reason {
  const [first, ...rest] = entries;
  if (first && rest.every((other) => sameOnAxes(first, other))) {
    const among: Note = { code: "taken-among", taken: first.name, others: namesOf(rest) };
    return { ingredient: first, from: null, notes: rest.length > 0 ? [among] : [] };
  }
  return { code: "fits-several", said, names: namesOf(entries) };
}

function adjusted(result: Adjusted, said: string, refused: Reason): Taken | Reason {
  if (!result) return refused;
  const { ingredient, from } = result;
  if (!from) return asItIs(ingredient);
  const note: Note = { code: "adjusted", said, base: from.name, taken: ingredient.name };
  return { ingredient, from: from.id, notes: [note] };
}

const namedIn = (entries: readonly Entry[]) => entries.map((e) => e.ingredient);
const allOf = (same: SameName) => namedIn([...same.entries, ...same.others]);
/** The first entry that a phrase of its own gives this strength. */
const whoStates = (percent: number, { entries, others }: SameName) =>
  [...entries, ...others].find((e) => e.phrases.some((p) => p.statedPercent === percent))?.ingredient;

/** The strength or ratio that was typed chooses among the names, or makes the nearest of them into it. */
function withFigures(same: SameName, name: NameWords, said: string, index: PantryIndex): Taken | Reason {
  const { percent, ratio, brix } = name;
  if (percent !== null) {
    const stated = whoStates(percent, same);
    if (stated?.abvPercent.value === 0) return asItIs(stated);
    const off = (i: Ingredient) => Math.abs(i.abvPercent.value - percent);
    const base = allOf(same).reduce((best, i) => (off(i) < off(best) - 1e-9 ? i : best));
    const refused: Reason = { code: "strength-unlikely", said, percent, name: base.name };
    return adjusted(atPercent(base, percent), said, refused);
  }
  if (ratio !== null || brix !== null) {
    const stated = same.entries.find((e) => ratio !== null && e.phrases.some((p) => p.ratio === ratio));
    if (stated && !stated.ingredient.syrup) return asItIs(stated.ingredient);
    const all = allOf(same);
    const base = all.find((i) => i.syrup) ?? all[0]!;
    const family = (base.syrup && index.families.get(base.syrup.family)) ?? [];
    const result = ratio !== null ? atRatio(base, ratio, family) : atBrix(base, brix!, family);
    const figure = ratio ?? `${brix} °Bx`;
    return adjusted(result, said, { code: "ratio-unusable", said, ratio: figure, name: base.name });
  }
  return oneOf(namedIn(same.entries), said);
}

const hasFigure = ({ percent, ratio, brix }: NameWords) =>
  percent !== null || ratio !== null || brix !== null;

/** What a name without a figure leaves open: other ratios of the syrup, other strengths of the spirit. */
function leftOpen(taken: Ingredient, same: SameName, name: NameWords, index: PantryIndex): Note[] {
  if (hasFigure(name)) return [];
  if (taken.syrup && !name.rich) {
    const { family } = taken.syrup;
    const others = (index.families.get(family) ?? []).filter((i) => i.id !== taken.id);
    // Undiluted honey or maple is called so; only a thinned or cooked syrup leaves its ratio open.
    const open = others.length > 0 && Number.isFinite(ratioNumber(taken.syrup.ratio));
    return open ? [{ code: "no-ratio", taken: taken.name, others: namesOf(others) }] : [];
  }
  if (same.others.length === 0) return [];
  const others = namedIn(same.others).filter((i) => !sameOnAxes(i, taken));
  return others.length > 0 ? [{ code: "also-has", taken: taken.name, others: namesOf(others) }] : [];
}

/**
 * Decide what a name stands for. It is read only when an ingredient is called just so; a word left over that could
 * make it another product, two readings that the glass would tell apart, or a figure that fits none, is asked
 * about with the nearest candidates.
 */
export function settle(name: NameWords, said: string, index: PantryIndex): Settled {
  if (hasFigure(name)) return decide(name, said, index);
  const same = findCalled(name.words, index);
  const known = same && settledNames.get(same);
  if (known) return known;
  const settled = decide(name, said, index);
  // What is said of it does not hang on how it was typed: keep it for the next line that says so.
  if (same && settled.status === "read" && !same.shortened) settledNames.set(same, settled);
  return settled;
}
const RICH = new Set(["rich"]);
const settledNames = new WeakMap<SameName, Settled>();

function decide(name: NameWords, said: string, index: PantryIndex): Settled {
  // "15 ml 2:1" is a syrup whose name went without saying.
  const words = name.words.length === 0 && name.ratio !== null ? ["syrup"] : name.words;
  let same = findCalled(words, index);
  // "60 ml gin 47": a bare number after the name is a strength if an entry has it.
  const figure = name.words.at(-1);
  if (!same && figure !== undefined && /^\d+(\.\d+)?$/.test(figure) && name.percent === null) {
    const rest = findCalled(words.slice(0, -1), index);
    if (rest && whoStates(Number(figure), rest))
      return settle({ ...name, words: words.slice(0, -1), percent: Number(figure) }, said, index);
  }
  const calledWithout = (left: ReadonlySet<string>) => {
    const kept = words.filter((w) => !left.has(w));
    return findCalled(kept, index);
  };
  if (!same && name.ratio !== null) same = calledWithout(RATIO_WORDS);
  if (!same && name.rich) same = calledWithout(RICH);
  if (!same) return notCalled(name, said, index);
  const rich = name.rich && !index.byWords.has(wordsKey(words));
  const told = rich && name.ratio === null ? { ...name, ratio: "2:1" } : name;
  const taken = withFigures(same, told, said, index);
  if ("code" in taken) return { status: "choose", reason: taken, candidates: rank(name, index), notes: [] };
  const { ingredient } = taken;
  const notes = taken.notes.slice();
  for (const { typed, taken: word } of same.respelt) notes.push({ code: "respelt", typed, taken: word });
  if (same.shortened) notes.push({ code: "read-as", said, taken: ingredient.name });
  if (ingredient.role === "dairy" && name.percent !== null)
    notes.push({ code: "figure-idle", said: `${name.percent} %` });
  notes.push(...leftOpen(ingredient, same, name, index));
  const rivals = allOf(same).filter((i) => i !== ingredient);
  const candidates = [asCandidate(ingredient, 1), ...rivals.map((i) => asCandidate(i, 0.95))];
  return { status: "read", ingredient, from: taken.from, candidates, notes };
}
