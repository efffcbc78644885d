import type { Bench, Round, Spec } from "../../engine/types.ts";
import { newId } from "../state/ids.ts";
import { benchAround } from "../state/opening.ts";
import type { Store } from "../state/store.ts";

/*
 * What is done to rounds in every sitting. What is done to a round's words and standing is in `round-edit.ts`, to
 * benches as wholes in `benches-edit.ts`: these come when they are asked for.
 */

/** The benches with the one in work changed. */
export function changedBench(store: Store, change: (bench: Bench) => Bench): Bench[] {
  const { benches, bench } = store.work.value;
  return benches.map((candidate) => (candidate.id === bench ? change(candidate) : candidate));
}

/** Keep `spec` as a new round whose parent is the round in work; it becomes the round in work. Null: refused, and said. */
export function saveRound(store: Store, spec: Spec, label: string): Round | null {
  const open = store.bench.value;
  const round: Round = {
    id: newId(),
    number: Math.max(0, ...(open?.rounds.map((r) => r.number) ?? [])) + 1,
    parent: store.round.value?.id ?? null,
    label,
    spec,
  };
  const benches = open
    ? changedBench(store, (bench) => ({ ...bench, rounds: [...bench.rounds, round], current: round.id }))
    : [...store.work.value.benches, { ...benchAround(null, spec.name), rounds: [round], current: round.id }];
  const made = store.edit({ benches, bench: open?.id ?? benches.at(-1)!.id, round: round.id, spec });
  return made ? round : null;
}

/** Go to a round: its spec comes to the bench, and the next one kept branches from it. */
export function openRound(store: Store, id: string): void {
  const round = store.bench.value?.rounds.find((candidate) => candidate.id === id);
  if (!round) return;
  const benches = changedBench(store, (bench) => ({ ...bench, current: id }));
  store.edit({ benches, spec: round.spec, round: id });
  store.peeked.value = null;
}
