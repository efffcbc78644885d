import type { Pantry, Spec } from "../types.ts";
import { tastingWord } from "./vocabulary.ts";

/** A word the map cannot answer, and what in the drink a swap might answer it with. */
export interface SwapToTry {
  word: string;
  /** How many tastings said it. */
  said: number;
  /** An ingredient of the drink, and others of its role, nearest in strength, sugar and acid first. */
  candidates: { ingredient: string; alternatives: string[] }[];
}

const MOST_ALTERNATIVES = 5;

/**
 * For each word that the map cannot see: the drink's ingredients it may be about, and what could stand in
 * their place. The nearest in composition come first, so that a swap moves the balance least and what changes
 * is what the map cannot see. A trial, not a promise.
 */
export function swapsToTry(
  tastings: readonly { words?: readonly string[] }[],
  spec: Spec,
  pantry: Pantry,
): SwapToTry[] {
  const counts = new Map<string, number>();
  for (const { words = [] } of tastings) {
    const ids = words.flatMap((w) => tastingWord(w) ?? []).filter((w) => w.meaning.kind === "swap");
    for (const { id } of new Set(ids)) counts.set(id, (counts.get(id) ?? 0) + 1);
  }
  return [...counts]
    .sort((a, b) => b[1] - a[1])
    .map(([word, said]) => {
      const { meaning } = tastingWord(word)!;
      const roles = meaning.kind === "swap" ? meaning.roles : [];
      const held = [...new Set(spec.lines.map((line) => line.ingredient))];
      const candidates = held
        .filter((id) => roles.includes(pantry.get(id)!.role))
        .sort((a, b) => roles.indexOf(pantry.get(a)!.role) - roles.indexOf(pantry.get(b)!.role))
        .map((ingredient) => ({ ingredient, alternatives: nearestOfRole(ingredient, held, pantry) }))
        .filter(({ alternatives }) => alternatives.length > 0);
      return { word, said, candidates };
    });
}

function nearestOfRole(id: string, held: readonly string[], pantry: Pantry): string[] {
  const from = pantry.get(id)!;
  const total = (values: Partial<Record<string, { value: number }>>) =>
    Object.values(values).reduce((sum, v) => sum + (v?.value ?? 0), 0);
  const composition = (i: typeof from) => [
    i.abvPercent.value / 10,
    total(i.sugarsGPer100Ml) / 10,
    total(i.acidsGPer100Ml),
  ];
  const here = composition(from);
  const distance = (i: typeof from) => Math.hypot(...composition(i).map((x, k) => x - here[k]!));
  return [...pantry.values()]
    .filter((i) => i.role === from.role && !held.includes(i.id))
    .sort((a, b) => distance(a) - distance(b) || (a.id < b.id ? -1 : 1))
    .slice(0, MOST_ALTERNATIVES)
    .map((i) => i.id);
}
