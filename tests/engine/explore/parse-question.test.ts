import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { parseQuestion, QUESTION_FORMS } from "../../../engine/explore/parse-question.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const demo = data.demo.rounds.at(-1)!.spec;
const inDrink = demo.lines.map((line) => line.ingredient);
const ask = (text: string) => parseQuestion(text, pantry, inDrink);
const intentOf = (text: string) => {
  const read = ask(text);
  if (!read.read) throw new Error(`${text}: ${read.reason}`);
  return read.intent;
};

describe("the question grammar", () => {
  test("reads how much of an ingredient for a target, with the target's words kept", () => {
    const read = ask("How much lemon for sour range?");
    expect(read).toMatchObject({
      read: true,
      intent: { ask: "how-much", ingredient: "juice-lemon" },
      targetWords: "sour",
    });
  });

  test("takes 'the syrup' to be the drink's own syrup", () => {
    const own = demo.lines.find((line) => pantry.get(line.ingredient)?.role === "syrup")!;
    expect(intentOf("what if I take the syrup down a bar spoon")).toEqual({
      ask: "what-if",
      changes: [{ ingredient: own.ingredient, by: { amount: -1, unit: "barspoon" } }],
    });
  });

  test("keeps the unit the user said", () => {
    expect(intentOf("what if I add 1/4 oz lime juice")).toEqual({
      ask: "what-if",
      changes: [{ ingredient: "juice-lime", by: { amount: 0.25, unit: "oz" } }],
    });
    expect(intentOf("what if I use 22.5 ml of lemon juice")).toEqual({
      ask: "what-if",
      changes: [{ ingredient: "juice-lemon", to: { amount: 22.5, unit: "ml" } }],
    });
  });

  test("reads leaving out and swapping", () => {
    const rum = demo.lines.find((line) => pantry.get(line.ingredient)?.role === "spirit")!.ingredient;
    expect(intentOf("what if I leave out the rum")).toEqual({
      ask: "what-if",
      changes: [{ ingredient: rum, to: { amount: 0, unit: "ml" } }],
    });
    expect(intentOf("what if I swap the rum for cognac")).toMatchObject({
      changes: [{ ingredient: rum, swapFor: expect.stringMatching(/cognac|brandy/) }],
    });
  });

  test.each([
    ["what would make this drier without losing acid", "drier", [{ axis: "acid", how: "not-less" }]],
    ["make it stronger without adding sugar", "stronger", [{ axis: "sugar", how: "not-more" }]],
    [
      "how do I make this sharper without changing sugar or alcohol",
      "sharper",
      [
        { axis: "sugar", how: "same" },
        { axis: "abv", how: "same" },
      ],
    ],
    ["what would make this less sweet", "drier", []],
  ])("reads a lean and what to keep: %s", (text, lean, keep) => {
    expect(intentOf(text)).toEqual({ ask: "lean", lean, keep });
  });

  test("refuses what it cannot read and shows the forms it can", () => {
    for (const text of [
      "",
      "is it tasty",
      "how much unobtainium for sour range",
      "what if I add some lime",
      "make it funkier",
    ]) {
      expect(ask(text)).toMatchObject({ read: false, forms: QUESTION_FORMS });
    }
  });

  test("every form it offers is one it reads, on the demo drink or says which ingredient is meant", () => {
    for (const form of QUESTION_FORMS) {
      const read = ask(form);
      expect(read.read || /could be|not in the pantry/.test(read.reason), form).toBe(true);
    }
  });

  test("never throws", () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.string().map((s) => `what if I add ${s}`),
          fc.string().map((s) => `how much ${s} for ${s}`),
        ),
        (s) => {
          expect(typeof ask(s).read).toBe("boolean");
        },
      ),
    );
  });
});
