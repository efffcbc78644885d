/** Of the items that share a key, the first; in order. */
export function firstOfEach<T>(items: readonly T[], keyOf: (item: T) => string): T[] {
  const seen = new Set<string>();
  return items.filter((item) => !seen.has(keyOf(item)) && seen.add(keyOf(item)));
}
