import { toVec } from "../../engine/axes.ts";
import { MOST } from "../../engine/limits.ts";
import type { MenuDrink } from "../../engine/menu/menu.ts";
import type { ParseRecipeOptions } from "../../engine/recipe/parse-recipe.ts";
import type { SpokenRecipe } from "../../engine/recipe/words.ts";
import type { Bench, Ingredient, Pantry, Placement, Round, Spec } from "../../engine/types.ts";
import type { Reader } from "../parts/reader.ts";
import type { Attempt } from "../state/derived.ts";
import { lineLeft, NO_POUR, TO_CHOOSE, tooMany } from "./words.ts";

/** A spec of a menu and the pantry that pours it. */
export interface MenuSpec {
  name: string;
  spec: Spec;
  pantry: Pantry;
  /** Pantry entries at a strength or ratio that was typed, which `spec` pours. */
  made: Ingredient[];
  /** What was supposed in reading it. */
  supposed: string[];
  /** The bench it was taken from; null for a pasted one. */
  bench: string | null;
}

/** A spec that is not on the map, and why. */
export interface LeftOff {
  name: string;
  why: string[];
}

/** A drink of the menu where it stands, and what it is made of. */
export interface MenuEntry extends MenuSpec {
  placement: Placement;
  drink: MenuDrink;
}

/** The specs of a text, parted by empty lines. One with a line that cannot be read is left off: a drink without its lime is another. */
export function readSpecs(
  text: string,
  pantry: Pantry,
  options: ParseRecipeOptions,
  { read, withMade }: Reader,
): { specs: MenuSpec[]; left: LeftOff[] } {
  const blocks = text
    .split(/\r?\n[^\S\n]*(?:\r?\n[^\S\n]*)+/)
    .map((block) => block.trim())
    .filter((block) => block !== "");
  const specs: MenuSpec[] = [];
  const left: LeftOff[] = [];
  blocks.forEach((block, i) => {
    const recipe = read(block, pantry, options);
    const name = recipe.title ?? `Spec ${i + 1}`;
    const why = whyLeft(recipe);
    if (why.length > 0 || !recipe.spec) left.push({ name, why });
    else {
      const lines = recipe.lines.flatMap(({ assumptions }) => assumptions);
      specs.push({
        name,
        spec: { ...recipe.spec, name },
        pantry: withMade(pantry, recipe.made),
        made: recipe.made.map(({ ingredient }) => ingredient),
        supposed: [...new Set([...recipe.assumptions, ...lines].map((remark) => remark.text))],
        bench: null,
      });
    }
  });
  return { specs, left };
}

function whyLeft({ spec, lines }: SpokenRecipe): string[] {
  if (!spec) return [NO_POUR];
  return lines
    .filter(({ status }) => status === "choose" || status === "unread")
    .map(({ raw, reason }) => lineLeft(raw, reason?.text ?? TO_CHOOSE));
}

/** The round that speaks for a bench: the final one, else the last that was not given up; null for a blank bench. */
export function roundOf({ rounds }: Bench): Round | null {
  const newest = [...rounds].sort((a, b) => b.number - a.number);
  const given = (round: Round) => round.abandoned === true || round.state === "rejected";
  return newest.find(({ state }) => state === "final") ?? newest.find((r) => !given(r)) ?? newest[0] ?? null;
}

/** Place them all, up to what a map holds; one that cannot be placed is left off with the reason. */
export function placeSpecs(
  specs: readonly MenuSpec[],
  placeOne: (of: MenuSpec) => Attempt<Placement>,
  familyOf: (of: MenuSpec) => string | null,
): { entries: MenuEntry[]; left: LeftOff[] } {
  const entries: MenuEntry[] = [];
  const left: LeftOff[] = [];
  for (const of of specs) {
    const { value: placement, problem } = placeOne(of);
    if (entries.length === MOST.menuDrinks) left.push({ name: of.name, why: [tooMany(MOST.menuDrinks)] });
    else if (!placement) left.push({ name: of.name, why: [problem ?? NO_POUR] });
    else {
      const pours = new Map<string, number>();
      for (const { ingredient, volumeMl } of placement.lines) {
        pours.set(ingredient, (pours.get(ingredient) ?? 0) + volumeMl / placement.initialVolumeMl);
      }
      const { covariance } = placement;
      const drink = {
        name: of.name,
        point: toVec(placement.point),
        covariance,
        pours,
        family: familyOf(of),
      };
      entries.push({ ...of, placement, drink });
    }
  }
  return { entries, left };
}
