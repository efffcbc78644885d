import { toVolumeMl } from "../../engine/amounts/units.ts";
import { place } from "../../engine/place/place.ts";
import { parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import type { Ingredient } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { timeVariant } from "./time-variant.ts";

// Reading a pasted spec against placing the same spec, and against a pantry of three times the size. Every call
// takes the next of the reference drinks, written out with a title and a method line, no text twice.

const { drinks, pantry: ingredients, glasses } = loadReferenceData();
const pantry = new Map(ingredients.map((i) => [i.id, i]));
const specs = drinks.map((d) => d.spec);
const called = (id: string) => pantry.get(id)!.aliases[0] ?? pantry.get(id)!.name;

/** Each drink as a text that was never read before: the amounts differ from call to call in the sixth decimal. */
let calls = 0;
const writers = drinks.map(({ name, spec }) => {
  const pours = spec.lines.map((line) => {
    const ingredient = pantry.get(line.ingredient)!;
    return { ml: toVolumeMl(line.amount, line.unit, { ingredient }).ml, name: called(line.ingredient) };
  });
  return () => {
    calls += 1;
    const lines = pours.map((pour) => `${(pour.ml + calls / 1e6).toFixed(6)} ml ${pour.name}`);
    return `${name} ${calls}\n${lines.join("\n")}\nShake for ${calls} seconds and strain into a chilled coupe.`;
  };
});

/** The pantry twice more, under other names: what a bar's own preps add. */
const more = ["north", "south"].flatMap((shelf) =>
  ingredients.map(
    (i): Ingredient => ({
      ...i,
      id: `${i.id}-${shelf}`,
      name: `${shelf} ${i.name}`,
      aliases: i.aliases.map((alias) => `${shelf} ${alias}`),
    }),
  ),
);
const large = new Map([...ingredients, ...more].map((i) => [i.id, i]));

timeVariant(specs.length, {
  /** The text, as the API and the page read it. */
  read: (i) => parseRecipe(writers[i]!(), pantry, { glasses }).lines.length,
  /** The same with three times the pantry. */
  "read-large": (i) => parseRecipe(writers[i]!(), large, { glasses }).lines.length,
  /** Baseline: the spec placed, with covariance and doubts. */
  place: (i) => place(specs[i]!, pantry).point.abvPercent,
});
