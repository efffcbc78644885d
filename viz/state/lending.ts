import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import { canonical, type Records } from "../../engine/bench/merge.ts";
import { pantryWithFigures } from "../../engine/mix/own-figures.ts";
import { compilePreps, withPreps } from "../../engine/prep/compile.ts";
import type { Ingredient } from "../../engine/types.ts";
import { settingsIn, thingsKept } from "./house-things.ts";
import { type Key, type Lent, lent } from "./keys.ts";

/** What a house pours with, from its records. */
function lentBy(records: Records, pantry: readonly Ingredient[]): Lent {
  const { own, preps, measured, unitSettings } = settingsIn(thingsKept(records).things);
  const base = pantryWithFigures([...pantry, ...own], measured);
  const all = withPreps(base, compilePreps(preps, base));
  return {
    ingredients: [...all.values()].filter((ingredient) => ingredient.own),
    preps,
    unitSettings: { ...DEFAULT_UNIT_SETTINGS, ...unitSettings },
  };
}

/** Let the benches behind a key stand as they do in their own house, of which these records are known. */
export function lend(key: Key, records: Records, pantry: readonly Ingredient[]): void {
  // Who owns a whole house has its things as this browser's own.
  if (key.bench === null && key.role === "owner") return;
  const now = lentBy(records, pantry);
  if (canonical(lent.peek().get(key.secret)) === canonical(now)) return;
  lent.value = new Map([...lent.peek(), [key.secret, now]]);
}
