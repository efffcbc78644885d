import { describe, expect, test } from "vitest";
import { parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { judgeSpec } from "../engine/recipe/corpus/judge.ts";
import { specsCorpus } from "../engine/recipe/corpus/load-corpus.ts";

// The source is named at the head of the list.
const drinks = specsCorpus(new URL("official-list.txt", import.meta.url));
const { pantry: list, glasses } = loadReferenceData();
const pantry = new Map(list.map((i) => [i.id, i]));

test("the 75 drinks are all there", () => {
  expect(drinks.length).toBe(75);
});

test("none is misread, with its name above the lines or without", () => {
  const wrong = drinks.flatMap((drink) =>
    [drink, { ...drink, text: `${drink.habit}\n${drink.text}` }].flatMap((block) => {
      const outcome = judgeSpec(block, pantry, glasses);
      return outcome.kind === "wrong" ? [`${drink.habit}: ${outcome.how}`] : [];
    }),
  );
  expect(wrong).toEqual([]);
});

test("at least 72 are read whole; what is left open names no amount", () => {
  const open = drinks.filter(({ text }) => !parseRecipe(text, pantry, { glasses }).complete);
  expect(drinks.length - open.length).toBeGreaterThanOrEqual(72);
  for (const { text, habit } of open) {
    for (const { status, reason, raw } of parseRecipe(text, pantry, { glasses }).lines) {
      if (status === "choose" || status === "unread") {
        expect(["no-amount", "to-taste", "glass-is-full", "prose"], `${habit}: ${raw}`).toContain(
          reason!.code,
        );
      }
    }
  }
});

describe("what tops a drink fills its glass as the list does", () => {
  // Long drinks of the list that give the last ingredient its amount: left out, it is worked out again.
  const LONG: [drink: string, last: string][] = [
    ["John Collins", "Soda water"],
    ["Moscow Mule", "Ginger beer"],
    ["Cuba Libre", "Cola"],
    ["Horse's Neck", "Ginger Ale"],
    ["Rum and ginger beer", "Ginger beer"],
  ];
  const filled = (name: string, last: string) => {
    const drink = drinks.find(({ habit }) => habit === name)!;
    const given = new RegExp(`^([\\d.]+) mL ${last}$`, "m").exec(drink.text)!;
    const text = drink.text.replace(given[0], `top with ${last}`).replace(/in a highball glass/, "");
    const top = parseRecipe(`${text}\nhighball`, pantry, { glasses }).spec!.lines.find(
      (l) => l.stage === "top",
    )!;
    return { list: Number(given[1]), ml: top.amount, sdMl: (top.amount * top.amountSdPercent!) / 100 };
  };

  test.each(LONG)("%s: within two of its own standard uncertainties", (name, last) => {
    const { list: asListed, ml, sdMl } = filled(name, last);
    expect(Math.abs(ml - asListed)).toBeLessThan(2 * sdMl);
  });

  test("and not all too much or too little", () => {
    const off = LONG.map(([name, last]) => filled(name, last)).map(
      ({ list: asListed, ml }) => ml / asListed - 1,
    );
    expect(Math.abs(off.reduce((a, b) => a + b, 0) / off.length)).toBeLessThan(0.25);
  });
});
