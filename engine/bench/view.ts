import type { Bench, Round } from "../types.ts";
import { lacking } from "./check.ts";
import { canonical, isDeleted, type Records } from "./merge.ts";
import {
  type AnyStored,
  type RecordKind,
  recordKey,
  type Stamp,
  type Stored,
  type ValuesOf,
} from "./records.ts";

/** A record with all of its fields that is not put away. */
function isShown(record: AnyStored): boolean {
  return lacking(record).length === 0 && !isDeleted(record);
}

/**
 * Numbers of rounds as they are shown. Two makers apart can each have made a round 7: of those the one with
 * the lower id, made first, keeps the number, the next gets the first number after all others.
 */
function numbersOf(rounds: readonly Stored<"round">[]): Map<string, number> {
  const numbers = new Map<string, number>();
  const taken = new Set<number>();
  let highest = Math.max(0, ...rounds.map(({ values }) => values.number!));
  for (const { id, values } of rounds) {
    const number = taken.has(values.number!) ? ++highest : values.number!;
    taken.add(number);
    numbers.set(id, number);
  }
  return numbers;
}

/** What a round grew from, nearest first; of a loop, which only a broken file can bring, each once. */
function* ancestorsOf(id: string, parents: ReadonlyMap<string, string | null>) {
  const seen = new Set<string>();
  for (let at = parents.get(id); at && !seen.has(at); at = parents.get(at)) {
    seen.add(at);
    yield at;
  }
}

/**
 * The nearest ancestor that is still there: what grew from a round put away hangs on what that one grew from.
 * What grew from itself has none.
 */
function livingParent(id: string, parents: ReadonlyMap<string, string | null>, alive: ReadonlySet<string>) {
  const ancestors = [...ancestorsOf(id, parents)];
  return ancestors.includes(id) ? null : (ancestors.find((ancestor) => alive.has(ancestor)) ?? null);
}

function toRound(values: ValuesOf<"round">, id: string, number: number, parent: string | null): Round {
  const { label, spec, notes, faults, state } = values;
  return {
    id,
    number,
    parent,
    label,
    spec,
    ...(notes !== "" && { notes }),
    ...(faults.length > 0 && { faults }),
    ...(state !== "open" && { state }),
    ...(state === "rejected" && { abandoned: true }),
  };
}

function fromRound({ id: _, abandoned = false, ...round }: Round): ValuesOf<"round"> {
  const { notes = "", faults = [], state = "open" } = round;
  const kept = state === "rejected" ? "open" : state;
  return { ...round, notes, faults, state: abandoned ? "rejected" : kept, deleted: false };
}

/**
 * A bench as the engine and the page use it, out of its records: rounds by number, nothing that was put
 * away, every parent one that is there. Null when there is no such bench.
 */
export function benchOf(records: Records, id: string): Bench | null {
  const bench = records.get(recordKey({ kind: "bench", id, bench: id })) as Stored<"bench"> | undefined;
  if (!bench || !isShown(bench)) return null;
  const { name, target, current, story, invented } = bench.values as ValuesOf<"bench">;
  // Numbers and parents of rounds put away still count, so that bringing one back changes nothing else.
  const all = [...records.values()]
    .filter((r): r is Stored<"round"> => r.kind === "round" && r.bench === id && lacking(r).length === 0)
    .sort((a, b) => (a.id < b.id ? -1 : 1));
  const numbers = numbersOf(all);
  const parents = new Map(all.map((r) => [r.id, r.values.parent!]));
  const shown = all.filter((r) => !isDeleted(r));
  const alive = new Set(shown.map((r) => r.id));
  const rounds = shown
    .map((r) =>
      toRound(r.values as ValuesOf<"round">, r.id, numbers.get(r.id)!, livingParent(r.id, parents, alive)),
    )
    .sort((a, b) => a.number - b.number);
  return {
    id,
    name,
    rounds,
    current: current !== null && alive.has(current) ? current : (rounds.at(-1)?.id ?? ""),
    target,
    ...(invented && { invented }),
    ...(story !== null && { story }),
  };
}

/** The benches that are there, first made first. */
export function benchesOf(records: Records): Bench[] {
  return [...records.values()]
    .filter((r) => r.kind === "bench")
    .sort((a, b) => (a.id < b.id ? -1 : 1))
    .flatMap(({ id }) => benchOf(records, id) ?? []);
}

/** A change that sets some fields; all under one stamp. */
export function changeOf<K extends RecordKind>(
  kind: K,
  id: string,
  bench: string | null,
  values: Partial<ValuesOf<K>>,
  at: Stamp,
): Stored<K> {
  const stamps = Object.fromEntries(Object.keys(values).map((field) => [field, at]));
  return { kind, id, bench, values, stamps: stamps as Stored<K>["stamps"] };
}

/** The fields of `after` that differ from those of `before`. */
function altered<T extends object>(before: T | null, after: T): Partial<T> {
  const fields = Object.entries(after) as [keyof T, T[keyof T]][];
  const fresh = before
    ? fields.filter(([field, value]) => canonical(before[field]) !== canonical(value))
    : fields;
  return Object.fromEntries(fresh) as Partial<T>;
}

function fromBench(bench: Bench): ValuesOf<"bench"> {
  const { name, target, current, story = null, invented = false } = bench;
  return { name, target, current: current === "" ? null : current, story, invented, deleted: false };
}

/**
 * What someone did who worked on a bench as a whole, as changes to its records. `before` null: the bench is
 * new; `after` null: it was put away.
 */
export function changesTo(before: Bench | null, after: Bench | null, at: Stamp): AnyStored[] {
  if (!after) return before ? [changeOf("bench", before.id, before.id, { deleted: true }, at)] : [];
  const { id } = after;
  const was = new Map(before?.rounds.map((round) => [round.id, round]));
  const kept = new Set(after.rounds.map((round) => round.id));
  const found: AnyStored[] = [
    changeOf("bench", id, id, altered(before && fromBench(before), fromBench(after)), at),
    ...after.rounds.map((round) => {
      const old = was.get(round.id);
      return changeOf("round", round.id, id, altered(old ? fromRound(old) : null, fromRound(round)), at);
    }),
    ...[...was.keys()]
      .filter((round) => !kept.has(round))
      .map((round) => changeOf("round", round, id, { deleted: true }, at)),
  ];
  return found.filter(({ values }) => Object.keys(values).length > 0);
}
