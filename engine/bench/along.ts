import type * as z from "zod/mini";
import { HOUSE_UNIT_IDS } from "../ids.ts";
import { LONGEST } from "../limits.ts";
import type { Prep } from "../prep/types.ts";
import type { alongShape } from "../shapes/bench.ts";
import type { Ingredient, Pantry, Spec, UnitId, UnitSettings } from "../types.ts";
import { canonical } from "./merge.ts";

/** What a bench needs beside itself to come to the same points in another house. */
export type Along = z.infer<typeof alongShape>;

type Poured = Pick<Spec, "lines">;

/** Ids of what the specs pour, and of what the preps among it are made of, at any depth. */
function pouredBy(specs: readonly Poured[], preps: readonly Prep[]): ReadonlySet<string> {
  const made = new Map(preps.map((prep) => [prep.id, prep]));
  const ids = new Set(specs.flatMap(({ lines }) => lines.map(({ ingredient }) => ingredient)));
  // A set visits what is added to it on the way.
  for (const id of ids) for (const { ingredient } of made.get(id)?.parts ?? []) ids.add(ingredient);
  return ids;
}

/** What a house pours with. */
interface House {
  pantry: Pantry;
  preps: readonly Prep[];
  unitSettings: UnitSettings;
}

const OF_ANY_SIZE: ReadonlySet<UnitId> = new Set<UnitId>(HOUSE_UNIT_IDS);

/** Whether any line is poured by a measure whose size is the house's own. */
export const isMeasured = ({ lines }: Poured): boolean => lines.some(({ unit }) => OF_ANY_SIZE.has(unit));

/** What `specs` need of a house's own, to be handed over with them. */
export function alongWith(specs: readonly Poured[], house: House): Along {
  const ids = pouredBy(specs, house.preps);
  return {
    ingredients: [...ids].flatMap((id) => {
      const ingredient = house.pantry.get(id);
      return ingredient?.own ? [ingredient] : [];
    }),
    preps: house.preps.filter(({ id }) => ids.has(id)),
    ...(specs.some(isMeasured) && { unitSettings: house.unitSettings }),
  };
}

/** What is said of an ingredient and moves no point. */
const TOLD = new Set([
  "id",
  "name",
  "aliases",
  "source",
  "note",
  "memory",
  "disagreements",
  "own",
  "staple",
  "unstated",
]);

/** What of an ingredient counts in the glass, as a text: two of equal figures are poured alike. */
const figuresOf = (ingredient: Ingredient): string => canonical(ingredient, TOLD);

/** Six signs for a text, the same every time: what arrives twice gets one id. FNV-1a (draft-eastlake-fnv; from memory). */
function signOf(text: string): string {
  let hash = 0x811c9dc5;
  for (const sign of text) hash = Math.imul(hash ^ sign.codePointAt(0)!, 0x01000193);
  return (hash >>> 0).toString(36).slice(0, 6);
}

/** A name that tells what was sent from what is here by the same name. */
const asSent = (name: string): string => `${name.slice(0, LONGEST.name - 10)} (as sent)`;

/** What came along, as it goes into the house that it came to. */
export interface Arrived {
  /** What that house did not have. */
  ingredients: Ingredient[];
  preps: Prep[];
  /** The id by which something that came is here. */
  idOf(id: string): string;
}

/**
 * Make room for what came along. Nothing of the house's is replaced: what it has by the same figures is used as it
 * is, and what it has otherwise comes in beside it, under an id and a name that tell them apart.
 */
export function arriving(came: Along, pantry: Pantry): Arrived {
  const ids = new Map<string, string>();
  const ingredients: Ingredient[] = [];
  for (const ingredient of came.ingredients) {
    const here = pantry.get(ingredient.id);
    const figures = figuresOf(ingredient);
    if (!here) ingredients.push({ ...ingredient, own: true });
    else if (figuresOf(here) !== figures) {
      const id = `${ingredient.id.slice(0, 70)}-${signOf(figures)}`;
      ids.set(ingredient.id, id);
      if (!pantry.has(id)) ingredients.push({ ...ingredient, id, name: asSent(ingredient.name), own: true });
    }
  }
  const idOf = (id: string) => ids.get(id) ?? id;
  const added = new Map(ingredients.map(({ id, name }) => [id, name]));
  const preps = came.preps.flatMap((prep) => {
    const id = idOf(prep.id);
    const name = added.get(id);
    if (name === undefined) return [];
    const parts = prep.parts.map((part) => ({ ...part, ingredient: idOf(part.ingredient) }));
    return [{ ...prep, id, name, parts }];
  });
  return { ingredients, preps, idOf };
}

/** A spec that pours what came by the ids it has here. */
export const pouredAs = <S extends Poured>(spec: S, { idOf }: Pick<Arrived, "idOf">): S => ({
  ...spec,
  lines: spec.lines.map((line) => ({ ...line, ingredient: idOf(line.ingredient) })),
});
