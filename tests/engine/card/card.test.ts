/**
 * The card in every format. Outside checks: JSON Schema 2020-12 by ajv; CSV by RFC 4180 through d3-dsv; formula
 * injection after OWASP's list of leading signs; schema.org's Recipe, HowTo and PropertyValue terms (read in
 * schema.ttl); UN/CEFACT unit codes (from memory).
 */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv2020 } from "ajv/dist/2020.js";
import { csvParse } from "d3-dsv";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import * as z from "zod/mini";
import { DEFAULT_UNIT_SETTINGS } from "../../../engine/amounts/units.ts";
import { toJsonLd } from "../../../engine/card/json-ld.ts";
import { type CardOptions, makeCard, pantryOf } from "../../../engine/card/make.ts";
import { CARD_FORMATS, type CardFormat, readCard } from "../../../engine/card/read.ts";
import type { Card } from "../../../engine/card/types.ts";
import { toCsv, toJson, toMarkdown, toText } from "../../../engine/card/write.ts";
import { METHOD_IDS, SERVING_ICE_IDS } from "../../../engine/ids.ts";
import { place } from "../../../engine/place/place.ts";
import { cardShape } from "../../../engine/shapes/card.ts";
import type { DilutionChoice, Ingredient, Pantry, Spec, UnitId } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { ROOT } from "../../rules/source-tree.ts";

const data = loadReferenceData();
const reference: Pantry = new Map(data.pantry.map((i) => [i.id, i]));
const own: Ingredient = {
  id: "own-honey-syrup",
  name: 'House syrup, "golden" (3:1)',
  role: "syrup",
  aliases: [],
  abvPercent: { value: 0, sd: 0, source: "own-measurement" },
  sugarsGPer100Ml: { fructose: { value: 41.234567890123, sd: 0.5, source: "own-measurement" } },
  acidsGPer100Ml: {},
  densityGPerMl: { value: 1.31, sd: 0.01, source: "own-measurement" },
  cautions: ["honey-infants"],
  own: true,
};
const home: Pantry = new Map([...reference, [own.id, own]]);
const shelf = { pantry: reference, glasses: data.glasses };
const prices = new Map([...home.keys()].map((id) => [id, 20]));
const spec: Spec = {
  name: "=Test drink (invented)",
  method: "shaken",
  glass: "rocks",
  servedOn: "rock",
  lines: [
    { ingredient: "gin", amount: 2, unit: "oz" },
    { ingredient: "juice-lemon", amount: 0.75, unit: "oz" },
    { ingredient: "own-honey-syrup", amount: 22.5, unit: "ml" },
    { ingredient: "bitters-aromatic", amount: 2, unit: "dash" },
    { ingredient: "soda-water", amount: 1 / 3, unit: "oz", stage: "top" },
  ],
  dilution: { model: "regression", calibration: { factor: 0.931, sd: 0.0625, n: 3 } },
};
const options: CardOptions = {
  glasses: data.glasses,
  prices,
  pourCost: 0.2,
  garnish: "lemon twist",
  notes: "Shake hard.\n-Then taste.",
  unitSettings: { ...DEFAULT_UNIT_SETTINGS, dashMl: 0.9 },
};
const card = makeCard(spec, home, options);
const write: Record<CardFormat, (c: Card, pantry: Pantry) => string> = {
  text: toText,
  markdown: toMarkdown,
  csv: toCsv,
  json: toJson,
  "json-ld": toJsonLd,
};
const pointOf = (c: Card, pantry: Pantry) => {
  const p = place(c.spec, pantryOf(c, pantry), { unitSettings: c.unitSettings });
  return { point: p.point, sd: p.sd, finishedVolumeMl: p.finishedVolumeMl };
};
const WHOLE = ["json", "json-ld", "csv"] as const;

