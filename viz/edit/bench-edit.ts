import type { Bench, Round, Spec } from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import { newId } from "../state/bench-storage.ts";
import type { Store } from "../state/store.ts";

/** Open a bench at its current round. */
export function openBench(store: Store, bench: Bench): void {
  const round = bench.rounds.find((candidate) => candidate.id === bench.current) ?? bench.rounds.at(-1);
  if (!round) return;
  store.edit({
    bench: bench.id,
    round: round.id,
    spec: round.spec,
    rules: {},
    answer: null,
    focusedProposal: null,
  });
}

/** A new bench around one spec, as its first round. */
export function benchAround(spec: Spec, name: string): Bench {
  const round: Round = { id: newId("round"), number: 1, parent: null, label: "First pour", spec };
  return { id: newId("bench"), name, rounds: [round], current: round.id, target: "" };
}

/** Start a bench with a plain sour, to be changed or pasted over. */
export function startBench(store: Store, data: PageData): void {
  const first = (role: string) => data.pantry.find((ingredient) => ingredient.role === role)?.id;
  const metric = store.get().units === "ml";
  const pour = (ml: number, oz: number) =>
    metric ? { amount: ml, unit: "ml" as const } : { amount: oz, unit: "oz" as const };
  const spec: Spec = {
    name: "New drink",
    method: "shaken",
    lines: [
      { ingredient: first("spirit"), ...pour(60, 2) },
      { ingredient: first("sour-juice"), ...pour(22.5, 0.75) },
      { ingredient: first("syrup"), ...pour(22.5, 0.75) },
    ].flatMap((line) => (line.ingredient ? [{ ...line, ingredient: line.ingredient }] : [])),
  };
  const bench = benchAround(spec, "New bench");
  store.set({ benches: [...store.get().benches, bench] });
  openBench(store, bench);
}

/** Change the open bench's rounds. */
function changeBench(store: Store, change: (bench: Bench) => Bench): void {
  const { benches, bench } = store.get();
  store.set({ benches: benches.map((b) => (b.id === bench ? change(b) : b)) });
}

/** Keep `spec` as a new round whose parent is the round in work; it becomes the round in work. */
export function saveRound(store: Store, spec: Spec, label: string): Round {
  const state = store.get();
  const open = state.benches.find((b) => b.id === state.bench);
  const round: Round = {
    id: newId("round"),
    number: Math.max(0, ...(open?.rounds.map((r) => r.number) ?? [])) + 1,
    parent: open?.rounds.some((r) => r.id === state.round) ? state.round : null,
    label,
    spec,
  };
  if (open) {
    changeBench(store, (b) => ({ ...b, rounds: [...b.rounds, round], current: round.id }));
  } else {
    const bench: Bench = {
      id: newId("bench"),
      name: spec.name,
      rounds: [round],
      current: round.id,
      target: "",
    };
    store.set({ benches: [...state.benches, bench], bench: bench.id });
  }
  store.edit({ spec, round: round.id });
  return round;
}

/** Go to a round: its spec comes to the bench, and the next saved round branches from it. */
export function goToRound(store: Store, id: string): void {
  const state = store.get();
  const round = state.benches.find((b) => b.id === state.bench)?.rounds.find((r) => r.id === id);
  if (!round) return;
  changeBench(store, (bench) => ({ ...bench, current: id }));
  store.edit({ spec: round.spec, round: id, answer: null, focusedProposal: null });
}

/** Change the words or the standing of a round; its spec stays. */
export function changeRound(
  store: Store,
  id: string,
  patch: Partial<Pick<Round, "label" | "notes" | "faults" | "abandoned">>,
): void {
  changeBench(store, (bench) => ({
    ...bench,
    rounds: bench.rounds.map((round) => (round.id === id ? { ...round, ...patch } : round)),
  }));
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

/** Fade a whole branch on the map and in the list, or bring it back. Nothing is deleted. */
export function setAbandoned(store: Store, id: string, abandoned: boolean): void {
  changeBench(store, (bench) => {
    const branch = branchOf(bench.rounds, id);
    return {
      ...bench,
      rounds: bench.rounds.map((round) => (branch.has(round.id) ? { ...round, abandoned } : round)),
    };
  });
}
