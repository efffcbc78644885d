import { foldedWords } from "../recipe/fold.ts";

/**
 * The family that a question's range words name: called just so, or the only one with all of the words ("collins",
 * of "Fizz and Collins"). Null for none, or for several.
 */
export function rangeNamed<F extends { id: string; name: string }>(
  said: string,
  families: readonly F[],
): F | null {
  const words = foldedWords(said);
  if (words.length === 0) return null;
  const called = families.find(({ id, name }) => {
    return [id.replace(/^family:/, ""), name].some((text) => foldedWords(text).join(" ") === words.join(" "));
  });
  if (called) return called;
  const holding = families.filter(({ name }) => words.every((word) => foldedWords(name).includes(word)));
  return holding.length === 1 ? holding[0]! : null;
}