describe("handed over and read again", () => {
  test.each(WHOLE)("%s: the same card, on a clean shelf, to the last digit", (format) => {
    const { card: again, unread } = readCard(format, write[format](card, home), shelf);
    expect(unread).toEqual([]);
    expect(again.spec).toEqual(card.spec);
    expect(again.ingredients).toEqual([own]);
    expect(again.unitSettings).toEqual(card.unitSettings);
    expect([again.garnish, again.notes]).toEqual([card.garnish, card.notes]);
    expect(pointOf(again, reference)).toEqual(pointOf(card, home));
  });

  test.each(["text", "markdown"] as const)("%s: the same where the pantry knows the names", (format) => {
    const settings = { ...options, unitSettings: undefined };
    const written = write[format](makeCard(spec, home, settings), home);
    const { card: again, unread } = readCard(format, written, { ...shelf, pantry: home });
    expect(unread).toEqual([]);
    expect(again.spec).toEqual(spec);
    expect(again.notes).toBe(card.notes);
    expect(pointOf(again, home)).toEqual(pointOf({ ...card, unitSettings: undefined }, home));
    expect(() => readCard(format, written, shelf)).toThrow("read the card as JSON");
  });

  const amount = fc.oneof(
    fc.double({ min: 0.01, max: 300, noNaN: true }),
    fc.constantFrom(1 / 8, 1 / 3, 2 / 3, 0.75, 1.5, 2 + 1 / 3, 60, 22.5),
  );
  const ids = ["gin", "juice-lime", "syrup-simple-1-1", "egg-white", "vermouth-sweet", "soda-water", "sugar"];
  const line = fc.record(
    {
      ingredient: fc.constantFrom(...ids),
      amount,
      unit: fc.constantFrom<UnitId>(
        "ml",
        "cl",
        "oz",
        "imperial-oz",
        "tsp",
        "tbsp",
        "barspoon",
        "dash",
        "drop",
        "part",
        "g",
      ),
      stage: fc.constantFrom("mix" as const, "top" as const),
    },
    { requiredKeys: ["ingredient", "amount", "unit"] },
  );
  const calibration = fc.record({
    factor: fc.double({ min: 0.3, max: 2, noNaN: true }),
    sd: fc.double({ min: 0, max: 0.4, noNaN: true }),
    n: fc.integer({ min: 1, max: 9 }),
  });
  const dilution: fc.Arbitrary<DilutionChoice | undefined> = fc.oneof(
    fc.constant(undefined),
    calibration.map((c): DilutionChoice => ({ model: "regression", calibration: c })),
    fc.constant<DilutionChoice>({ model: "regression" }),
    fc
      .double({ min: 0, max: 300, noNaN: true })
      .map((waterMl): DilutionChoice => ({ model: "measured", waterMl, sdMl: 2 })),
    fc
      .double({ min: -40, max: 0, noNaN: true })
      .map((iceTempC): DilutionChoice => ({ model: "energy", conditions: { iceTempC, iceMassG: 1e-7 } })),
  );
  const anySpec = fc.record({
    name: fc.string({ minLength: 1, maxLength: 60, unit: "grapheme" }),
    method: fc.constantFrom(...METHOD_IDS),
    lines: fc.array(line, { minLength: 1, maxLength: 6 }),
    dilution,
    servedOn: fc.option(fc.constantFrom(...SERVING_ICE_IDS), { nil: undefined }),
  });

  test("any spec, any format: the same lines, method and water", () => {
    fc.assert(
      fc.property(
        anySpec,
        fc.constantFrom(...CARD_FORMATS),
        fc.string({ maxLength: 80 }),
        (any, format, notes) => {
          const clean = JSON.parse(JSON.stringify(any)) as Spec;
          const plain: Card = {
            form: "steelyard-card-1",
            spec: clean,
            ...(notes.trim() !== "" && WHOLE.includes(format as never) && { notes }),
          };
          const { card: again } = readCard(format, write[format](plain, reference), shelf);
          expect(again.spec.lines).toEqual(clean.lines);
          expect(again.spec.method).toBe(clean.method);
          expect(again.spec.dilution).toEqual(clean.dilution);
          expect(again.spec.servedOn).toEqual(clean.servedOn);
          if (WHOLE.includes(format as never)) expect(again).toEqual(plain);
        },
      ),
      { numRuns: 300 },
    );
  });
});

describe("JSON Schema", () => {
  const file = join(ROOT, "reference-data/card.schema.json");
  const schema = z.toJSONSchema(cardShape, { target: "draft-2020-12" });
  const validate = new Ajv2020({ strict: false, allErrors: true }).compile(
    JSON.parse(readFileSync(file, "utf8")),
  );

  test("the published file is that of the shape the reader checks (vitest --update writes it anew)", async () => {
    await expect(`${JSON.stringify(schema, null, 2)}\n`).toMatchFileSnapshot(file);
  });
  test("every card exported is valid by it, and a card with a field unknown or missing is not", () => {
    for (const drink of data.drinks) {
      const made = makeCard(drink.spec, reference, { glasses: data.glasses });
      expect(validate(JSON.parse(toJson(made))), JSON.stringify(validate.errors)).toBe(true);
    }
    expect(validate(JSON.parse(toJson(card)))).toBe(true);
    expect(validate({ ...card, colour: "red" })).toBe(false);
    expect(validate({ form: card.form })).toBe(false);
    expect(validate({ ...card, spec: { ...spec, method: "tickled" } })).toBe(false);
  });
});

