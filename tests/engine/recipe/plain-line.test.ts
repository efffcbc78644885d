import { expect, test } from "vitest";
import { plainAmount } from "../../../engine/amounts/plain-amount.ts";
import { indexPantry } from "../../../engine/recipe/pantry-index.ts";
import { parseRecipe } from "../../../engine/recipe/parse-recipe.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { namesCorpus, specsCorpus } from "./corpus/load-corpus.ts";

// What the quick way in takes from the tail of a line is held against the whole reading, which knows no tail.

const { pantry: list, glasses } = loadReferenceData();
const fresh = () => new Map(list.map((i) => [i.id, i]));
const HEADS = ["2 oz", "1½ oz", "22.5 ml", "3/4 Oz.", "2 dashes", "1 part", "10 g", "1 bsp", "2", "- 1 oz"];
const written = namesCorpus().map((row) => row.written);
const TAILS = [
  ...specsCorpus().flatMap(({ text }) => text.split("\n").map((line) => line.replace(/^[\d./¼½¾]+/u, ""))),
  ...written.map((name) => ` ${name}`),
  ...written.map((name) => ` ${name}, chilled`),
  ...written.map((name) => ` oz ${name}`),
  ...written.map((name, i) => ` ${["-", "or", "/", "+", "to", "of a"][i % 6]} 2 oz ${name}`),
];

test("every line and name of the corpora, its amount varied, is read as by a reader that knows no name", () => {
  const [warm, cold] = [fresh(), fresh()];
  let quick = 0;
  TAILS.forEach((tail, i) => {
    // Read under one head, then under others; the next name begins with the next head.
    const line = (k: number) => `${HEADS[(i + k) % HEADS.length]}${tail}`;
    parseRecipe(line(0), warm, { glasses });
    for (const text of [line(0), line(1), line(3), line(4), line(7)]) {
      const first = plainAmount(text);
      if (first && indexPantry(warm).known.has(text.slice(first.end))) quick += 1;
      indexPantry(cold).known.clear();
      expect(parseRecipe(text, warm, { glasses }), text).toEqual(parseRecipe(text, cold, { glasses }));
    }
  });
  expect(quick).toBeGreaterThan(1500);
});

test("a line that pours nothing is read as by a reader that never saw it, wherever it stands", () => {
  const [warm, cold] = [fresh(), fresh()];
  for (const { text } of specsCorpus()) {
    parseRecipe(text, warm, { glasses });
    const lower = `\n\n${text}`;
    indexPantry(cold).known.clear();
    indexPantry(cold).steps.clear();
    expect(parseRecipe(lower, warm, { glasses }), text).toEqual(parseRecipe(lower, cold, { glasses }));
  }
  expect(indexPantry(warm).steps.size).toBeGreaterThan(50);
});
