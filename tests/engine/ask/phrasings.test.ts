import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Intent, WhatIfChange } from "../../../engine/ask/intent.ts";
import { readQuestion } from "../../../engine/ask/read-question.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

// The corpus of questions and what each must be read as: phrasings.tsv. The figure that counts is the number of
// questions read as something else: 0.

const pantry = new Map(loadReferenceData().pantry.map((i) => [i.id, i]));

/** Ours, invented: what the glass holds decides what a word means. */
const DRINKS: Readonly<Record<string, string[]>> = {
  rum: ["rum-aged", "juice-lime", "syrup-honey-2-1", "bitters-aromatic"],
  maple: ["rum-aged", "juice-lime", "maple"],
  simple: ["gin", "juice-lemon", "syrup-simple-1-1"],
  cordial: ["gin", "lime-cordial"],
  two: ["rum-aged", "rum-white", "juice-lime", "syrup-simple-1-1"],
};

const rows = readFileSync(new URL("./phrasings.tsv", import.meta.url), "utf8")
  .split("\n")
  .filter((line) => line !== "" && !line.startsWith("#"))
  .map((line) => {
    const [drink = "", question = "", reading = ""] = line.split("\t");
    return { drink, question, reading };
  });

function changeNotation(change: WhatIfChange): string {
  if ("scale" in change) return `all * ${change.scale}`;
  if ("method" in change) return `method ${change.method}`;
  const { ingredient } = change;
  if ("swapFor" in change) return `${ingredient} > ${change.swapFor}`;
  if ("times" in change) return `${ingredient} * ${change.times}`;
  if ("to" in change)
    return change.to.amount === 0
      ? `${ingredient} out`
      : `${ingredient} = ${change.to.amount} ${change.to.unit}`;
  return `${ingredient} ${change.by.amount < 0 ? "-" : "+"}${Math.abs(change.by.amount)} ${change.by.unit}`;
}

/** An intent in the corpus's notation. */
function notation(intent: Intent, targetWords: string | null): string {
  const range = targetWords === null ? "" : ` @${targetWords}`;
  switch (intent.ask) {
    case "how-much":
      return `dose ${intent.ingredient}${range}`;
    case "least":
    case "where":
      return `${intent.ask}${range}`;
    case "what-if":
      return intent.changes.map(changeNotation).join("; ");
    case "lean": {
      const leans = intent.leans.map(({ lean, by }) => (by === undefined ? lean : `${lean}=${by}`));
      const keeps = intent.keep.map(({ axis, how }) => `${axis} ${how}`);
      return `lean ${leans.join(" + ")}${keeps.length > 0 ? ` | keep ${keeps.join(", ")}` : ""}`;
    }
  }
}

/** What each refusal says, by its code. */
const REFUSALS: Readonly<Record<string, RegExp>> = {
  "no-axis": /not something to keep/,
  form: /not one I know|no way to lean/,
  which: /could be .* or .*: say which/,
  unknown: /not in the pantry/,
  contrary: /two ways|move and stay/,
  "of-what": /of what/,
  "no-amount": /no amount/,
  "no-syrup": /no syrup/,
  "no-such-syrup": /has no thinner/,
  absent: /not in this drink/,
};

describe("questions as people ask them", () => {
  test("there are at least 150, each once", () => {
    expect(rows.length).toBeGreaterThanOrEqual(150);
    expect(new Set(rows.map((row) => `${row.drink} ${row.question}`)).size).toBe(rows.length);
  });

  test.each(rows)("$drink: $question", ({ drink, question, reading }) => {
    const read = readQuestion(question, pantry, DRINKS[drink]!);
    if (!reading.startsWith("?")) {
      expect(read.read ? notation(read.intent, read.targetWords) : read.reason).toBe(reading);
      return;
    }
    expect(read.read ? notation(read.intent, read.targetWords) : "refused").toBe("refused");
    if (read.read) return;
    if (reading.startsWith("??")) {
      for (const form of reading.slice(2).trim().split(" / ")) expect(read.forms).toContain(form);
    } else expect(read.reason).toMatch(REFUSALS[reading.slice(1)]!);
    // Whatever is refused comes with forms that are read.
    expect(read.forms.length).toBeGreaterThan(0);
    for (const form of read.forms) {
      const again = readQuestion(form, pantry, DRINKS[drink]!);
      expect(again.read ? "read" : `${form}: ${again.reason}`).toBe("read");
    }
  });
});
