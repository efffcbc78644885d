import type { Ingredient, Pantry } from "../../engine/types.ts";
import { requireKnown } from "./spec.ts";

/**
 * The ingredients that fields of a request name, by field.
 *
 * @throws EngineError with the nearest id for each that the pantry lacks
 */
export function namedIngredients<F extends string>(
  ids: Readonly<Record<F, string>>,
  pantry: Pantry,
): Record<F, Ingredient> {
  const fields = Object.entries(ids) as [F, string][];
  requireKnown(
    fields.map(([field, id]) => ({ id, pointer: `/${field}` })),
    pantry,
  );
  return Object.fromEntries(fields.map(([field, id]) => [field, pantry.get(id)!])) as Record<F, Ingredient>;
}
