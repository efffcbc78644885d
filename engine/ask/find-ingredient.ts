import { foldedWords } from "../recipe/fold.ts";
import { readName } from "../recipe/names.ts";
import { indexPantry, type PantryIndex } from "../recipe/pantry-index.ts";
import { settle } from "../recipe/settle.ts";
import { scan } from "../recipe/tokens.ts";
import type { Ingredient, Pantry } from "../types.ts";

/** Why a name in a question stands for no one ingredient. */
export type NameTrouble =
  /** It could be any of these: say which. */
  | { code: "which"; said: string; ids: string[] }
  /** Nothing is called so; these are like it. */
  | { code: "unknown"; said: string; ids: string[] };

export type Found = { id: string } | NameTrouble;

/** Finds what a name in a question stands for. */
export interface Finder {
  (said: string): Found;
  /** The drink's ingredients, each once, in the order of its lines. */
  readonly own: readonly Ingredient[];
  readonly pantry: Pantry;
}

/** Said before a name and no part of it. */
const BEFORE = /^(?:(?:of|the|my|our|this|that|some|any|a|an|more|extra|fresh|its) )+/;
/** Words that join two things said: no name goes on past them, unless it is called so. */
const JOINS = /(?:^| )(?:and|then|or|but|plus)(?: |$)|[,;&+]/;
/** Names offered where one was not understood. */
const MOST_OFFERED = 3;

/** Every word an ingredient goes by: its name's, its id's and its role's. */
function allWords({ name, id, role }: Ingredient): Set<string> {
  return new Set([...foldedWords(name), ...foldedWords(id), ...foldedWords(role)]);
}

/**
 * A finder of ingredients by the names people say in a question about one drink.
 *
 * The drink's own come first: "the syrup" is the one it holds. Where the pantry calls another thing so outright,
 * and it does another job (lime juice, with lime cordial in the glass), it is asked about. Nothing is guessed.
 */
export function createFinder(pantry: Pantry, inDrink: readonly string[]): Finder {
  const index = indexPantry(pantry);
  const own = [...new Set(inDrink)].flatMap((id) => pantry.get(id) ?? []);
  const ownWords = own.map((ingredient) => ({ ingredient, words: allWords(ingredient) }));
  const byName = new Map<string, Ingredient>();
  for (const ingredient of pantry.values()) {
    for (const alias of ingredient.aliases) if (JOINS.test(alias)) byName.set(alias, ingredient);
    byName.set(ingredient.name.toLowerCase(), ingredient);
  }
  const find = (said: string): Found => {
    const clean = said.replace(BEFORE, "").trim();
    const named = byName.get(said.trim()) ?? byName.get(clean);
    if (named && (own.includes(named) || JOINS.test(clean))) return { id: named.id };
    if (clean === "" || JOINS.test(clean)) return { code: "unknown", said: clean, ids: [] };
    const asked = foldedWords(clean);
    const holds = (words: readonly string[]) =>
      ownWords.filter((own) => words.every((w) => own.words.has(w))).map((own) => own.ingredient);
    const plain = settle(readName(scan(clean, "name")), clean, index);
    const fixed = plain.notes.flatMap((n) => (n.code === "respelt" ? [[n.typed, n.taken] as const] : []));
    const mended = asked.map((word) => fixed.find(([typed]) => typed === word)?.[1] ?? word);
    const mine = holds(mended);
    if (mine.length > 1) return { code: "which", said: clean, ids: mine.map((i) => i.id) };
    const [only] = mine;
    const called = plain.status === "read" && plain.from === null ? plain.ingredient : null;
    const meant = named ?? called;
    if (only) return settleOwn(only, meant, clean, mended);
    if (meant) return { id: meant.id };
    return offered(clean, plain, own, index);
  };
  return Object.assign(find, { own, pantry });
}

/** One ingredient of the drink has the word; the pantry may call another one so. */
function settleOwn(
  only: Ingredient,
  meant: Ingredient | null,
  said: string,
  words: readonly string[],
): Found {
  const byRole = words.every((w) => foldedWords(only.role).includes(w));
  if (!meant || meant.id === only.id || meant.role === only.role || byRole) return { id: only.id };
  return { code: "which", said, ids: [only.id, meant.id] };
}

function offered(
  said: string,
  settled: ReturnType<typeof settle>,
  own: readonly Ingredient[],
  index: PantryIndex,
): NameTrouble {
  const ids = settled.candidates.map((c) => c.ingredient).filter((id) => index.pantry.has(id));
  // What the drink holds is likelier to be asked about than what it does not.
  const mine = ids.filter((id) => own.some((i) => i.id === id));
  const first = [...mine, ...ids.filter((id) => !mine.includes(id))].slice(0, MOST_OFFERED);
  const isOpen = settled.status === "choose" && settled.reason.code === "fits-several";
  return { code: isOpen ? "which" : "unknown", said, ids: first };
}
