import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import { canonical, type Records } from "../../engine/bench/merge.ts";
import { pantryWithFigures } from "../../engine/mix/own-figures.ts";
import { compilePreps, withPreps } from "../../engine/prep/compile.ts";
import type { Bench, Ingredient } from "../../engine/types.ts";
import { withShelf } from "../preps/shelf-work.ts";
import {
  type KeptThings,
  keepThings,
  mergedThings,
  settingsIn,
  thingsHere,
  thingsKept,
} from "./house-things.ts";
import { isOwnHouse, type Key, type Lent, lent } from "./keys.ts";
import { loadSettings, type Shelf, writeSettings } from "./storage.ts";

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

/** Take a house's things for this browser's own, with what its preps come to: its drinks pour them at once. */
export function moveIn(
  shelf: Shelf,
  theirs: KeptThings,
  pantry: readonly Ingredient[],
  benches: readonly Bench[],
): void {
  const here = thingsHere(shelf, benches);
  const { own, preps, measured } = keepThings(shelf, mergedThings(here, here, theirs));
  const base = pantryWithFigures([...pantry, ...own], measured);
  writeSettings(shelf, { ...loadSettings(shelf), own: withShelf({ own }, base, preps).own });
}

/** Let the benches behind a key stand as they do in their own house, of which these records are known. */
export function lend(key: Key, records: Records, pantry: readonly Ingredient[]): void {
  if (isOwnHouse(key)) return;
  const now = lentBy(records, pantry);
  if (canonical(lent.peek().get(key.secret)) === canonical(now)) return;
  lent.value = new Map([...lent.peek(), [key.secret, now]]);
}
