import type { Round, RoundState } from "../../engine/types.ts";
import type { Store } from "../state/store.ts";
import { changedBench } from "./bench-edit.ts";

/** Change the words or the standing of a round; its spec stays. */
export function changeRound(
  store: Store,
  id: string,
  patch: Partial<Pick<Round, "label" | "notes" | "faults" | "abandoned">>,
): void {
  const benches = changedBench(store, (bench) => ({
    ...bench,
    rounds: bench.rounds.map((round) => (round.id === id ? { ...round, ...patch } : round)),
  }));
  store.edit({ benches });
}

/** Take a round out; what grew from it hangs on its parent from then on. */
export function deleteRound(store: Store, id: string): void {
  const bench = store.bench.value;
  const gone = bench?.rounds.find((round) => round.id === id);
  if (!bench || !gone) return;
  const rounds = bench.rounds
    .filter((round) => round.id !== id)
    .map((round) => (round.parent === id ? { ...round, parent: gone.parent } : round));
  const heir = rounds.find((round) => round.id === gone.parent) ?? rounds.at(-1);
  const current = bench.current === id ? (heir?.id ?? "") : bench.current;
  const benches = changedBench(store, (open) => ({ ...open, rounds, current }));
  const inWork = store.work.value.round === id;
  store.edit({ benches, ...(inWork && { round: heir?.id ?? null }) });
}

/** The round and everything that grew from it. */
export function branchOf(rounds: readonly Round[], id: string): Set<string> {
  const branch = new Set([id]);
  // Rounds may be stored in any order, so grow until nothing is added.
  for (let before = 0; before !== branch.size; ) {
    before = branch.size;
    for (const round of rounds) if (round.parent && branch.has(round.parent)) branch.add(round.id);
  }
  return branch;
}

function standing(round: Round, state: RoundState): Round {
  const { state: _, abandoned: __, ...rest } = round;
  return { ...rest, ...(state !== "open" && { state }), ...(state === "rejected" && { abandoned: true }) };
}

/** Say where a round stands. A bench has one final round: the one before it was worth keeping. */
export function markRound(store: Store, id: string, state: RoundState): void {
  const benches = changedBench(store, (bench) => ({
    ...bench,
    rounds: bench.rounds.map((round) => {
      if (round.id === id) return standing(round, state);
      return state === "final" && round.state === "final" ? standing(round, "kept") : round;
    }),
  }));
  store.edit({ benches });
}

/** Put a whole branch aside, on the map and in the list, or bring it back. Nothing is deleted. */
export function setAside(store: Store, id: string, abandoned: boolean): void {
  const benches = changedBench(store, (bench) => {
    const branch = branchOf(bench.rounds, id);
    return {
      ...bench,
      rounds: bench.rounds.map((round) => {
        if (!branch.has(round.id) || abandoned === (round.abandoned ?? false)) return round;
        return standing(round, abandoned ? "rejected" : "open");
      }),
    };
  });
  store.edit({ benches });
}
