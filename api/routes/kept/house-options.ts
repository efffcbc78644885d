import { isDeleted } from "../../../engine/bench/merge.ts";
import type { RecordKind, ValuesOf } from "../../../engine/bench/records.ts";
import { compilePreps, withPreps } from "../../../engine/prep/compile.ts";
import type { Prep } from "../../../engine/prep/types.ts";
import type { Ingredient, UnitSettings } from "../../../engine/types.ts";
import type { ApiContext } from "../../context.ts";
import { placeOptions } from "../../read/settings.ts";
import type { Store } from "../../store/store.ts";

/** The pantry with the house's own ingredients and preps, and the house's sizes: what its specs are written in. */
export async function houseOptions(store: Store, { catalogue }: ApiContext) {
  const kept = await store.recordsIn(null, ["ingredient", "prep", "setting"]);
  const of = <K extends RecordKind>(kind: K) =>
    kept
      .filter((r) => r.kind === kind && !isDeleted(r))
      .map((r) => ({ id: r.id, ...(r.values as ValuesOf<K>) }));
  const own = of("ingredient").map(({ item }) => [item.id, item as Ingredient] as const);
  const pantry = new Map([...catalogue.pantry, ...own]);
  const preps = of("prep").map(({ item }) => item as Prep);
  const sizes = of("setting").find(({ id }) => id === "unit-sizes")?.value as
    | Partial<UnitSettings>
    | undefined;
  return {
    pantry: withPreps(pantry, compilePreps(preps, pantry)),
    options: placeOptions({ unitSettings: sizes }, catalogue),
  };
}
