import { describe, expect, test } from "vitest";
import { loadReferenceData } from "../../reference-data/load.ts";
import { searchPantry } from "../../viz/parts/combobox.tsx";

const { pantry } = loadReferenceData();
const first = (query: string) => searchPantry(query, pantry)[0]?.id;

describe("the search box of the pantry", () => {
  test.each([
    ["lem", "juice-lemon"],
    ["lime", "juice-lime"],
    ["lemon", "juice-lemon"],
    ["soda", "soda-water"],
    ["zzz", undefined],
  ])("%s finds %s first (common practice, no published source)", (query, id) => {
    expect(first(query)).toBe(id);
  });

  test("keeps the pantry's order where nothing is typed, and every word must be found", () => {
    expect(searchPantry(" ", pantry)).toEqual(pantry);
    const both = searchPantry("spiced rum", pantry);
    expect(both.map(({ id }) => id)).toContain("rum-spiced");
    expect(both.length).toBeLessThan(searchPantry("rum", pantry).length);
  });
});
