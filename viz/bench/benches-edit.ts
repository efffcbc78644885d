import type { Bench, Spec } from "../../engine/types.ts";
import { newId } from "../state/ids.ts";
import { benchAround, blankSpec, targetFor } from "../state/opening.ts";
import { addressOf, go, route } from "../state/route.ts";
import type { Store } from "../state/store.ts";
import type { Work } from "../state/view.ts";
import { changedBench } from "./bench-edit.ts";

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

/** Add a bench and go to it: to present it, where one is presenting, and else to work on it. */
export function addBench(store: Store, bench: Bench, extra: Partial<Work> = {}): void {
  const { benches } = store.work.value;
  const named = { ...bench, name: freeName(benches, bench.name) };
  const room = route.value.room === "present" ? "present" : "bench";
  if (store.edit({ ...opened(store, named, [...benches, named], extra), ...extra }))
    go(addressOf(room, named.id));
}

/** A bench with nothing on it. */
export const startBlank = (store: Store): void => addBench(store, benchAround(null, "New bench"));

/** A bench that starts from a spec: a classic, a paste, a card, another bench's drink; notes go to its first round. */
export function startFrom(store: Store, spec: Spec, extra: Partial<Work> = {}, notes = ""): void {
  const bench = benchAround(spec, spec.name);
  const rounds = notes === "" ? bench.rounds : bench.rounds.map((round) => ({ ...round, notes }));
  addBench(store, { ...bench, name: spec.name, rounds }, extra);
}

/** Delete a bench; another one opens when it was the one in work. */
export function deleteBench(store: Store, id: string): void {
  const { benches, bench } = store.work.value;
  const rest = benches.filter((candidate) => candidate.id !== id);
  const left = rest.length > 0 ? rest : [{ ...store.data.demo, id: newId() }];
  store.edit(bench === id ? opened(store, left[0]!, left) : { benches: left });
}

/** Rename the open bench. */
export function renameBench(store: Store, name: string): void {
  store.edit({ benches: changedBench(store, (bench) => ({ ...bench, name })) });
}
