/** Edit distance with adjacent swaps counted once (optimal string alignment), on short keys only. */
function editDistance(a: string, b: string): number {
  const far = Number.POSITIVE_INFINITY;
  let before: number[] = [];
  let above = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    let left = i;
    const row = [left];
    for (let j = 1; j <= b.length; j++) {
      const swap = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      left = Math.min(
        (above[j] ?? far) + 1,
        left + 1,
        (above[j - 1] ?? far) + (a[i - 1] === b[j - 1] ? 0 : 1),
        swap ? (before[j - 2] ?? far) + 1 : far,
      );
      row.push(left);
    }
    [before, above] = [above, row];
  }
  return above.at(-1) ?? far;
}

const MAX_COMPARED_LENGTH = 40;

/** The valid key a person most likely meant, or null when nothing is close enough to suggest. */
export function nearestKey(written: string, valid: Iterable<string>): string | null {
  const word = written.slice(0, MAX_COMPARED_LENGTH).toLowerCase();
  let best: { key: string; distance: number } | null = null;
  for (const key of valid) {
    const lower = key.toLowerCase();
    // A key cut short ("amount" for "amountMl") or drawn out is meant more often than a distant rearrangement.
    const contained = word.length >= 3 && (lower.startsWith(word) || word.startsWith(lower));
    const distance = contained ? 1 : editDistance(word, lower.slice(0, MAX_COMPARED_LENGTH));
    if (!best || distance < best.distance) best = { key, distance };
  }
  return best && best.distance <= Math.max(2, Math.floor(word.length / 3)) ? best.key : null;
}
