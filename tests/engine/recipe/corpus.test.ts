import { describe, expect, test } from "vitest";
import { toVolumeMl } from "../../../engine/amounts/units.ts";
import { type ParsedLine, parseRecipe } from "../../../engine/recipe/parse-recipe.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { matchIngredient } from "./match-ingredient.ts";

/** Lines of our own invention, in the styles people write them, against the pantry that ships. */
const pantry = new Map(loadReferenceData().pantry.map((i) => [i.id, i]));
const OZ = 29.5735295625;
const TSP = OZ / 6;
const only = (text: string) => parseRecipe(text, pantry).lines[0]!;

const READ: [line: string, ingredient: string, volumeMl: number][] = [
  ["50 ml aged rum", "rum-aged", 50],
  ["Aged rum – 50 ml", "rum-aged", 50],
  ["Aged rum: 5 cl", "rum-aged", 50],
  ["Aged rum ........ 50ml", "rum-aged", 50],
  ["aged rum (50 ml)", "rum-aged", 50],
  ["Rum, aged: 2 oz", "rum-aged", 2 * OZ],
  ["2 oz 7 year old aged rum", "rum-aged", 2 * OZ],
  ["60 ml aged rum 43%", "rum-aged-43", 60],
  ["60 ml aged rum (80 proof)", "rum-aged", 60],
  ["• 2 oz white rum", "rum-white", 2 * OZ],
  ["**60 ml** white rum", "rum-white", 60],
  ["| 60 ml | white rum |", "rum-white", 60],
  ["[ ] 60 ml white rum", "rum-white", 60],
  ["1&1/2 oz white rum", "rum-white", 1.5 * OZ],
  ["1 oz light rum", "rum-white", OZ],
  ["1 oz dark rum", "rum-dark", OZ],
  ["Over-proof rum – 1 oz", "rum-overproof-63", OZ],
  ["2 oz overproof rum", "rum-overproof-63", 2 * OZ],
  ["1. 2 oz gin", "gin", 2 * OZ],
  ["4 cl Gin", "gin", 40],
  ["about 2 oz London dry gin", "gin", 2 * OZ],
  ["60ml gin 47%", "gin-47", 60],
  ["2 oz navy-strength gin", "gin-navy-57", 2 * OZ],
  ["60 ml (2 oz) gin", "gin", 60],
  ["50 ml vodka (overproof)", "vodka-50", 50],
  ["1 ½ oz bourbon (100 proof)", "bourbon-50", 1.5 * OZ],
  ["45 ml bourbon 50%", "bourbon-50", 45],
  ["2 oz rye whiskey", "rye", 2 * OZ],
  ["Blended scotch - 60 ml", "scotch-blended", 60],
  ["7.5 ml peated Scotch", "scotch-peated-46", 7.5],
  ["2 ounces blanco tequila (100% agave)", "tequila-blanco", 2 * OZ],
  ["2 fl. oz. mezcal", "mezcal", 2 * OZ],
  ["1½ oz pisco", "pisco", 1.5 * OZ],
  ["2 imp fl oz cognac (VSOP)", "cognac", 2 * 28.4130625],
  ["1 oz triple sec", "triple-sec-40", OZ],
  ["½ oz dry curaçao", "curacao-dry", OZ / 2],
  ["½ oz maraschino", "maraschino", OZ / 2],
  ["1 oz maraschno liqueur", "maraschino", OZ],
  ["1 bsp crème de violette", "creme-de-violette", 5],
  ["1 bar spoon creme de violette", "creme-de-violette", 5],
  ["22,5 ml green herbal liqueur", "herbal-green-55", 22.5],
  ["¼ oz allspice dram", "allspice-liqueur", OZ / 4],
  ["3/4 oz falernum", "falernum", 0.75 * OZ],
  ["Dash of absinthe", "absinthe", 0.8],
  ["3 dashes bitters", "bitters-aromatic", 2.4],
  ["3-4 dashes aromatic bitters", "bitters-aromatic", 2.8],
  ["two dashes orange bitters", "bitters-orange", 1.6],
  ["1 oz sweet vermouth", "vermouth-sweet", OZ],
  ["1 oz Italian vermouth", "vermouth-sweet", OZ],
  ["1 oz fino sherry", "sherry-fino", OZ],
  ["float ½ oz red wine", "wine-red", OZ / 2],
  ["red wine float, 15 ml", "wine-red", 15],
  ["top with 90 ml champagne", "wine-sparkling-brut", 90],
  ["20-25 ml lemon", "juice-lemon", 22.5],
  ["20/25 ml lemon juice", "juice-lemon", 22.5],
  ["fresh lemon juice, 3/4 oz", "juice-lemon", 0.75 * OZ],
  ["1 Oz Fresh-Squeezed LEMON Juice", "juice-lemon", OZ],
  ["¾oz lemon", "juice-lemon", 0.75 * OZ],
  ["3/4 ounce freshly squeezed lemon juice, strained", "juice-lemon", 0.75 * OZ],
  ["1 oz + 1 tsp lemon juice", "juice-lemon", OZ + TSP],
  ["2 cl Zitronensaft", "juice-lemon", 20],
  ["2 cl jus de citron", "juice-lemon", 20],
  ["zumo de medio limón", "juice-lemon", 23],
  ["Juice from ½ lemon (about 20 ml)", "juice-lemon", 20],
  ["Juice of 1 lemon", "juice-lemon", 46],
  ["2) ¾ oz fresh lime juice", "juice-lime", 0.75 * OZ],
  ["- 22.5ml lime juice", "juice-lime", 22.5],
  ["limejuice 30 ml", "juice-lime", 30],
  ["1 oz / 30 ml lime juice", "juice-lime", OZ],
  ["juice of half a lime", "juice-lime", 17.5],
  ["half a lime", "juice-lime", 17.5],
  ["1 lime, juiced", "juice-lime", 35],
  ["Saft einer halben Limette", "juice-lime", 17.5],
  ["jus d'un demi citron vert", "juice-lime", 17.5],
  ["3 cl jus de citron vert", "juice-lime", 30],
  ["1 oz pink grapefruit juice", "juice-grapefruit-pink", OZ],
  ["2 oz grapefruit juice (pink)", "juice-grapefruit-pink", 2 * OZ],
  ["1 oz oj", "juice-orange", OZ],
  ["1 oz acid-adjusted orange juice", "juice-orange-acid-adjusted", OZ],
  ["2 oz pineapple juice (fresh)", "juice-pineapple", 2 * OZ],
  ["1 oz pineapple juice, canned", "juice-pineapple-canned", OZ],
  ["1 oz 100% cranberry juice", "juice-cranberry", OZ],
  ["1 oz passionfruit", "juice-passion-fruit", OZ],
  ["20 ml syrup", "syrup-simple-1-1", 20],
  ["0,75 oz simple syrup", "syrup-simple-1-1", 0.75 * OZ],
  ["20 ml simple syrup 1:1", "syrup-simple-1-1", 20],
  ["Sugar syrup [1:1] .... 20 ml", "syrup-simple-1-1", 20],
  ["10ml 3:2 simple syrup", "syrup-simple-3-2", 10],
  ["20 ml sugar syrup (two-to-one)", "syrup-simple-2-1", 20],
  ["½ oz 2:1 simple", "syrup-simple-2-1", OZ / 2],
  ["15ml rich simple", "syrup-simple-2-1", 15],
  ["2/3 oz cane syrup (2:1)", "syrup-cane-2-1", (2 / 3) * OZ],
  ["½ oz rich demerara syrup", "syrup-cane-2-1", OZ / 2],
  ["½ ounce demerara syrup (2 parts sugar to 1 part water)", "syrup-cane-2-1", OZ / 2],
  ["15 ml honey syrup (2:1)", "syrup-honey-2-1", 15],
  ["15 ml honey syrup 3:1", "syrup-honey-3-1", 15],
  ["¾ oz rich honey syrup", "syrup-honey-3-1", 0.75 * OZ],
  ["2 tsp honey, thinned 3:1 with water", "syrup-honey-3-1", 2 * TSP],
  ["1 tbsp. honey", "honey", 3 * TSP],
  ["10 ml agave nectar", "agave", 10],
  ["15 ml maple syrup", "maple", 15],
  ["15 ml maple syrup thinned 1:1", "syrup-maple-1-1", 15],
  ["1 oz orgeat", "orgeat", OZ],
  ["1 barspoon grenadine (optional)", "grenadine", 5],
  ["2 tsp superfine sugar", "sugar", 2 * TSP],
  ["1 egg white", "egg-white", 32],
  ["egg white", "egg-white", 32],
  ["White of 1 egg", "egg-white", 32],
  ["30 ml eggwhite", "egg-white", 30],
  ["1 whole egg", "egg-whole", 48.5],
  ["15 ml aquafaba", "aquafaba", 15],
  ["30 to 45 ml heavy cream", "cream", 37.5],
  ["20 ml cream of coconut", "coconut-cream-sweet", 20],
  ["1 shot of espresso", "espresso", 30],
  ["2 oz cold brew", "cold-brew", 2 * OZ],
  ["60 ml bourbon 40%", "bourbon-40", 60],
  ["1 oz coconut rum", "coconut-rum", OZ],
  ["20 ml coconut milk", "coconut-milk", 20],
  ["2 oz mint tea", "tea-herb", 2 * OZ],
  ["8 drops saline (20%)", "saline-20", 0.4],
  ["60 ml soda water, to top", "soda-water", 60],
  ["Mit 60 ml Sodawasser auffüllen", "soda-water", 60],
  ["1 Eiweiß", "egg-white", 32],
  ["2 cl Zuckersirup", "syrup-simple-1-1", 20],
  ["2 cl Limettensaft", "juice-lime", 20],
  ["50 ml de ron añejo", "rum-aged", 50],
  ["25 ml de zumo de lima", "juice-lime", 25],
  ["2 cl de jus d'ananas", "juice-pineapple", 20],
  ["2 traits d’amers aromatiques", "bitters-aromatic", 1.6],
  ["2 colheres de chá de açúcar", "sugar", 2 * TSP],
  ["Soda water (60 ml)", "soda-water", 60],
  ["Top up with 100 ml ginger beer", "ginger-beer", 100],
];

