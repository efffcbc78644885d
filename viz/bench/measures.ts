import type { Store } from "../state/store.ts";
import type { Measures } from "../words/amounts.ts";

/** How the user measures just now. */
export function measuresOf(store: Store): Measures {
  const { units } = store.work.value;
  return { ladder: store.ladder.value, units, settings: store.placing.value.unitSettings };
}
