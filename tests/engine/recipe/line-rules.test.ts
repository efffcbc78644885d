import { describe, expect, test } from "vitest";
import { factsOf } from "../../../engine/recipe/facts.ts";
import { RULES, readPiece } from "../../../engine/recipe/line-rules.ts";
import { indexPantry } from "../../../engine/recipe/pantry-index.ts";
import { splitLine } from "../../../engine/recipe/pieces.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { namesCorpus, specsCorpus } from "./corpus/load-corpus.ts";

const index = indexPantry(new Map(loadReferenceData().pantry.map((i) => [i.id, i])));
const rulesOf = (line: string) => splitLine(line, 1, index).map((piece) => readPiece(piece, index).rule);

describe("each rule reads its example, and no rule before it does", () => {
  test.each(RULES.map(({ id, example }) => [id, example]))("%s: %s", (id, example) => {
    expect(rulesOf(example)).toEqual([id]);
  });
});

/** More rows a rule: lines of our own invention. */
const ROWS: [line: string, rules: string[]][] = [
  ["", ["blank"]],
  ["🍸", ["blank"]],
  ["For the syrup:", ["heading"]],
  ["## Method", ["heading"]],
  ["Garnish: lime wheel", ["label"]],
  ["Serves 4", ["label"]],
  ["half a sugar rim", ["rim"]],
  ["60/30/15 rum lime syrup", ["chain"]],
  ["rinse the glass with absinthe", ["rinse"]],
  ["mist of peated scotch", ["rinse"]],
  ["float ½ oz red wine", ["top"]],
  ["ginger beer to top", ["top"]],
  ["15 ml dark rum, floated", ["top"]],
  ["Shake, strain, top with soda", ["step", "top"]],
  ["Rinse with absinthe, then stir and strain", ["rinse", "step"]],
  ["Muddle the mint with sugar", ["step"]],
  ["fill with crushed ice", ["top"]],
  ["coupe", ["service"]],
  ["wine glass with ice", ["service"]],
  ["half a lemon, cut into wedges", ["fruit"]],
  ["1 lime, juiced", ["fruit"]],
  ["Saft einer halben Zitrone", ["juice-of"]],
  ["jus d'un demi citron vert", ["juice-of"]],
  ["1 lime wedge", ["not-counted"]],
  ["3 dashes hot sauce", ["pour"]],
  ["pinch of salt", ["not-counted"]],
  ["3 raspberries", ["whole-fruit"]],
  ["splash of soda", ["dose"]],
  ["couple dashes orange bitters", ["dose"]],
  ["1 shot vodka", ["no-size"]],
  ["1 shot of espresso", ["no-size"]],
  ["gin 2 oz", ["pour"]],
  ["gin (50 ml)", ["pour"]],
  ["1 can (330 ml) cola", ["pour"]],
  ["Blended Scotch - 60 ml", ["pour"]],
  ["Add 2 oz gin", ["pour"]],
  ["2 oz gin / ¾ oz lemon / shake", ["plain", "plain", "step"]],
  ["2oz gin 1oz lemon", ["plain", "plain"]],
  ["gin 2 oz lemon 1 oz", ["pour", "pour"]],
  ["gin, 60 ml", ["pour"]],
  ["| gin | 60 ml |", ["pour"]],
  ["1 oz each gin, lemon and honey", ["pour", "pour", "pour"]],
  ["Daiquiri: 2 oz white rum, 1 oz lime", ["prose", "plain", "plain"]],
  ["soda water", ["name-alone"]],
  ["lemon juice to taste", ["name-alone"]],
  ["bitters", ["name-alone"]],
];

describe("more rows", () => {
  test.each(ROWS)("%s → %j", (line, rules) => {
    expect(rulesOf(line)).toEqual(rules);
  });
});

test("a rule that names words has no answer where none of them stands", () => {
  const lines = [
    ...specsCorpus().flatMap(({ text }) => text.split("\n")),
    ...namesCorpus().flatMap(({ written }) => [written, `2 ${written}`, `half ${written}, cut`]),
  ];
  const named = RULES.filter(({ words }) => words);
  expect(named.length).toBeGreaterThan(8);
  const asked = new Set<string>();
  const unasked: string[] = [];
  for (const piece of lines.flatMap((line) => splitLine(line, 1, index))) {
    const facts = factsOf(piece, index);
    for (const { id, words, reads } of named) {
      if (!reads(facts)) continue;
      asked.add(id);
      if (!facts.words.some((w) => words!.has(w))) unasked.push(`${id}: ${piece.text}`);
    }
  }
  expect(unasked).toEqual([]);
  expect(asked.size).toBe(named.length);
});