describe("lines that say all that is needed", () => {
  test.each(READ)("%s", (text, ingredient, volumeMl) => {
    const line = only(text);
    expect(line.reason).toBeUndefined();
    expect(line.status).toBe("read");
    expect(line.raw).toBe(text);
    expect(line.line!.ingredient).toBe(ingredient);
    const { ml } = toVolumeMl(line.line!.amount, line.line!.unit, { ingredient: pantry.get(ingredient)! });
    expect(ml).toBeCloseTo(volumeMl, 9);
  });

  test("there are at least 80 of them", () => {
    expect(READ.length).toBeGreaterThanOrEqual(80);
  });

  test.each(["0.6 g citric acid", "600 mg citric acid", "Citric acid: 0.6g"])("%s is weighed", (text) => {
    expect(only(text).line).toEqual({ ingredient: "citric-acid", amount: 0.6, unit: "g" });
  });
});

/** The glass could not tell these apart, so one is taken and said. */
const ALIKE: [line: string, among: string[]][] = [
  ["2 oz rum", ["rum-white", "rum-aged"]],
  ["1 oz whiskey", ["bourbon", "rye"]],
  ["1 oz tequila", ["tequila-blanco", "tequila-reposado"]],
  ["1 oz grapefruit juice", ["juice-grapefruit-white", "juice-grapefruit-pink"]],
  ["1 oz lemon or lime juice", ["juice-lemon", "juice-lime"]],
  ["2 oz gin or vodka", ["gin", "vodka"]],
];

