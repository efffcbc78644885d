import { foldWord } from "../recipe/fold.ts";

const wordsOf = (text: string) =>
  text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean)
    .map(foldWord);

/**
 * The family that a question's range words name: called just so, or the only one with all of the words ("collins",
 * of "Fizz and Collins"). Null for none, or for several.
 */
export function rangeNamed<F extends { id: string; name: string }>(
  said: string,
  families: readonly F[],
): F | null {
  const words = wordsOf(said);
  if (words.length === 0) return null;
  const called = families.find(({ id, name }) => {
    return [id.replace(/^family:/, ""), name].some((text) => wordsOf(text).join(" ") === words.join(" "));
  });
  if (called) return called;
  const holding = families.filter(({ name }) => words.every((word) => wordsOf(name).includes(word)));
  return holding.length === 1 ? holding[0]! : null;
}
