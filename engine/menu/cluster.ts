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
 * Agglomerative clustering by average linkage (Sokal and Michener, 1958), with the update of Lance and Williams.
 * Of pairs equally near, the first in order is joined, so that the same input gives the same tree.
 *
 * @param distances n × n, symmetric, any unit
 * @returns n − 1 merges, nearest first
 */
export function averageLinkage(distances: readonly (readonly number[])[]): Merge[] {
  let clusters = distances.map((row, i) => ({ members: [i], to: [...row] }));
  const merges: Merge[] = [];
  while (clusters.length > 1) {
    let [a, b, height] = [0, 1, Infinity];
    for (let i = 0; i < clusters.length; i++) {
      for (let j = i + 1; j < clusters.length; j++) {
        if (clusters[i]!.to[j]! < height) [a, b, height] = [i, j, clusters[i]!.to[j]!];
      }
    }
    const [first, second] = [clusters[a]!, clusters[b]!];
    const [n, m] = [first.members.length, second.members.length];
    const joined = {
      members: [...first.members, ...second.members].sort((x, y) => x - y),
      to: first.to.map((d, k) => (n * d + m * second.to[k]!) / (n + m)),
    };
    merges.push({ members: joined.members, height });
    clusters.forEach((c, k) => {
      c.to[a] = joined.to[k]!;
    });
    joined.to[a] = 0;
    clusters[a] = joined;
    clusters = clusters.filter((_, k) => k !== b);
    for (const c of clusters) c.to.splice(b, 1);
  }
  return merges;
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
  const far = (i: number, group: readonly number[], others: number) =>
    group.reduce((sum, j) => sum + distances[i]![j]!, 0) / others;
  const each = groups.flatMap((own) =>
    own.map((i) => {
      if (own.length === 1) return 0;
      const a = far(i, own, own.length - 1);
      const b = Math.min(...groups.filter((g) => g !== own).map((g) => far(i, g, g.length)));
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
