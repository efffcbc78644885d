import { norm3, subtract3 } from "../linalg.ts";
import type { Ingredient, Pantry, Role, Spec, Vec3 } from "../types.ts";
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
  const found = new Map<string, { said: number; roles: readonly Role[] }>();
  for (const { words = [] } of tastings) {
    for (const { id, meaning } of new Set(words.flatMap((w) => tastingWord(w) ?? []))) {
      if (meaning.kind !== "swap") continue;
      found.set(id, { said: (found.get(id)?.said ?? 0) + 1, roles: meaning.roles });
    }
  }
  const poured = [...new Set(spec.lines.map((line) => line.ingredient))];
  const held = poured.flatMap((id) => pantry.get(id) ?? []);
  return [...found]
    .sort(([, a], [, b]) => b.said - a.said)
    .map(([word, { said, roles }]) => {
      const candidates = held
        .filter(({ role }) => roles.includes(role))
        .sort((a, b) => roles.indexOf(a.role) - roles.indexOf(b.role))
        .map((from) => ({ ingredient: from.id, alternatives: nearestOfRole(from, poured, pantry) }))
        .filter(({ alternatives }) => alternatives.length > 0);
      return { word, said, candidates };
    });
}

function nearestOfRole(from: Ingredient, held: readonly string[], pantry: Pantry): string[] {
  const total = (values: Partial<Record<string, { value: number }>>) =>
    Object.values(values).reduce((sum, v) => sum + (v?.value ?? 0), 0);
  const composition = (i: Ingredient): Vec3 => [
    i.abvPercent.value / 10,
    total(i.sugarsGPer100Ml) / 10,
    total(i.acidsGPer100Ml),
  ];
  const here = composition(from);
  const distance = (i: Ingredient) => norm3(subtract3(composition(i), here));
  return [...pantry.values()]
    .filter((i) => i.role === from.role && !held.includes(i.id))
    .sort((a, b) => distance(a) - distance(b) || (a.id < b.id ? -1 : 1))
    .slice(0, MOST_ALTERNATIVES)
    .map((i) => i.id);
}
