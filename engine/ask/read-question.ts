import { LONGEST } from "../limits.ts";
import type { Pantry } from "../types.ts";
import type { Asked, Clause } from "./clause.ts";
import { createFinder, type Finder } from "./find-ingredient.ts";
import { nearestForms } from "./forms.ts";
import { LEANS, type WhatIfChange } from "./intent.ts";
import { readClause } from "./question-rules.ts";
import { intentText, troubleText } from "./words.ts";

/** A question read, with what was understood said back; or why it was not, and forms near it that are. */
export type ReadQuestion =
  | ({ read: true; echo: string } & Asked)
  | { read: false; reason: string; forms: string[] };

/** What joins two things said, longest first. */
const JOINTS = /;|,? (?:and then|and also|and|but|then|plus|also) |, /g;
/** What a first clause begins with, for a second that leaves it out. */
const VERB =
  /^(?:what if (?:i|we) )?(?:swap|replace|change|use|add|set|leave out|take out|drop|remove|substitute)\b/;
/** More clauses than this are no question. */
const MOST_CLAUSES = 6;

/**
 * Read a plain question with a fixed grammar (no language model): a table of forms, clause by clause.
 *
 * `inDrink` are the pantry ids of the drink's lines: a word such as "syrup" means the drink's own syrup before any
 * other. A question with several clauses is read whole or not at all. What is ambiguous or unknown is refused
 * with the reason and the nearest forms, never guessed. Amounts keep the unit the user wrote. Never throws.
 */
export function readQuestion(text: string, pantry: Pantry, inDrink: readonly string[]): ReadQuestion {
  const said = text
    .slice(0, LONGEST.question)
    .toLowerCase()
    .replace(/[’‘]/g, "'")
    .replace(/\s+/g, " ")
    .replace(/[?!.,\s]+$/, "")
    .replace(/^[\s,.!]*(?:(?:please|hey|hi|ok|okay|so|well|now|and|also)(?:,? ))*/, "")
    .replace(/,? please$/, "")
    .trim();
  const find = createFinder(pantry, inDrink);
  const asked = readWhole(said, find);
  if ("code" in asked) {
    return {
      read: false,
      reason: troubleText(asked, pantry),
      forms: nearestForms(said, asked, find, (form) => "intent" in readWhole(form, find)),
    };
  }
  return { read: true, ...asked, echo: intentText(asked.intent, pantry, asked.targetWords) };
}

interface Said {
  said: string;
  read: Clause;
}

/** The clauses of a question: one if it reads as one, else the first that reads and what the rest holds. */
function readClauses(said: string, find: Finder, most: number): Said[] {
  const whole = readClause(said, find) ?? { code: "form" };
  if ("intent" in whole || most <= 1) return [{ said, read: whole }];
  for (const joint of said.matchAll(JOINTS)) {
    const head = said.slice(0, joint.index);
    const read = head === "" ? null : readClause(head, find);
    if (!read || "code" in read) continue;
    const tail = said.slice(joint.index + joint[0].length).trim();
    const plain = readClauses(tail, find, most - 1);
    // "Swap the rum for gin and the lime for lemon": the verb is said once.
    const verb = plain.some((r) => "code" in r.read) ? VERB.exec(head)?.[0] : undefined;
    const again = verb ? readClauses(`${verb} ${tail}`, find, most - 1) : plain;
    const rest = again.every((r) => "intent" in r.read) ? again : plain;
    // A rest in no known form belongs to no second clause: then the whole is what was not read.
    const isClause = rest.every((r) => "intent" in r.read || r.read.code !== "form");
    if (isClause) return [{ said: head, read }, ...rest];
  }
  return [{ said, read: whole }];
}

/** The first ingredient that a change takes away from, or swaps, without the drink having it by then. */
function firstAbsent(changes: readonly WhatIfChange[], find: Finder): string | null {
  const held = new Set(find.own.map((i) => i.id));
  for (const change of changes) {
    if (!("ingredient" in change)) continue;
    const { ingredient } = change;
    const adds = ("to" in change && change.to.amount > 0) || ("by" in change && change.by.amount > 0);
    if (!adds && !held.has(ingredient)) return ingredient;
    held.add("swapFor" in change ? change.swapFor : ingredient);
  }
  return null;
}

/** A question read whole. Clauses of one kind make one; others are several, which one answer cannot hold. */
function readWhole(said: string, find: Finder): Clause {
  const clauses = readClauses(said, find, MOST_CLAUSES);
  const asked: Asked[] = [];
  for (const { read } of clauses) {
    if ("code" in read) return read;
    asked.push(read);
  }
  const intents = asked.map(({ intent }) => intent);
  const whatIfs = intents.filter((intent) => intent.ask === "what-if");
  if (whatIfs.length === intents.length) {
    const changes = whatIfs.flatMap((intent) => intent.changes);
    const absent = firstAbsent(changes, find);
    if (absent !== null) return { code: "not-in-drink", id: absent };
    return { intent: { ask: "what-if", changes }, targetWords: null };
  }
  const ways = intents.filter((intent) => intent.ask === "lean");
  if (ways.length === intents.length) {
    const leans = ways.flatMap((intent) => intent.leans);
    const keep = ways.flatMap((intent) => intent.keep);
    const axes = [...leans.map((l) => LEANS[l.lean].axis), ...keep.map((k) => k.axis)];
    if (new Set(axes).size < axes.length) return { code: "contrary" };
    return { intent: { ask: "lean", leans, keep }, targetWords: null };
  }
  const [only, ...more] = asked;
  return only && more.length === 0 ? only : { code: "several", parts: clauses.map((c) => c.said) };
}
