/** What the habits of the trade are called, where they are listed; nothing here decides anything. */
import type { KeepId } from "../types.ts";
import { joinWords, upperFirst } from "../wording.ts";

/** What a habit means for the drink at hand: names without qualifiers. */
export interface KeepFacts {
  base: string | null;
  accents: readonly string[];
  /** What gives the drink its character, the most of it first. */
  mains: readonly string[];
  /** What keeps two thirds: the mains, and what the drink is named for. */
  keptWhole: readonly string[];
  /** What else seasons it. */
  levers: readonly string[];
  /** What may be let in but is of a kind that the drink has. */
  doubles: readonly string[];
}

/** A habit as a sentence about the drink. */
export function keepText(
  id: KeepId,
  { base, accents, mains, keptWhole, levers, doubles }: KeepFacts,
): string {
  const stays = (names: readonly string[]) => (names.length > 1 ? "stay" : "stays");
  switch (id) {
    case "holds":
      return "Holds in 4 real glasses of 5";
    case "size":
      return "The drink stays within 15 % of its size, and never past a half";
    case "accents":
      return upperFirst(`${joinWords(accents)} ${stays(accents)} as poured`);
    case "mains": {
      const parts = [
        ...(keptWhole.length > 0 ? [`${joinWords(keptWhole)} ${stays(keptWhole)} above two thirds`] : []),
        ...(levers.length > 0 ? [`${joinWords(levers)} above a third`] : []),
      ];
      return `Nothing leaves, and ${parts.join(", ")}`;
    }
    case "order":
      return mains.length > 1
        ? upperFirst(`${joinWords(mains)} keep their order, most first`)
        : upperFirst(`${base ?? mains[0] ?? "the base"} stays the most of what it is now`);
    case "base":
      return upperFirst(`${base ?? "the base spirit"} moves last`);
    case "own-kind":
      return `More of what is in it before ${joinWords(doubles)} ${doubles.length > 1 ? "come" : "comes"} in`;
    case "few":
      return "At most three ingredients change, none beyond 3 oz";
  }
}
