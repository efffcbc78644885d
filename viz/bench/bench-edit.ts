import type { Bench, Round, RoundState, Spec } from "../../engine/types.ts";
import { newId } from "../state/ids.ts";
import { benchAround, blankSpec, targetFor } from "../state/opening.ts";
import { addressOf, go } from "../state/route.ts";
import type { Store } from "../state/store.ts";
import type { Work } from "../state/view.ts";

/** A name no other bench has: "New bench", "New bench 2". */
export function freeName(benches: readonly Bench[], wanted: string): string {
  const taken = new Set(benches.map((bench) => bench.name));
  if (!taken.has(wanted)) return wanted;
  const stem = wanted.replace(/ \d+$/, "");
  for (let n = 2; ; n += 1) if (!taken.has(`${stem} ${n}`)) return `${stem} ${n}`;
}

function opened(store: Store, bench: Bench, benches: Bench[], extra: Partial<Work> = {}): Partial<Work> {
  const round = bench.rounds.find((candidate) => candidate.id === bench.current) ?? bench.rounds.at(-1);
  return {
    benches,
    bench: bench.id,
    round: round?.id ?? null,
    spec: round?.spec ?? blankSpec(bench.name),
    rules: {},
    target:
      bench.target || round
        ? targetFor(bench.target, store.data, round?.spec, extra.own ?? store.work.value.own)
        : store.work.value.target,
  };
}

/** Add a bench and go to it. */
export function addBench(store: Store, bench: Bench, extra: Partial<Work> = {}): void {
  const { benches } = store.work.value;
  const named = { ...bench, name: freeName(benches, bench.name) };
  store.edit({ ...opened(store, named, [...benches, named], extra), ...extra });
  go(addressOf("bench", named.id));
}

/** A bench with nothing on it. */
export const startBlank = (store: Store): void => addBench(store, benchAround(null, "New bench"));

/** A bench that starts from a spec: a classic, a paste, a card, another bench's drink; notes go to its first round. */
export function startFrom(store: Store, spec: Spec, extra: Partial<Work> = {}, notes = ""): void {
  const bench = benchAround(spec, spec.name);
  const rounds = notes === "" ? bench.rounds : bench.rounds.map((round) => ({ ...round, notes }));
  addBench(store, { ...bench, name: spec.name, rounds }, extra);
}

/** A copy of a bench with rounds of its own. */
export function duplicateBench(store: Store, bench: Bench): void {
  const ids = new Map(bench.rounds.map((round) => [round.id, newId()]));
  const rounds = bench.rounds.map((round) => ({
    ...round,
    id: ids.get(round.id)!,
    parent: round.parent === null ? null : (ids.get(round.parent) ?? null),
  }));
  addBench(store, { ...bench, id: newId(), rounds, current: ids.get(bench.current) ?? rounds[0]?.id ?? "" });
}

/** Delete a bench; another one opens when it was the one in work. */
export function deleteBench(store: Store, id: string): void {
  const { benches, bench } = store.work.value;
  const rest = benches.filter((candidate) => candidate.id !== id);
  const left = rest.length > 0 ? rest : [{ ...store.data.demo, id: newId() }];
  store.edit(bench === id ? opened(store, left[0]!, left) : { benches: left });
}

function changedBench(store: Store, change: (bench: Bench) => Bench): Bench[] {
  const { benches, bench } = store.work.value;
  return benches.map((candidate) => (candidate.id === bench ? change(candidate) : candidate));
}

/** Rename the open bench. */
export const renameBench = (store: Store, name: string): void =>
  store.edit({ benches: changedBench(store, (bench) => ({ ...bench, name })) });

/** Keep `spec` as a new round whose parent is the round in work; it becomes the round in work. */
export function saveRound(store: Store, spec: Spec, label: string): Round {
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
  store.edit({ benches, bench: open?.id ?? benches.at(-1)!.id, round: round.id, spec });
  return round;
}

/** Go to a round: its spec comes to the bench, and the next one kept branches from it. */
export function openRound(store: Store, id: string): void {
  const round = store.bench.value?.rounds.find((candidate) => candidate.id === id);
  if (!round) return;
  const benches = changedBench(store, (bench) => ({ ...bench, current: id }));
  store.edit({ benches, spec: round.spec, round: id });
  store.peeked.value = null;
}

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
