import type { Spec } from "../../engine/types.ts";
import type { Store } from "../state/store.ts";
import { saveRound } from "./bench-edit.ts";
import { roundName } from "./words.ts";

/** What differs between the spec on the bench and the round it came from, by name. */
export function changedNames(store: Store): string[] {
  const round = store.round.value;
  const spec = store.spec.value;
  if (!round) return [];
  const before = new Map(round.spec.lines.map((line) => [line.ingredient, line]));
  const changed = spec.lines.filter((line) => {
    const old = before.get(line.ingredient);
    before.delete(line.ingredient);
    return !old || old.amount !== line.amount || old.unit !== line.unit;
  });
  const names = [...changed.map((line) => line.ingredient), ...before.keys()].map(
    (id) => store.pantry.value.get(id)?.name ?? id,
  );
  if (names.length > 0) return names;
  if (round.spec.method !== spec.method) return ["the method"];
  if (round.spec.glass !== spec.glass) return ["the glass"];
  if (round.spec.name !== spec.name) return ["the name"];
  return JSON.stringify(round.spec.dilution) === JSON.stringify(spec.dilution) ? [] : ["the water from ice"];
}

/** Keep the spec on the bench as a new round. */
export function keepRound(store: Store, label = ""): void {
  const first = store.bench.value?.rounds.length === 0;
  const name = label.trim() || (first ? "First pour" : roundName(changedNames(store)));
  const round = saveRound(store, store.spec.value, name);
  if (!round) return;
  store.tell(`Kept as round ${round.number}. Pour it, taste it, and note what you find.`);
}

/** Make a changed spec the next round, as a child of the round in work, and say so. */
export function takeSpec(store: Store, spec: Spec, name: string): void {
  // What was edited and not kept is where the change starts from: it becomes a round of its own first.
  if (store.edited.value && store.round.value && spec.lines.length > 0) {
    saveRound(store, store.spec.value, roundName(changedNames(store)));
  }
  const round = saveRound(store, spec, name);
  if (!round) return;
  const text = `“${name}” is now round ${round.number}. Pour it, taste it, and note what you find.`;
  store.focused.value = null;
  store.tell(text);
  store.said.value = text;
}
