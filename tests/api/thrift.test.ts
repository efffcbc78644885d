import { describe, expect, test } from "vitest";
import { post, readProblem, testApp } from "./harness.ts";

/*
 * By hand, in invented prices. Outside: US standard drink 0.6 US fl oz of ethanol (17.7 mL, about 14 g), UK unit 10 mL,
 * Australia 10 g; ethanol 0.78924 g/mL at 20 °C (OIML R 22). Gin is 40 % vol in every text below.
 */

const app = testApp();
// biome-ignore lint/suspicious/noExplicitAny: answers are judged by the document in the harness
const ask = async (path: string, body: object): Promise<any> =>
  (await post(app, `/v1/thrift/${path}`, body)).json();
const line = (ingredient: string, amount: number) => ({ ingredient, amount, unit: "ml" });
const drink = (...lines: object[]) => ({ method: "shaken", lines });
const GIN = { id: "gin-own", name: "Own gin", role: "spirit", abvPercent: 40 };
const sour = drink(line("gin-own", 60), line("juice-lemon", 22.5), line("syrup-simple-1-1", 22.5));
const withEgg = drink(line("gin-own", 60), line("juice-lemon", 22.5), line("egg-white", 30));
const own = { ingredients: [GIN] };

describe("thrift", () => {
  test("cost: two rounds, 60 mL at 25 and 22.5 mL at 6 a litre each; what has no price is named", async () => {
    const said = await ask("cost", {
      ...own,
      glasses: [
        { id: "r1", spec: sour },
        { id: "r2", spec: withEgg },
      ],
      pricePerLitre: { "gin-own": 25, "juice-lemon": 6 },
    });
    expect(said.glasses.map((g: { cost: { known: number } }) => g.cost.known)).toEqual([1.635, 1.635]);
    expect(said.together.known).toBeCloseTo(3.27, 9);
    const lacking = said.together.unpriced.map(({ ingredient }: { ingredient: string }) => ingredient);
    expect(lacking).toEqual(["syrup-simple-1-1", "egg-white"]);
    expect(said.allergens).toContain("egg");
    expect(said.cautions.map(({ id }: { id: string }) => id)).toContain("raw-egg");
  });

  test("shopping: six rounds of 60 mL are 360 mL, 0.6 of a 600 mL bottle", async () => {
    const said = await ask("shopping", { ...own, spec: sour, rounds: 6, bottleMl: 600 });
    const gin = said.needs.find(({ ingredient }: { ingredient: string }) => ingredient === "gin-own");
    expect(gin).toMatchObject({ ml: 360, bottles: 0.6, pieces: null });
    const lemon = said.needs.find(({ ingredient }: { ingredient: string }) => ingredient === "juice-lemon");
    expect(lemon.pieces.poor).toBeGreaterThanOrEqual(lemon.pieces.usual);
    expect(said.words.join(" ")).toContain("Local law");
  });

  test("a half on a ladder that measures it exactly moves nothing; one too small for the ladder is named", async () => {
    const fits = drink(line("gin-own", 60), line("juice-lemon", 20), line("syrup-simple-1-1", 20));
    const half = await ask("small-pour", {
      ...own,
      spec: fits,
      share: 0.5,
      ladder: { stepMl: 5, displayUnit: "ml" },
    });
    expect(half.spec.lines.map(({ amount }: { amount: number }) => amount)).toEqual([30, 10, 10]);
    expect(half.drift).toEqual({ sugarGPer100Ml: 0, acidGPer100Ml: 0, abvPercent: 0 });
    expect(half.heavy).toEqual([]);
    const tenth = await ask("small-pour", {
      ...own,
      spec: fits,
      share: 0.1,
      ladder: { stepMl: 5, displayUnit: "ml" },
    });
    expect(tenth.heavy.map(({ ingredient }: { ingredient: string }) => ingredient)).toEqual([
      "juice-lemon",
      "syrup-simple-1-1",
    ]);
  });

  test("a split build: base and rest are each variant exactly", async () => {
    const drier = drink(line("gin-own", 60), line("juice-lemon", 22.5), line("syrup-simple-1-1", 15));
    const said = await ask("split-build", { ...own, variants: [sour, drier] });
    const base = Object.fromEntries(
      said.base.map((p: { ingredient: string; ml: number }) => [p.ingredient, p.ml]),
    );
    expect(base).toEqual({ "gin-own": 120, "juice-lemon": 45, "syrup-simple-1-1": 30 });
    expect(said.portionMl).toBe(97.5);
    expect(said.variants.map(({ rest }: { rest: object[] }) => rest.length)).toEqual([1, 0]);
    expect(said.variants[0].rest[0]).toMatchObject({ ingredient: "syrup-simple-1-1", ml: 7.5 });
  });

  test("servings: 60 mL at 40 % are 24 mL of ethanol, 2.4 UK units; a quarter of it a quarter; the caution is said", async () => {
    const said = await ask("servings", {
      ...own,
      glasses: [{ id: "r1", spec: sour }],
      servings: [
        { taster: "Invented Wren", glass: "r1" },
        { taster: "Invented Rook", glass: "r1", share: 0.25 },
        { taster: "Invented Wren", glass: "r1", share: 0.5 },
      ],
    });
    const [wren, rook] = said.served;
    expect(wren).toMatchObject({ taster: "Invented Wren", glasses: 2 });
    expect(wren.standardDrinks.uk).toBeCloseTo(2.4 * 1.5, 3);
    expect(wren.ethanolG).toBeCloseTo(24 * 1.5 * 0.78924, 1);
    expect(rook.standardDrinks.uk).toBeCloseTo(0.6, 3);
    expect(rook.standardDrinks.us).toBeCloseTo(24 / 4 / 17.7, 2);
    expect(said.words.join(" ")).toContain("not a limit and not advice");
  });

  test.each([
    [
      "servings",
      { glasses: [{ id: "r1", spec: sour }], servings: [{ taster: "x", glass: "r2" }] },
      "#/servings/0/glass",
    ],
    [
      "cost",
      {
        glasses: [
          { id: "a", spec: sour },
          { id: "a", spec: sour },
        ],
        pricePerLitre: {},
      },
      "#/glasses/1/id",
    ],
    [
      "split-build",
      { variants: [sour, drink(line("nectar-of-nowhere", 10))] },
      "#/variants/1/lines/0/ingredient",
    ],
    ["small-pour", { spec: sour, share: 1.5 }, "#/share"],
    ["shopping", { spec: sour, rounds: 0 }, "#/rounds"],
  ])("%s: what cannot be is named where it stands", async (path, body, pointer) => {
    const response = await post(app, `/v1/thrift/${path}`, { ...own, ...body });
    expect(response.status).toBe(422);
    expect((await readProblem(response)).errors?.[0]?.pointer).toBe(pointer);
  });
});
