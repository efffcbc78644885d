/** A joining of two clusters: all the members of the new one, and the distance at which they were joined. */
export interface Merge {
  members: readonly number[];
  height: number;
}

/** A way of grouping, and how well it fits: the mean silhouette, −1 to 1; null for a single group. */
export interface Grouping {
  groups: readonly (readonly number[])[];
  silhouette: number | null;
}

/** More groups than this cannot be told apart by shade. */
const MOST_GROUPS = 6;
/** A mean silhouette up to this speaks for no groups at all (Kaufman and Rousseeuw, 1990, table 4; from memory). */
const NO_STRUCTURE = 0.25;

/**
 * Agglomerative clustering by average linkage (Sokal and Michener, 1958): the two clusters are joined whose members
 * are the nearest to one another on average. Of pairs equally near, the first in order is joined, so that the same
 * input gives the same tree.
 *
 * @param distances n × n, symmetric, any unit
 * @returns n − 1 merges, nearest first
 */
export function averageLinkage(distances: readonly (readonly number[])[]): Merge[] {
  let clusters = distances.map((_, i) => [i]);
  return distances.slice(1).map((): Merge => {
    const pairs = clusters.flatMap((first, a) =>
      clusters
        .slice(a + 1)
        .map((second) => ({ first, second, height: meanBetween(first, second, distances) })),
    );
    const { first, second, height } = pairs.reduce((a, b) => (b.height < a.height ? b : a));
    const members = [...first, ...second].sort((x, y) => x - y);
    clusters = clusters.with(clusters.indexOf(first), members).filter((cluster) => cluster !== second);
    return { members, height };
  });
}

/** Mean distance of the members of two clusters. */
function meanBetween(a: readonly number[], b: readonly number[], distances: readonly (readonly number[])[]) {
  let sum = 0;
  for (const i of a) for (const j of b) sum += distances[i]![j]!;
  return sum / (a.length * b.length);
}

/** The `count` groups that are left when the farthest joinings are undone; each in order, the first member's first. */
export function cutInto(count: number, size: number, merges: readonly Merge[]): number[][] {
  let groups = Array.from({ length: size }, (_, i) => [i]);
  for (const { members } of merges.slice(0, size - count)) {
    const inside = new Set(members);
    groups = [...groups.filter(([first]) => !inside.has(first!)), [...members]];
  }
  return groups.sort((a, b) => a[0]! - b[0]!);
}

/** Mean silhouette of a grouping (Rousseeuw, 1987): how much nearer each is to its own group than to the next. */
export function meanSilhouette(
  groups: readonly (readonly number[])[],
  distances: readonly (readonly number[])[],
): number {
  const far = (i: number, group: readonly number[]) => meanBetween([i], group, distances);
  const each = groups.flatMap((own) =>
    own.map((i) => {
      const others = own.filter((j) => j !== i);
      if (others.length === 0) return 0;
      const a = far(i, others);
      const b = Math.min(...groups.filter((g) => g !== own).map((g) => far(i, g)));
      return Math.max(a, b) === 0 ? 0 : (b - a) / Math.max(a, b);
    }),
  );
  return each.reduce((sum, s) => sum + s, 0) / each.length;
}

/** The number of groups with the best silhouette, the fewer where two are as good; one where nothing speaks for more. */
export function bestGrouping(distances: readonly (readonly number[])[]): Grouping {
  const size = distances.length;
  const merges = averageLinkage(distances);
  let best: Grouping = { groups: cutInto(1, size, merges), silhouette: null };
  for (let count = 2; count <= Math.min(MOST_GROUPS, size - 1); count++) {
    const groups = cutInto(count, size, merges);
    const silhouette = meanSilhouette(groups, distances);
    if (silhouette > (best.silhouette ?? NO_STRUCTURE)) best = { groups, silhouette };
  }
  return best;
}
