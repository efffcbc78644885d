import { formatQuantity } from "../amounts/format-amount.ts";
import { parseQuantity } from "../amounts/parse-quantity.ts";
import { LONGEST } from "../limits.ts";
import { matchIngredient } from "../recipe/match.ts";
import type { AxisName, Pantry } from "../types.ts";
import type { Intent, Lean, SaidAmount, WhatIfChange } from "./intent.ts";

/** A question read, with what was understood said back; or why it was not, and the forms that are. */
export type ReadQuestion =
  | { read: true; intent: Intent; echo: string; targetWords: string | null }
  | { read: false; reason: string; forms: readonly string[] };

/** The question forms the grammar knows, as examples a person can copy. */
export const QUESTION_FORMS = [
  "how much lemon for sour range",
  "what if I take the syrup down a bar spoon",
  "what if I add 1/4 oz lime",
  "what if I use 3/4 oz of pineapple juice",
  "what if I leave out the bitters",
  "what if I swap the rum for gin",
  "what would make this drier without losing acid",
  "how far is this from sour range",
] as const;

const LEAN_WORDS: [RegExp, Lean][] = [
  [/^(drier|dryer|less sweet|less sugary)$/, "drier"],
  [/^(sweeter|more sweet|richer)$/, "sweeter"],
  [/^(sharper|more sour|sourer|tarter|more tart|brighter|more acidic)$/, "sharper"],
  [/^(softer|less sour|less tart|less sharp|less acidic|rounder)$/, "softer"],
  [/^(stronger|boozier|more alcoholic)$/, "stronger"],
  [/^(lighter|weaker|less strong|less boozy|longer)$/, "lighter"],
];

const AXIS_WORDS: [RegExp, AxisName][] = [
  [/^(the )?(sugar|sweetness)$/, "sugar"],
  [/^(the )?(acid|acidity|sourness|tartness)$/, "acid"],
  [/^(the )?(alcohol|abv|strength|proof)$/, "abv"],
];

/**
 * Read a plain question with a small fixed grammar (no language model).
 *
 * `inDrink` are the pantry ids of the drink's lines: a word such as "syrup" means the drink's own
 * syrup before any other. Ambiguous or unknown words are refused with the reason, never guessed.
 * Units: amounts keep the unit the user wrote; "a bar spoon" is 1 bar spoon. Never throws.
 */
export function parseQuestion(text: string, pantry: Pantry, inDrink: readonly string[]): ReadQuestion {
  const words = text
    .toLowerCase()
    .replace(/[?!.]+\s*$/, "")
    .replace(/[’]/g, "'")
    .replace(/\s+/g, " ")
    .trim()
    .slice(0, LONGEST.question);
  const find = (said: string) => findIngredient(said, pantry, inDrink);
  return (
    readHowMuch(words, find) ??
    readWhatIf(words, find) ??
    readLean(words) ??
    readWhere(words) ??
    refuse("This form of question is not one I know")
  );
}

/** A match weaker than this is another ingredient; one within CLOSE_SCORE of the best is as good a reading. */
const LEAST_SCORE = 0.5;
const CLOSE_SCORE = 0.05;

type Found = { id: string; name: string } | { problem: string };
type Find = (said: string) => Found;

const refuse = (reason: string): ReadQuestion => ({ read: false, reason, forms: QUESTION_FORMS });

function findIngredient(said: string, pantry: Pantry, inDrink: readonly string[]): Found {
  const clean = said.replace(/^(more|extra|less|the|my|some|fresh)\s+/g, "").replace(/^the\s+/, "");
  const own = new Map(
    inDrink.flatMap((id) => {
      const ingredient = pantry.get(id);
      return ingredient ? [[id, ingredient] as const] : [];
    }),
  );
  // A role word means the one line of that role; a shared word means the one line whose name has it.
  const byWord = [...own.values()].filter(
    (i) =>
      i.name
        .toLowerCase()
        .split(/[^a-z]+/)
        .includes(clean) || i.role.split("-").includes(clean),
  );
  if (byWord.length === 1) return byWord[0]!;
  if (byWord.length > 1) {
    return { problem: `"${clean}" could be ${byWord.map((i) => i.name).join(" or ")}: say which` };
  }
  const ranked = matchIngredient(clean, pantry);
  const best = ranked[0];
  if (!best || best.score < LEAST_SCORE) return { problem: `"${clean}" is not in the pantry` };
  const close = ranked.filter((c) => c.score >= best.score - CLOSE_SCORE);
  const closeOwn = close.filter((c) => own.has(c.ingredient));
  const choice = closeOwn.length > 0 ? closeOwn : close;
  if (choice.length === 1 || choice[0]!.score > choice[1]!.score) {
    return { id: choice[0]!.ingredient, name: choice[0]!.name };
  }
  const names = choice.slice(0, 3).map((c) => c.name);
  return { problem: `"${clean}" could be ${names.join(" or ")}: say which` };
}

function readHowMuch(words: string, find: Find): ReadQuestion | null {
  const m =
    /^how much (?:more )?(.+?) (?:for|do i need for|would bring (?:this|it) (?:into|to)|brings (?:this|it) (?:into|to)|gets (?:this|it) (?:into|to)|to (?:reach|hit|get into)) (?:the |a )?(.+?)(?: range)?$/.exec(
      words,
    );
  if (!m) return null;
  const found = find(m[1]!);
  if ("problem" in found) return refuse(found.problem);
  return {
    read: true,
    intent: { ask: "how-much", ingredient: found.id },
    echo: `How much ${found.name}, alone, brings this drink into ${m[2]} range`,
    targetWords: m[2]!,
  };
}

