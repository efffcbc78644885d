import { toVolumeMl } from "../../engine/amounts/units.ts";
import { place } from "../../engine/place/place.ts";
import { parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import type { Ingredient } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { timeVariant } from "./time-variant.ts";

// Reading a pasted spec against placing the same spec, with names and method lines that others wrote before and with
// names that nobody did, and against a pantry of three times the size. Every call takes the next of the reference drinks, written out
// with a title and a method line, no text twice.

const { drinks, pantry: ingredients, glasses } = loadReferenceData();
const pantry = new Map(ingredients.map((i) => [i.id, i]));
const specs = drinks.map((d) => d.spec);
const called = (id: string) => pantry.get(id)!.aliases[0] ?? pantry.get(id)!.name;

/**
 * Each drink as a text that was never read before: the decimals of each pour and the number behind the title differ
 * from call to call. Cut where that number stands, so that writing it is one joining, and hardly a share of reading.
 */
let calls = 0;
const next = () => {
  calls += 1;
  return String(calls);
};
const writers = drinks.map(({ name, spec }) => {
  const pours = spec.lines.map((line) => {
    const ingredient = pantry.get(line.ingredient)!;
    const { ml } = toVolumeMl(line.amount, line.unit, { ingredient });
    return { wholeMl: Math.floor(ml), name: called(line.ingredient) };
  });
  const method = `Shake for ${10 + (spec.lines.length % 5)} seconds and strain into a chilled coupe.`;
  const written = (comment: string) => {
    const lines = pours.map((pour) => `${pour.wholeMl}.# ml ${comment}${pour.name}`);
    return `${name} #\n${lines.join("\n")}\n${method}`.split("#");
  };
  const [known, anew] = [written(""), written("% ")];
  return {
    known: () => known.join(next()),
    anew: () => anew.join(next()).replaceAll("% ", newComment(calls)),
  };
});

/** Words that say nothing of what is poured: three before a name, in an order that no call had before. */
const COMMENTS = (
  "fresh good organic premium chilled quality local natural ripe homemade best cold iced extra nice decent fine " +
  "favourite standard strong short raw clear plain large small big medium filtered juiced strained pressed"
).split(" ");
function newComment(n: number): string {
  const of = (k: number) => COMMENTS[Math.floor(n / COMMENTS.length ** k) % COMMENTS.length];
  return `${of(0)} ${of(1)} ${of(2)} `;
}

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
  read: (i) => parseRecipe(writers[i]!.known(), pantry, { glasses }).lines.length,
  /** The same with names that nobody wrote before. */
  "read-new": (i) => parseRecipe(writers[i]!.anew(), pantry, { glasses }).lines.length,
  /** The same with three times the pantry. */
  "read-large": (i) => parseRecipe(writers[i]!.known(), large, { glasses }).lines.length,
  /** Baseline: the spec placed, with covariance and doubts. */
  place: (i) => place(specs[i]!, pantry).point.abvPercent,
});
