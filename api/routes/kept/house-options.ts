import { isDeleted } from "../../../engine/bench/merge.ts";
import type { RecordKind, ValuesOf } from "../../../engine/bench/records.ts";
import { type OwnFigures, pantryWithFigures } from "../../../engine/mix/own-figures.ts";
import { compilePreps, withPreps } from "../../../engine/prep/compile.ts";
import type { Prep } from "../../../engine/prep/types.ts";
import type { Ingredient, UnitSettings } from "../../../engine/types.ts";
import type { ApiContext } from "../../context.ts";
import { placeOptions } from "../../read/settings.ts";
import type { Store } from "../../store/store.ts";

/** Names of the settings that hold what was measured of an ingredient begin so. */
const FIGURES_OF = "measured:";

/** The pantry with the house's own ingredients, figures and preps, and the house's sizes: what its specs are written in. */
export async function houseOptions(store: Store, { catalogue }: ApiContext) {
  const kept = await store.recordsIn(null, ["ingredient", "prep", "setting"]);
  const of = <K extends RecordKind>(kind: K) =>
    kept
      .filter((r) => r.kind === kind && !isDeleted(r))
      .map((r) => ({ id: r.id, ...(r.values as ValuesOf<K>) }));
  const own = of("ingredient").map(({ item }) => item as Ingredient);
  const settings = of("setting");
  const measured = settings.flatMap(({ id, value }) =>
    id.startsWith(FIGURES_OF) ? [[id.slice(FIGURES_OF.length), value as OwnFigures] as const] : [],
  );
  const pantry = pantryWithFigures([...catalogue.pantry.values(), ...own], Object.fromEntries(measured));
  const preps = of("prep").map(({ item }) => item as Prep);
  const sizes = settings.find(({ id }) => id === "unit-sizes")?.value as Partial<UnitSettings> | undefined;
  return {
    pantry: withPreps(pantry, compilePreps(preps, pantry)),
    options: placeOptions({ unitSettings: sizes }, catalogue),
  };
}