test("an ounce of a powder is by volume, and says so; of an acid in water it is plain", () => {
  const codes = (text: string) => only(text).notes.map((n) => n.code);
  expect(codes("1 oz sugar")).toContain("powder-by-volume");
  expect(codes("1 oz lactic acid 88%")).not.toContain("powder-by-volume");
});

describe("two names that sit in the same place are no question", () => {
  test.each(ALIKE)("%s", (text, among) => {
    const line = only(text);
    expect(line.status).toBe("read");
    expect(among).toContain(line.line!.ingredient);
    expect(line.notes.map((n) => n.code)).toContain("taken-among");
    for (const id of among) expect(line.candidates.map((c) => c.ingredient)).toContain(id);
  });
});

const LEFT: [line: string, status: ParsedLine["status"], among: string[]][] = [
  ["1 oz vermouth", "choose", ["vermouth-dry", "vermouth-sweet", "vermouth-blanc"]],
  ["1 oz cider", "choose", ["cider-dry", "juice-apple"]],
  ["1 oz lemonade", "choose", ["lemonade", "lemon-lime-soda"]],
  ["2 oz smoked aged rum", "choose", ["rum-aged"]],
  ["1 oz clarified lime juice", "choose", ["juice-lime"]],
  ["½ oz hibiscus liqueur", "choose", []],
  ["2 oz moonlight gin", "choose", ["gin"]],
  ["2 oz vodka 80%", "choose", ["vodka"]],
  ["1 oz raspberry syrup 5:1", "choose", ["syrup-raspberry"]],
  ["top with soda", "unread", ["soda-water"]],
  ["1 shot vodka", "unread", ["vodka"]],
  ["lime", "unread", ["juice-lime"]],
  ["lemon juice to taste", "unread", ["juice-lemon"]],
  ["1 oz lime and lemon juice", "unread", ["juice-lime", "juice-lemon"]],
  ["5 oz", "unread", []],
  ["0 oz gin", "unread", ["gin"]],
  ["20 ml quux", "unread", []],
  ["4 pineapple chunks", "unread", ["juice-pineapple"]],
  ["8 mint leaves", "instruction", []],
  ["2 lime wedges", "instruction", []],
  ["1 pinch of salt", "instruction", []],
  ["Sugar rim", "instruction", []],
  ["Garnish: lemon twist", "instruction", []],
  ["Glass: coupe", "instruction", []],
  ["Crushed ice", "instruction", []],
  ["Shake hard with ice, fine strain into a 6 oz coupe, garnish with a lime wheel", "instruction", []],
  ["———", "blank", []],
];