function readAmount(said: string): SaidAmount | null {
  const q = parseQuantity(said);
  return q?.unit ? { amount: q.amount, unit: q.unit } : null;
}

function readWhatIf(words: string, find: Find): ReadQuestion | null {
  const m = /^what (?:if|happens if) (?:i )?(.+)$/.exec(words);
  if (!m) return null;
  const said = m[1]!;
  const done = (ingredient: string, build: (id: string) => WhatIfChange, verb: string): ReadQuestion => {
    const found = find(ingredient);
    if ("problem" in found) return refuse(found.problem);
    return {
      read: true,
      intent: { ask: "what-if", changes: [build(found.id)] },
      echo: `What if ${found.name} ${verb}`,
      targetWords: null,
    };
  };
  const tell = (a: SaidAmount) => formatQuantity(a.amount, a.unit);

  let p = /^(?:swap|swapped|change|replace) (.+?) (?:for|to|with) (.+)$/.exec(said);
  if (p) {
    const to = find(p[2]!);
    if ("problem" in to) return refuse(to.problem);
    return done(p[1]!, (ingredient) => ({ ingredient, swapFor: to.id }), `becomes ${to.name}, same amount`);
  }
  p = /^(?:take|bring|turn|move|put) (.+?) (down|up)(?: by)? (.+)$/.exec(said);
  if (p) {
    const by = readAmount(p[3]!);
    if (!by) return refuse(`I read no amount with a unit in "${p[3]}"`);
    const sign = p[2] === "down" ? -1 : 1;
    return done(
      p[1]!,
      (ingredient) => ({ ingredient, by: { ...by, amount: sign * by.amount } }),
      `goes ${p[2]} ${tell(by)}`,
    );
  }
  p = /^(?:leave out|drop|skip|left out|dropped) (.+)$/.exec(said);
  if (p) return done(p[1]!, (ingredient) => ({ ingredient, to: { amount: 0, unit: "ml" } }), "is left out");
  p = /^(add|added|take out|use|used|pour|cut)\s(.+)$/.exec(said);
  if (p) {
    const q = parseQuantity(p[2]!);
    if (!q?.unit) return refuse(`I read no amount with a unit in "${p[2]}"`);
    const amount: SaidAmount = { amount: q.amount, unit: q.unit };
    const rest = q.rest.replace(/^(?:more |of |more of )+(?:the )?/, "");
    if (p[1]!.startsWith("add"))
      return done(rest, (ingredient) => ({ ingredient, by: amount }), `rises by ${tell(amount)}`);
    if (p[1] === "take out" || p[1] === "cut") {
      const less = { ...amount, amount: -amount.amount };
      return done(rest, (ingredient) => ({ ingredient, by: less }), `falls by ${tell(amount)}`);
    }
    return done(rest, (ingredient) => ({ ingredient, to: amount }), `is ${tell(amount)}`);
  }
  return refuse("I know a what-if as: take X up/down an amount, add, use, leave out, or swap X for Y");
}

function readLean(words: string): ReadQuestion | null {
  const m =
    /^(?:what would make|what makes|how do i make|how can i make|make) (?:this|it|the drink) (.+?)((?: without .+| and keep(?:ing)? .+)*)$/.exec(
      words,
    );
  if (!m) return null;
  const lean = LEAN_WORDS.find(([re]) => re.test(m[1]!))?.[1];
  if (!lean) {
    return refuse(`"${m[1]}" is not a way I can lean: drier, sweeter, sharper, softer, stronger, lighter`);
  }
  const keep: Extract<Intent, { ask: "lean" }>["keep"] = [];
  const told: string[] = [];
  for (const clause of m[2]!.matchAll(
    /(?:without (losing|adding|raising|changing|moving)|and keep(?:ing)?) (.+?)(?= without| and keep|$)/g,
  )) {
    for (const part of clause[2]!.split(/ or | and |, /)) {
      const axis = AXIS_WORDS.find(([re]) => re.test(part.trim()))?.[1];
      if (!axis) return refuse(`"${part.trim()}" is not an axis: sugar, acid or alcohol`);
      const how =
        clause[1] === "losing"
          ? "not-less"
          : clause[1] === "adding" || clause[1] === "raising"
            ? "not-more"
            : "same";
      keep.push({ axis, how });
      told.push(
        `${axis} ${how === "same" ? "kept the same" : how === "not-less" ? "not falling" : "not rising"}`,
      );
    }
  }
  return {
    read: true,
    intent: { ask: "lean", lean, keep },
    echo: `The least change that makes this ${lean}${told.length > 0 ? `, ${told.join(", ")}` : ""}`,
    targetWords: null,
  };
}

function readWhere(words: string): ReadQuestion | null {
  const m =
    /^(?:how far (?:is|am) (?:this|it|i) from (?:the |a )?(.+?)(?: range)?|is (?:this|it) (?:in|inside) (?:the |a )?(.+?)(?: range)?|where (?:is|does) (?:this|it)(?: sit)?)$/.exec(
      words,
    );
  if (!m) return null;
  const targetWords = m[1] ?? m[2] ?? null;
  return {
    read: true,
    intent: { ask: "where" },
    echo: targetWords ? `How far this drink is from ${targetWords} range` : "Where this drink sits",
    targetWords,
  };
}
