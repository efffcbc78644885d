/** Things remembered of one kind; a bar's own specs use a few hundred. */
const MOST_REMEMBERED = 2000;

/** Keep what was found out for the next time it is asked; all is forgotten when it is much. */
export function remember<V>(known: Map<string, V>, key: string, found: V): V {
  if (known.size >= MOST_REMEMBERED) known.clear();
  known.set(key, found);
  return found;
}
