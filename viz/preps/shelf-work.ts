import { compilePreps } from "../../engine/prep/compile.ts";
import type { Prep } from "../../engine/prep/types.ts";
import type { Pantry } from "../../engine/types.ts";
import type { Work } from "../state/view.ts";

/**
 * The records of a shelf, and what they are as ingredients with them: the bench places with the ingredients and
 * never needs to know how they were made.
 */
export function withShelf(
  { own }: Pick<Work, "own">,
  pantry: Pantry,
  preps: Prep[],
): Pick<Work, "preps" | "own"> {
  const { compiled } = compilePreps(preps, pantry);
  const made = [...compiled.values()].map(({ ingredient }) => ingredient);
  // What can no longer be worked out, or was taken off, stays as it was: a drink may pour it.
  return { preps, own: [...own.filter(({ id }) => !compiled.has(id)), ...made] };
}
