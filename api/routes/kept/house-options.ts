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

type House = ReturnType<typeof workOut>;

/** What a house came to, and the records it was worked out from: tasters' pages ask every few seconds. */
const known = new WeakMap<Store, { records: string; house: House }>();

/** The pantry with the house's own ingredients, figures and preps, and the house's sizes: what its specs are written in. */
export async function houseOptions(store: Store, context: ApiContext): Promise<House> {
  const kept = await store.recordsIn(null, ["ingredient", "prep", "setting"]);
  const records = JSON.stringify(kept);
  const before = known.get(store);
  if (before?.records === records) return before.house;
  const house = workOut(kept, context);
  known.set(store, { records, house });
  return house;
}

function workOut(kept: Awaited<ReturnType<Store["recordsIn"]>>, { catalogue }: ApiContext) {
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
