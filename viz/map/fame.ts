import type { MapReference } from "./model.ts";

/**
 * The classics with the best known first. The data lists a family's drinks so (common practice, no published
 * source); a second version of a drink, named with a comma ("Daiquiri, older list") or after a drink already
 * named ("Bee's Knees with orange"), comes after every first.
 */
export function byFame(references: readonly MapReference[]): MapReference[] {
  const isVersion = ({ name }: MapReference, i: number) =>
    name.includes(",") ||
    references.slice(0, i).some((other) => name !== other.name && name.startsWith(`${other.name} `));
  const ranked = references.map((reference, i) => ({
    reference,
    rank: i + (isVersion(reference, i) ? 1e4 : 0),
  }));
  return ranked.sort((a, b) => a.rank - b.rank).map(({ reference }) => reference);
}

/** The name as it stands on the map: without what tells its version. */
export const plainName = (name: string): string => name.replace(/,.*$/, "");
