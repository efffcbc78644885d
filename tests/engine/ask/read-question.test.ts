import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CHANGE_RULES } from "../../../engine/ask/change-rules.ts";
import { createFinder } from "../../../engine/ask/find-ingredient.ts";
import { allForms } from "../../../engine/ask/forms.ts";
import { ASK_RULES } from "../../../engine/ask/question-rules.ts";
import { readQuestion } from "../../../engine/ask/read-question.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const inDrink = ["rum-aged", "juice-lime", "syrup-honey-2-1", "bitters-aromatic"];
const ask = (text: string) => readQuestion(text, pantry, inDrink);

describe("the table of question forms", () => {
  test.each([...ASK_RULES, ...CHANGE_RULES].map(({ id, example }) => ({ id, example })))(
    "$id: $example",
    ({ example }) => {
      const read = ask(example);
      expect(read.read ? "read" : read.reason).toBe("read");
    },
  );

  // Offered are those that are read: one that is not must be so for what this drink holds.
  test("every form is one it reads, or that this drink cannot be asked, for every reference drink", () => {
    for (const { spec } of data.drinks.filter((_, i) => i % 12 === 0)) {
      const ids = spec.lines.map((line) => line.ingredient);
      const unread = allForms(createFinder(pantry, ids)).flatMap((form) => {
        const read = readQuestion(form, pantry, ids);
        return read.read || /not in this drink|has no thinner|no syrup|say which/.test(read.reason)
          ? []
          : [`${spec.name}: ${form}: ${read.reason}`];
      });
      expect(unread).toEqual([]);
    }
  });

  test("every ingredient can be asked about by the name the pantry gives it", () => {
    const wrong = data.pantry.flatMap(({ id, name }) => {
      const read = readQuestion(`how much ${name} for sour range`, pantry, ["juice-lime"]);
      const found = read.read && read.intent.ask === "how-much" ? read.intent.ingredient : null;
      return found === id ? [] : [`${name}: ${read.read ? found : read.reason}`];
    });
    expect(wrong).toEqual([]);
  });

  test("says back what it understood", () => {
    const read = ask("swap the rum for gin and take the honey down a bar spoon");
    expect(read).toMatchObject({
      read: true,
      echo: expect.stringMatching(/^What if .*rum.* becomes Gin.* and .*oney.* goes down 1 bar spoon$/),
    });
  });

  test("no sentence of it holds a JSON pointer", () => {
    for (const text of [
      "",
      "how much x",
      "a bar spoon less",
      "thin the rum",
      "drier and sweeter",
      "use honey instead of maple",
    ]) {
      const read = ask(text);
      expect(read.read).toBe(false);
      if (!read.read)
        expect(`${read.reason} ${read.forms.join(" ")}`).not.toMatch(
          /\/(?:intent|spec|changes|target|question)\b/,
        );
    }
  });

  test("words that every object has are words like any other", () => {
    for (const word of [
      "__proto__",
      "constructor",
      "toString",
      "make it constructor",
      "how much __proto__",
    ]) {
      expect(ask(word).read).toBe(false);
    }
  });

  test("never throws, and is quick with the longest nonsense", () => {
    const word = fc.constantFrom(
      "how",
      "much",
      "a",
      "bar",
      "spoon",
      "less",
      "and",
      "lime",
      "to",
      "1/4 oz",
      "of",
      "without",
      "the",
      "more",
      "it",
      ",",
      "instead",
      "for",
    );
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.string().map((s) => `what if I add ${s}`),
          fc.string().map((s) => `how much ${s} for ${s}`),
          fc.array(word, { minLength: 1, maxLength: 60 }).map((words) => words.join(" ")),
        ),
        (s) => {
          expect(typeof ask(s).read).toBe("boolean");
        },
      ),
      { numRuns: 60 },
    );
  });
});
