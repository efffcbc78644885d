import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { apiEndpoints } from "../../api/app.ts";
import { createCatalogue } from "../../api/catalogue.ts";
import { inThread } from "../../api/compute/compute.ts";
import { readQuickly } from "../../api/read/quick.ts";
import { PlaceBodySchema } from "../../api/schemas/place.ts";
import { storeDoor } from "../../api/store/open.ts";
import { type Shape, tryRead } from "../../engine/shapes/check.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { junk, mutate } from "./mutate.ts";

// A body read quickly is the body as zod reads it, to the order of its fields; what zod refuses is not read.
// zod is the judge: a general-purpose library that this reading only follows.

const data = loadReferenceData();
const routes = apiEndpoints({
  data,
  catalogue: createCatalogue(data, "test"),
  compute: inThread(),
  store: storeDoor({ folder: null }),
  isOpenHere: true,
  lifecycle: { isStopping: false },
  solveBudgetMs: 1000,
}).flatMap(({ route }) => (route.body ? [{ ...route, body: route.body }] : []));

const lines = [
  { ingredient: "rum-aged", amount: 2, unit: "oz", stage: "mix", amountSdPercent: 5 },
  { unit: "ml", amount: 22.5, ingredient: "juice-lime" },
];
const target = { kind: "box", sugarGPer100Ml: [6, 9], acidGPer100Ml: [0.5, null] };
const dilution = { model: "energy", conditions: { iceMassG: 120 } };
const RICH = [
  { spec: { method: "shaken", lines, name: "Mine", glass: "coupe", servedOn: "none" }, include: ["doubts"] },
  { include: ["models"], spec: { lines, method: "stirred", dilution }, target },
  { spec: { text: "2 oz gin", method: "stirred", dilution: { model: "measured", waterMl: 20 } } },
  { spec: { lines, method: "shaken" }, pricePerLitre: { "rum-aged": 20 } },
  { spec: { lines, method: "shaken" }, ingredients: [{ id: "mine", name: "Mine", abvPercent: 20 }] },
];

/** Undefined where zod refuses it. */
function byZod(shape: Shape, body: unknown): string | undefined {
  const read = tryRead(shape, body);
  return "issues" in read ? undefined : JSON.stringify(read.value);
}

/** What is read quickly must be what zod reads. */
function sameAsZod(shape: Shape, given: unknown): void {
  const body: unknown = JSON.parse(JSON.stringify(given));
  const quick = readQuickly(shape, body);
  if (quick !== undefined) expect(JSON.stringify(quick)).toBe(byZod(shape, body));
}

const steps = fc.array(fc.nat(11), { minLength: 1, maxLength: 6 });

test.each(routes.map((route) => [route.operationId, route] as const))(
  "%s reads its example, and the same with something wrong in it, as zod does",
  (_, { body, example }) => {
    sameAsZod(body, example);
    fc.assert(fc.property(steps, junk, (at, value) => sameAsZod(body, mutate(example, at, value))));
  },
);

describe("a drink to place", () => {
  test.each(RICH.map((body, i) => [i, body] as const))("with all that a body may have, %i", (_, body) => {
    expect(byZod(PlaceBodySchema, body)).toBeDefined();
    fc.assert(
      fc.property(steps, junk, (at, value) => sameAsZod(PlaceBodySchema, mutate(body, at, value))),
      { numRuns: 500 },
    );
  });

  test("by lines and by text is read without zod", () => {
    for (const body of [RICH[0], RICH[2]]) expect(readQuickly(PlaceBodySchema, body)).toBeDefined();
  });

  test.each([
    ['{"spec":{"method":"shaken","lines":[{"ingredient":"gin","amount":1e999,"unit":"oz"}]}}'],
    ['{"spec":{"method":"shaken","lines":[{"ingredient":"gin","amount":1,"unit":"oz","__proto__":{}}]}}'],
    ['{"spec":{"method":"shaken","lines":[]}}'],
    ['{"spec":{"method":"shaken","text":""}}'],
    ['{"spec":{"method":"shaken","text":"2 oz gin","lines":[]}}'],
    ["null"],
    ["[]"],
  ])("%s is left to zod", (text) => {
    expect(readQuickly(PlaceBodySchema, JSON.parse(text))).toBeUndefined();
  });
});
