import type { Bench, Round } from "../../engine/types.ts";
import type { Work } from "./view.ts";

const same = (a: unknown, b: unknown) => a === b || JSON.stringify(a) === JSON.stringify(b);

/**
 * Three-way merge of two records that grew from `base`: each field is taken from the side that changed it,
 * and from `mine` where both did.
 */
function mergeFields<T extends object>(base: T, mine: T, theirs: T): T {
  const merged = { ...mine };
  for (const key of new Set([...Object.keys(mine), ...Object.keys(theirs)]) as Set<keyof T>) {
    if (!same(base[key], mine[key])) continue;
    if (key in theirs) merged[key] = theirs[key];
    else delete merged[key];
  }
  return merged;
}

/**
 * Three-way merge of two lists by id: what either side added is there, what one removed and the other left
 * alone is gone, and what one removed while the other worked on it stays.
 */
function mergeById<T extends { id: string }>(
  base: readonly T[],
  mine: readonly T[],
  theirs: readonly T[],
  mergeEntry: (base: T, mine: T, theirs: T) => T,
): T[] {
  const was = new Map(base.map((entry) => [entry.id, entry]));
  const their = new Map(theirs.map((entry) => [entry.id, entry]));
  const own = new Set(mine.map((entry) => entry.id));
  const kept = mine.flatMap((entry) => {
    const before = was.get(entry.id);
    const other = their.get(entry.id);
    if (other) return [before ? mergeEntry(before, entry, other) : entry];
    return before && same(before, entry) ? [] : [entry];
  });
  const added = theirs.filter((entry) => {
    if (own.has(entry.id)) return false;
    const before = was.get(entry.id);
    return !before || !same(before, entry);
  });
  return [...kept, ...added];
}

/** Two tabs can each have made a round 7: of those the one with the lower id keeps the number. */
function renumbered(rounds: readonly Round[]): Round[] {
  const taken = new Set<number>();
  let highest = Math.max(0, ...rounds.map((round) => round.number));
  const fresh = new Map<string, number>();
  for (const round of [...rounds].sort((a, b) => (a.id < b.id ? -1 : 1))) {
    if (taken.has(round.number)) {
      highest += 1;
      fresh.set(round.id, highest);
    } else taken.add(round.number);
  }
  if (fresh.size === 0) return [...rounds];
  return rounds.map((round) => ({ ...round, number: fresh.get(round.id) ?? round.number }));
}

function mergeBench(base: Bench, mine: Bench, theirs: Bench): Bench {
  const fields = mergeFields(base, mine, theirs);
  const rounds = renumbered(mergeById(base.rounds, mine.rounds, theirs.rounds, mergeFields));
  const ids = new Set(rounds.map((round) => round.id));
  return {
    ...fields,
    // A round whose parent was removed elsewhere starts a trail of its own.
    rounds: rounds.map((round) =>
      round.parent !== null && !ids.has(round.parent) ? { ...round, parent: null } : round,
    ),
    current: ids.has(fields.current) ? fields.current : (rounds.at(-1)?.id ?? ""),
  };
}

/**
 * Benches as two sides left them, each from `base`. Used between two tabs, and to undo one change while
 * keeping what came after it. Nobody's round is lost unless a side removed it on purpose.
 */
export function mergeBenches(
  base: readonly Bench[],
  mine: readonly Bench[],
  theirs: readonly Bench[],
): Bench[] {
  if (base === theirs) return [...mine];
  if (base === mine) return [...theirs];
  return mergeById(base, mine, theirs, mergeBench);
}

/** The work over another list of benches: the bench and the round in work stay, if they are still there. */
export function withBenches(work: Work, benches: Bench[]): Work {
  const bench = benches.find((candidate) => candidate.id === work.bench) ?? benches[0];
  const stays = bench?.rounds.some((round) => round.id === work.round) ?? false;
  return { ...work, benches, bench: bench?.id ?? null, round: stays ? work.round : bench?.current || null };
}