describe("CSV", () => {
  test("nothing in it begins as a formula would, and what was guarded is read as it was", () => {
    const cells = csvParse(toCsv(card, home)).flatMap((row) => Object.values(row));
    for (const cell of cells) expect(cell).not.toMatch(/^[=+@\t\r]|^-(?!\d)/);
    const names = ["=1+1", "+49", "-5", "@x", "'quoted", "=HYPERLINK(1)"];
    for (const name of names) {
      const { card: again } = readCard("csv", toCsv({ ...card, spec: { ...spec, name } }, home), shelf);
      expect(again.spec.name).toBe(name);
    }
  });
  test("units stand apart from numbers, in a header row", () => {
    const rows = csvParse(toCsv(card, home));
    const gin = rows.find((r) => r.key === "gin")!;
    expect([gin.amount, gin.unit]).toEqual(["2", "oz"]);
    expect(Number(gin.ml)).toBeCloseTo(59.147, 3);
    expect(rows.find((r) => r.key === "abv")!.unit).toBe("% vol");
  });
});

describe("schema.org", () => {
  const recipe = JSON.parse(toJsonLd(card, home));
  test("a Recipe whose ingredients are PropertyValues in an ItemList, with units by code, and no supply among them", () => {
    expect([recipe["@context"], recipe["@type"], recipe.name]).toEqual([
      "https://schema.org",
      "Recipe",
      spec.name,
    ]);
    expect(recipe.recipeIngredient["@type"]).toBe("ItemList");
    const [gin] = recipe.recipeIngredient.itemListElement;
    expect(gin.item).toMatchObject({
      "@type": "PropertyValue",
      propertyID: "gin",
      value: 2,
      unitCode: "OZA",
    });
    expect(gin.item.description).toContain("2 oz (59.1 mL) ");
    expect(JSON.stringify(recipe.recipeIngredient)).not.toContain("HowToSupply");
    expect(recipe.recipeYield).toMatchObject({ "@type": "QuantitativeValue", unitCode: "MLT" });
    for (const step of recipe.recipeInstructions) expect(step["@type"]).toBe("HowToStep");
  });
});

describe("what a person reads", () => {
  test("text and Markdown name method, glass, ice, garnish, both units, volume, strength, point, allergens and cost", () => {
    for (const text of [toText(card, home), toMarkdown(card, home)]) {
      for (const part of [
        "Shaken",
        "Rocks glass",
        "one large cube",
        "lemon twist",
        "2 oz",
        "59.1 mL",
        "22.5 mL",
        "0.76 oz",
        "⅓ oz",
        "Finished",
        "% vol",
        "sugar",
        "acid",
        "Allergens",
        "pour cost",
      ]) {
        expect(text).toContain(part);
      }
    }
    expect(toMarkdown({ ...card, spec: { ...spec, name: "<b>*x*</b>" } }, home)).toContain(
      "# \\<b\\>\\*x\\*\\</b\\>",
    );
  });
  test("cost at a pour cost of 20 % is five times the pours", () => {
    expect(card.shown!.price).toBeCloseTo(5 * card.shown!.cost!, 9);
    expect(makeCard(spec, home).shown!.cost).toBeNull();
    expect(() => makeCard(spec, home, { ...options, pourCost: 0 })).toThrow("/pourCost");
  });
});

describe("what is no card", () => {
  test.each<[string, CardFormat, string, string]>([
    ["no JSON", "json", "{", "/text"],
    ["JSON of something else", "json", "{}", "/form"],
    ["a misspelt field", "json", JSON.stringify({ ...card, garnsh: "x" }), "garnsh"],
    ["a Recipe from elsewhere", "json-ld", '{"@type":"Recipe"}', "/encoding/text"],
    ["CSV without its columns", "csv", "a,b\n1,2\n", "/header"],
    [
      "a line with a unit nobody knows",
      "csv",
      toCsv(card, home).replace(",oz,", ",firkin,"),
      "/spec/lines/0/unit",
    ],
    ["a text of one line", "text", "Only a name", "/spec/method"],
    ["a novel", "text", "x".repeat(600_000), "/text"],
  ])("%s", (_what, format, text, pointer) => {
    expect(() => readCard(format, text, shelf)).toThrow(pointer);
  });
  test("what it does not understand is given back, not dropped", () => {
    const written = `${toText(makeCard({ ...spec, lines: spec.lines.slice(0, 2) }, reference, { glasses: data.glasses }), reference)}Served by: nobody\nscribble\n`;
    expect(readCard("text", written, shelf).unread).toEqual(["Served by: nobody", "scribble"]);
  });
});