describe("lines that leave something open are never settled silently", () => {
  test.each(LEFT)("%s → %s", (text, status, among) => {
    const line = only(text);
    expect(line.status).toBe(status);
    if (status !== "blank") expect(line.reason).toBeTruthy();
    const offered = line.candidates.map((c) => c.ingredient);
    for (const id of among) expect(offered).toContain(id);
  });
});

test("equal candidates keep one order, whatever the pantry's", () => {
  const backwards = new Map([...pantry].reverse());
  for (const name of ["rum", "whiskey", "grapefruit"]) {
    const found = matchIngredient(name, pantry);
    expect(found[0]!.score).toBe(found[1]!.score);
    expect(matchIngredient(name, backwards)).toEqual(found);
  }
});

test("a whole pasted page", () => {
  const read = parseRecipe(
    `# Rooftop pineapple sour

Ingredients:
• 1½ oz aged rum
• ¾ oz pineapple juice (fresh)
• ½ oz lime juice
• ½ oz maple syrup thinned 1:1
• 2 dashes bitters

Method:
Shake hard with ice for 12 seconds, fine strain into a 6 oz coupe.
Garnish with a pineapple leaf.`,
    pantry,
  );
  expect(read.complete).toBe(true);
  expect(read.title).toBe("Rooftop pineapple sour");
  expect(read.method).toBe("shaken");
  expect(read.spec!.name).toBe("Rooftop pineapple sour");
  expect(read.spec!.lines.map((l) => l.ingredient)).toEqual([
    "rum-aged",
    "juice-pineapple",
    "juice-lime",
    "syrup-maple-1-1",
    "bitters-aromatic",
  ]);
});

test("every pantry name and every alias that only one ingredient has finds that ingredient first", () => {
  const owners = new Map<string, string[]>();
  for (const i of pantry.values()) {
    for (const alias of new Set([i.name, ...i.aliases]))
      owners.set(alias, [...(owners.get(alias) ?? []), i.id]);
  }
  const lost: string[] = [];
  for (const [alias, ids] of owners) {
    const line = only(`30 ml ${alias}`);
    if (ids.length === 1 && line.candidates[0]?.ingredient !== ids[0]) {
      lost.push(`${alias}: ${line.candidates[0]?.ingredient ?? line.reason} instead of ${ids[0]}`);
    }
  }
  expect(lost).toEqual([]);
});
