import { foldedWords } from "../recipe/fold.ts";
import { shortName } from "../wording.ts";

interface Named {
  readonly id: string;
  readonly name: string;
}

/** A region by name: a family's, or the one about a classic. */
export type NamedRange = { kind: "family"; family: string } | { kind: "near"; drink: string };

/**
 * What a question's range words name: the family called just so, or the only one with all of the words ("collins",
 * of "Fizz and Collins"); else the classic called so. Null for none, or for several.
 */
export function rangeNamed(
  said: string,
  families: readonly Named[],
  drinks: readonly Named[],
): NamedRange | null {
  const words = foldedWords(said);
  if (words.length === 0) return null;
  const isCalled = ({ id, name }: Named) =>
    [id, name, shortName(name)].some((text) => foldedWords(text).join(" ") === words.join(" "));
  const holding = families.filter(({ name }) => words.every((word) => foldedWords(name).includes(word)));
  const family = families.find(isCalled) ?? (holding.length === 1 ? holding[0] : undefined);
  if (family) return { kind: "family", family: family.id };
  const drink = drinks.find(isCalled);
  return drink ? { kind: "near", drink: drink.id } : null;
}
