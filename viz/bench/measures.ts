import type { Store } from "../state/store.ts";
import type { Measures } from "../words/amounts.ts";

/** How the user measures just now. */
export function measuresOf(store: Store): Measures {
  return {
    ladder: store.ladder.value,
    units: store.parts.units.value,
    settings: store.placing.value.unitSettings,
  };
}
