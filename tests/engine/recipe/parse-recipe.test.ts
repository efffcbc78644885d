import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import {
  MAX_RECIPE_CHARS,
  MAX_RECIPE_LINES,
  parseRecipe,
  withMade,
} from "../../../engine/recipe/parse-recipe.ts";
import { detectMethod } from "../../../engine/recipe/service.ts";
import { noteText, reasonText } from "../../../engine/recipe/words.ts";
import { matchIngredient } from "./match-ingredient.ts";
import { STAND_IN_PANTRY as pantry } from "./stand-in-pantry.ts";

const read = (text: string) => parseRecipe(text, pantry);
const only = (text: string) => read(text).lines[0]!;

describe("assumptions are written down", () => {
  test.each([
    ["20-25 ml lemon", /range, 20–25 mL: its middle/],
    ["juice of half a lime", /taken as 15 mL ± 3 mL/],
    ["½ lime", /read as its juice/],
    ["20 ml simple syrup", /no ratio given.*2:1/],
    ["2 oz navy strength", /“navy strength” read as Navy-strength gin/],
    ["2 oz aged rum 42%", /Aged rum, 40 % at what was written, as Aged rum \(42 % vol/],
    ["20 ml honey syrup 2:1", /as Honey syrup.*2:1/],
    ["a splash of gin", /taken as 10 mL ± 5 mL/],
    ["a few dashes of bitters", /read as 3, give or take/],
    ["2 parts gin", /one part taken as 30 mL/],
    ["egg white", /no amount given: read as one/],
    ["a fat ounce of gin", /not measured/],
    ["1 oz (60 ml) gin", /another amount/],
    ["0,75 oz gin", /decimal comma/],
    ["1 oz gin (optional)", /optional/],
  ])("%s", (text, words) => {
    const line = only(text);
    expect(line.status).toBe("read");
    expect(line.notes.map(noteText).join("\n")).toMatch(words);
  });

  test("a line with nothing open carries no assumption", () => {
    expect(only("2 oz aged rum").notes).toEqual([]);
    expect(only("20 ml simple syrup (1:1)").notes).toEqual([]);
  });
});

describe("ratio and strength steer the match", () => {
  test.each([
    ["20 ml simple syrup", "syrup-simple-1-1"],
    ["20 ml 2:1 simple syrup", "syrup-simple-2-1"],
    ["20 ml simple (2:1)", "syrup-simple-2-1"],
    ["20 ml sugar syrup, 2 to 1", "syrup-simple-2-1"],
    ["20 ml rich sugar syrup", "syrup-simple-2-1"],
    ["20 ml honey syrup", "honey-1-1"],
    ["20 ml honey syrup 3:1", "honey-3-1"],
    ["20 ml rich honey syrup", "honey-3-1"],
    ["2 oz bourbon", "bourbon-40"],
    ["2 oz bourbon 50%", "bourbon-50"],
    ["2 oz 100 proof bourbon", "bourbon-50"],
    ["2 oz bourbon (80 proof)", "bourbon-40"],
  ])("%s → %s", (text, ingredient) => {
    expect(only(text).line?.ingredient).toBe(ingredient);
    expect(only(text).status).toBe("read");
  });

  test("a word nobody knows is asked about, with the name it stands beside", () => {
    const line = only("2 oz zweeb aged rum");
    expect(line).toMatchObject({ status: "choose", reason: { code: "words-left", words: ["zweeb"] } });
    expect(line.candidates[0]!.ingredient).toBe("rum-aged");
  });
});

describe("a text as a whole", () => {
  test("title, headings, method and stage", () => {
    const page = read(
      "Red Hat Sour\n\nIngredients\n2 oz bourbon\n1 oz lemon\n½ oz red wine\n\nShake, strain. Float the red wine.",
    );
    expect(page.title).toBe("Red Hat Sour");
    expect(page.method).toBe("shaken");
    expect(page.complete).toBe(true);
    expect(page.spec!.lines[2]).toEqual({ ingredient: "wine-red", amount: 0.5, unit: "oz", stage: "top" });
    expect(page.lines.map((l) => l.status)).toEqual(
      "instruction blank instruction read read read blank instruction instruction".split(" "),
    );
    expect(page.lines.at(-1)!.notes).toEqual([{ code: "goes-on-top", name: "red wine" }]);
  });

  test("a step that tops with something no line gives is not swallowed", () => {
    const page = read("2 oz gin\n1 oz lemon\nShake, strain, top with soda.");
    expect(page.complete).toBe(false);
    expect(page.lines[3]).toMatchObject({ raw: "top with soda", lineNumber: 3, status: "unread" });
    expect(page.lines[3]!.candidates[0]!.ingredient).toBe("soda");
    expect(page.method).toBe("shaken");
  });

  test("a text without a method says what was assumed and leaves method null", () => {
    const page = read("2 oz gin\n1 oz lemon");
    expect(page.method).toBeNull();
    expect(page.spec!.method).toBe("shaken");
    expect(page.notes.map(noteText).join()).toContain("names no method");
    expect(read("2 oz gin\n2 dashes orange bitters").spec!.method).toBe("stirred");
  });

  test("bare numbers take one unit for all", () => {
    const metric = read("60 aged rum\n30 lime\n20 simple syrup\n2 dashes bitters");
    expect(metric.spec!.lines.map((l) => [l.amount, l.unit])).toEqual([
      [60, "ml"],
      [30, "ml"],
      [20, "ml"],
      [2, "dash"],
    ]);
    const parts = read("2 aged rum\n¾ lime\n¾ simple syrup");
    expect(parts.spec!.lines.map((l) => l.unit)).toEqual(["part", "part", "part"]);
    expect(parts.lines[0]!.notes.map(noteText).join()).toContain("parts of 30 mL");
    expect(read("2 oz gin\n1 lime\n8 mint leaves").spec!.lines[1]!.unit).toBe("piece");
    expect(read("2 oz gin\n30 ml lemon\n1 simple syrup").lines[2]!.status).toBe("unread");
  });

  test("the same ingredient may stand on two lines", () => {
    expect(read("1 oz gin\n2 oz gin").spec!.lines).toHaveLength(2);
  });

  test("ice in the glass and a muddler go with building, and are not read as saying it", () => {
    const over = read("2 oz gin\n1 oz lime juice\nServe over ice");
    expect(over).toMatchObject({ method: null, spec: { method: "built", servedOn: "cubes" } });
    expect(over.notes).toEqual([{ code: "method-supposed", method: "built" }]);
    const smash = read("2 oz gin\n3/4 oz lime juice\nmuddle 8 mint leaves\nshake");
    expect(smash).toMatchObject({ method: "shaken", spec: { method: "shaken" }, notes: [] });
  });

  test("an empty text is no spec and no error", () => {
    expect(read("")).toMatchObject({ spec: null, method: null, complete: false });
    expect(read("\n \n---").lines.map((l) => l.status)).toEqual(["blank", "blank", "blank"]);
  });

  test("too long a text is refused with the limit", () => {
    expect(() => read("x".repeat(MAX_RECIPE_CHARS + 1))).toThrow(EngineError);
    expect(() => read("\n".repeat(MAX_RECIPE_LINES))).toThrow(/lines/);
    expect(read("x".repeat(MAX_RECIPE_CHARS)).complete).toBe(false);
  });
});

describe("method words", () => {
  test.each([
    ["Shake hard with ice", "shaken"],
    ["Stirred, not shaken", "stirred"],
    ["do not shake; stir", "stirred"],
    ["Build over ice and stir", "built"],
    ["Swizzle with crushed ice", "crushed"],
    ["Shake and pour over crushed ice", "shaken"],
    ["Blend until smooth", "blended"],
    ["Throw six times", "thrown"],
    ["Force-carbonate at 4 °C", "carbonated"],
    ["Serve at room temperature", "none"],
    ["Mit Eis schütteln", "shaken"],
    ["combine in a mixing glass", "stirred"],
    ["garnish with mint", null],
    ["top with carbonated water", null],
    ["blended scotch", null],
  ])("%s → %s", (text, method) => {
    expect(detectMethod(text)).toBe(method);
  });
});

describe("any text", () => {
  const words =
    "2 ½ oz ml - – • ( ) / , : 2:1 40% proof rum aged lime juice of half a syrup rich or and top with soda shake 1 g dash to x each egg white \t".split(
      " ",
    );
  const line = fc.oneof(
    fc.string({ unit: "binary", maxLength: 80 }),
    fc.array(fc.constantFrom(...words), { maxLength: 14 }).map((w) => w.join(" ")),
  );

  test("never throws, one answer per line with its raw text, no NaN, read lines are usable", () => {
    fc.assert(
      fc.property(fc.array(line, { maxLength: 8 }), (raws) => {
        const text = raws.join("\n");
        const { lines, spec, made, complete } = read(text);
        const known = withMade(pantry, made);
        text.split(/\r\n|[\n\r\u2028\u2029]/).forEach((raw, i) => {
          const pieces = lines.filter((l) => l.lineNumber === i + 1);
          expect(pieces.length).toBeGreaterThan(0);
          if (pieces.length === 1) expect(pieces[0]!.raw).toBe(raw);
        });
        for (const l of lines) {
          for (const note of l.notes) expect(noteText(note)).not.toMatch(/undefined|NaN|\[object/);
          if (l.reason) expect(reasonText(l.reason)).not.toMatch(/undefined|NaN|\[object/);
          if (l.status === "read" || l.status === "choose") {
            expect(known.has(l.line!.ingredient)).toBe(true);
            expect(l.line!.amount > 0 && Number.isFinite(l.line!.amount)).toBe(true);
          }
          if (l.status === "choose" || l.status === "unread") expect(l.reason).toBeTruthy();
          for (const c of l.candidates) expect(c.score >= 0 && c.score <= 1).toBe(true);
        }
        const nRead = lines.filter((l) => l.status === "read").length;
        expect(spec?.lines.length ?? 0).toBe(nRead);
        if (complete) expect(nRead).toBeGreaterThan(0);
      }),
      { numRuns: 400 },
    );
  });

  test("the longest texts allowed come back in one piece", () => {
    for (const piece of [
      "1 ",
      "½",
      "a ",
      "(",
      ",",
      "zzyzx ",
      "2:1 ",
      "1-",
      "oz ",
      "top with ",
      "\n1 oz rum (",
      "- ",
    ]) {
      const text = piece
        .repeat(Math.floor(MAX_RECIPE_CHARS / piece.length))
        .split("\n")
        .slice(0, MAX_RECIPE_LINES)
        .join("\n");
      expect(read(text).lines.length).toBeGreaterThan(0);
    }
  });

  test("matching is deterministic, ranked, and finds nothing in noise", () => {
    const backwards = new Map([...pantry].reverse());
    for (const name of ["gold rum", "grapefruit", "juice", "40 %"]) {
      expect(matchIngredient(name, backwards)).toEqual(matchIngredient(name, pantry));
    }
    const found = matchIngredient("gold rum", pantry);
    expect(found[0]).toEqual({ ingredient: "rum-aged", name: "Aged rum, 40 %", score: 1 });
    expect(found.every((c, i) => i === 0 || found[i - 1]!.score >= c.score)).toBe(true);
    expect(matchIngredient("", pantry)).toEqual([]);
    expect(matchIngredient("qqqq zzzz", pantry)).toEqual([]);
  });
});

describe("a name read before changes no reading", () => {
  const LINES = [
    "1 oz gin",
    "1 oz (60 ml) gin",
    "2 dashes gin",
    "3 gin",
    "2 piece gin",
    "1 part gin",
    "1-2 oz gin",
    "0,75 oz gin",
    "1 oz Gin",
    "1 oz gin or vodka",
    "2 dashes celery bitters",
    "10 ml celery bitters",
    "1 oz gin (optional)",
    "1 oz optional gin",
  ];

  test("each line after each other one is read as in a pantry that nothing was read from", () => {
    for (const before of LINES) {
      for (const line of LINES) {
        const used = new Map(pantry);
        parseRecipe(before, used);
        expect(parseRecipe(line, used)).toEqual(parseRecipe(line, new Map(pantry)));
      }
    }
  });
});
