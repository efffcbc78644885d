import { LONGEST } from "../limits.ts";
import type { Pantry } from "../types.ts";
import { type Clause, trouble } from "./clause.ts";
import { createFinder, type Finder } from "./find-ingredient.ts";
import { nearestForms } from "./forms.ts";
import { type Intent, LEANS, type WhatIfChange } from "./intent.ts";
import { readClause } from "./question-rules.ts";
import { intentText, troubleText } from "./words.ts";

/** A question read, with what was understood said back; or why it was not, and forms near it that are. */
export type ReadQuestion =
  | { read: true; intent: Intent; echo: string; targetWords: string | null }
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
  if (asked.kind === "trouble") {
    return {
      read: false,
      reason: troubleText(asked.trouble, pantry),
      forms: nearestForms(said, asked.trouble, find, (form) => readWhole(form, find).kind === "asked"),
    };
  }
  const { targetWords } = asked;
  return {
    read: true,
    intent: asked.intent,
    echo: intentText(asked.intent, pantry, targetWords),
    targetWords,
  };
}

function readWhole(said: string, find: Finder): Asked {
  const clauses = readClauses(said, find, MOST_CLAUSES);
  return combined(
    clauses.map((c) => c.read),
    clauses.map((c) => c.said),
    find,
  );
}

interface Said {
  said: string;
  read: Clause;
}

/** The clauses of a question: one if it reads as one, else the first that reads and what the rest holds. */
function readClauses(said: string, find: Finder, most: number): Said[] {
  const whole = readClause(said, find);
  if (whole && whole.kind !== "trouble") return [{ said, read: whole }];
  const unread: Said = { said, read: whole ?? trouble({ code: "form" }) };
  if (most <= 1) return [unread];
  for (const joint of said.matchAll(JOINTS)) {
    const head = said.slice(0, joint.index);
    const read = head === "" ? null : readClause(head, find);
    if (!read || read.kind === "trouble") continue;
    const tail = said.slice(joint.index + joint[0].length).trim();
    const plain = readClauses(tail, find, most - 1);
    // "Swap the rum for gin and the lime for lemon": the verb is said once.
    const verb = plain.some((r) => r.read.kind === "trouble") ? VERB.exec(head)?.[0] : undefined;
    const again = verb ? readClauses(`${verb} ${tail}`, find, most - 1) : plain;
    const rest = again.every((r) => r.read.kind !== "trouble") ? again : plain;
    // A rest in no known form belongs to no second clause: then the whole is what was not read.
    const isClause = rest.every((r) => r.read.kind !== "trouble" || r.read.trouble.code !== "form");
    if (isClause) return [{ said: head, read }, ...rest];
  }
  return [unread];
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

type Asked =
  | { kind: "asked"; intent: Intent; targetWords: string | null }
  | Extract<Clause, { kind: "trouble" }>;

/** Clauses of one kind make one question; others are several, which one answer cannot hold. */
function combined(clauses: readonly Clause[], parts: string[], find: Finder): Asked {
  const bad = clauses.find((c) => c.kind === "trouble");
  if (bad?.kind === "trouble") return bad;
  const [first] = clauses;
  if (first?.kind === "changes" && clauses.every((c) => c.kind === "changes")) {
    const changes = clauses.flatMap((c) => (c.kind === "changes" ? c.changes : []));
    const absent = firstAbsent(changes, find);
    if (absent !== null) return { kind: "trouble", trouble: { code: "not-in-drink", id: absent } };
    return { kind: "asked", intent: { ask: "what-if", changes }, targetWords: null };
  }
  if (first?.kind === "lean" && clauses.every((c) => c.kind === "lean")) {
    const leans = clauses.flatMap((c) => (c.kind === "lean" ? c.leans : []));
    const keep = clauses.flatMap((c) => (c.kind === "lean" ? c.keep : []));
    const axes = [...leans.map((l) => LEANS[l.lean].axis), ...keep.map((k) => k.axis)];
    if (new Set(axes).size < axes.length) return { kind: "trouble", trouble: { code: "contrary" } };
    return { kind: "asked", intent: { ask: "lean", leans, keep }, targetWords: null };
  }
  if (clauses.length > 1) return { kind: "trouble", trouble: { code: "several", parts } };
  if (first?.kind === "how-much") {
    const { ingredient, targetWords } = first;
    return { kind: "asked", intent: { ask: "how-much", ingredient }, targetWords };
  }
  const ask = first?.kind === "least" ? "least" : "where";
  const targetWords = first?.kind === ask ? first.targetWords : null;
  return { kind: "asked", intent: { ask }, targetWords };
}
