import { describe, expect, it, test } from "vitest";
import { loadReferenceData } from "../../reference-data/load.ts";

/**
 * International Bartenders Association, official recipes, edition of 2011 (current until 2020), read in a public
 * machine-readable compilation: each drink's amounts given there in mL, in the order of its lines. Splashes,
 * drops, dashes, spoons and pieces are left out here.
 */
const LIST: [id: string, ...ml: number[]][] = [
  ["alexander", 30, 30, 30],
  ["americano", 30, 30],
  ["angel-face", 30, 30, 30],
  ["aviation-2011", 45, 15, 15],
  ["barracuda", 45, 15, 60],
  ["peach-sparkling", 100, 50],
  ["between-the-sheets", 30, 30, 30, 20],
  ["black-russian", 50, 20],
  ["bloody-mary", 45, 90, 15],
  ["bramble-2011", 40, 15, 10, 15],
  ["caipirinha-2011", 50],
  ["casino", 40, 10, 10, 10],
  ["champagne-cocktail", 90, 10],
  ["clover-club", 45, 15, 15],
  ["cosmopolitan", 40, 15, 15, 30],
  ["cuba-libre", 50, 120, 10],
  ["daiquiri-2011", 45, 25, 15],
  ["dirty-martini", 60, 10, 10],
  ["dry-martini", 60, 10],
  ["espresso-martini", 50, 10],
  ["french-75-2011", 30, 15, 60],
  ["french-connection", 35, 35],
  ["french-martini", 45, 15, 15],
  ["gin-fizz", 45, 30, 10, 80],
  ["godfather", 35, 35],
  ["godmother", 35, 35],
  ["golden-dream", 20, 20, 20, 10],
  ["grasshopper", 30, 30, 30],
  ["vodka-orange-anise", 45, 15, 90],
  ["grapefruit-daiquiri", 60, 40, 15, 15],
  ["horses-neck", 40, 120],
  ["irish-coffee", 40, 90, 30],
  ["john-collins", 45, 30, 15, 60],
  ["kamikaze", 30, 30, 30],
  ["white-wine-cassis", 90, 10],
  ["lemon-drop-2011", 25, 20, 15],
  ["long-island-tea", 15, 15, 15, 15, 15, 25, 30],
  ["mai-tai-2011", 40, 20, 15, 15, 10],
  ["manhattan", 50, 20],
  ["margarita-2011", 35, 20, 15],
  ["margarita-agave-2011", 45, 15],
  ["pineapple-maraschino", 60, 10, 60, 10],
  ["mimosa", 75, 75],
  ["mint-julep", 60],
  ["mojito-2011", 40, 30],
  ["monkey-gland", 50, 30],
  ["vodka-mule", 45, 120, 5],
  ["negroni", 30, 30, 30],
  ["old-fashioned-2011", 45],
  ["paradise", 35, 20, 15],
  ["pina-colada", 30, 90, 30],
  ["pisco-sour-2011", 45, 30, 20],
  ["planters-punch-2011", 45, 35, 35, 20, 10, 10],
  ["porto-flip", 15, 45, 10],
  ["new-orleans-fizz", 45, 15, 15, 30, 60],
  ["rose", 20, 40],
  ["rum-ginger-beer", 60, 100],
  ["rum-lime-grenadine", 45, 20, 10],
  ["rusty-nail", 45, 25],
  ["cognac-absinthe-rinse", 50, 10],
  ["screwdriver", 50, 100],
  ["sea-breeze", 40, 120, 30],
  ["sex-on-the-beach", 40, 20, 40, 40],
  ["sidecar", 50, 20, 20],
  ["singapore-sling", 30, 15, 7.5, 7.5, 120, 15, 10],
  ["spritz", 60, 40],
  ["stinger", 50, 20],
  ["tequila-sunrise", 45, 90, 15],
  ["tuxedo", 30, 30],
  ["vampiro", 50, 70, 30, 10],
  ["vesper", 60, 15, 7.5],
  ["whiskey-sour-321", 45, 30, 15],
  ["white-lady", 40, 30, 20],
  ["yellow-bird", 30, 15, 15, 15],
];

/** What a row of ours pours in mL beyond the list, or in place of it; the row's note says why. */
const SAID_OTHERWISE: Record<string, { without?: number[]; more?: number[] }> = {
  americano: { more: [30] },
  barracuda: { more: [60] },
  "clover-club": { more: [15] },
  "espresso-martini": { more: [10] },
  "long-island-tea": { more: [60] },
  "mojito-2011": { more: [60] },
  "new-orleans-fizz": { more: [30] },
  "cognac-absinthe-rinse": { without: [10], more: [1] },
  spritz: { more: [30] },
};

const { drinks } = loadReferenceData();
const sorted = (x: number[]) => [...x].sort((a, b) => a - b);

describe("every drink that cites the edition of 2011 pours what it says", () => {
  it.each(LIST)("%s", (id, ...ml) => {
    const drink = drinks.find((d) => d.id === id)!;
    const { without = [], more = [] } = SAID_OTHERWISE[id] ?? {};
    const expected = [...ml.filter((x) => !without.includes(x)), ...more];
    const poured = drink.spec.lines.filter((l) => l.unit === "ml").map((l) => l.amount);
    expect(sorted(poured)).toEqual(sorted(expected));
    expect(drink.source).toBe("iba-2011");
    expect(drink.memory).toBeUndefined();
    if (more.length > 0) expect(drink.note).toBeTruthy();
  });
  test("and no other drink cites it", () => {
    const listed = new Set(LIST.map(([id]) => id));
    for (const d of drinks) if (d.source === "iba-2011") expect(listed, d.id).toContain(d.id);
  });
  test("rows of later editions are recalled and say so", () => {
    for (const d of drinks) if (d.source === "iba-later") expect(d.memory, d.id).toBe(true);
  });
});
