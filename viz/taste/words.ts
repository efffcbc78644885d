import type { Mark, MarkName } from "../../engine/taste/types.ts";
import { TASTING_WORDS, type WordMeaning } from "../../engine/taste/vocabulary.ts";

/** The nine points of liking (D. Peryam and F. Pilgrim, Food Technology 11, 1957; wording as in common use). */
export const LIKING_WORDS = [
  "dislike extremely",
  "dislike very much",
  "dislike moderately",
  "dislike slightly",
  "neither like nor dislike",
  "like slightly",
  "like moderately",
  "like very much",
  "like extremely",
] as const;

/** What is marked, as it is asked. */
export const MARKS: readonly { name: MarkName; title: string }[] = [
  { name: "sweet", title: "Sweetness" },
  { name: "sour", title: "Sourness" },
  { name: "strong", title: "Strength" },
];

/** A just-about-right mark in words. */
export const MARK_WORDS: readonly { mark: Mark; words: string; short: string }[] = [
  { mark: -2, words: "much too little", short: "−−" },
  { mark: -1, words: "a little too little", short: "−" },
  { mark: 0, words: "just about right", short: "right" },
  { mark: 1, words: "a little too much", short: "+" },
  { mark: 2, words: "much too much", short: "++" },
];

export const markWords = (mark: Mark): string => MARK_WORDS.find((entry) => entry.mark === mark)!.words;

const GROUPS: readonly { kind: WordMeaning["kind"]; title: string }[] = [
  { kind: "move", title: "Out of balance" },
  { kind: "swap", title: "Wrong in another way" },
  { kind: "praise", title: "Good" },
];

/** The trade words to tick, by what they say. */
export const WORD_GROUPS = GROUPS.map(({ kind, title }) => ({
  title,
  words: TASTING_WORDS.filter((word) => word.meaning.kind === kind).map(({ id }) => id),
}));

/** A word's id as people read it. */
export const wordText = (id: string): string => id.replace(/-/g, " ");

/** Read to whoever tastes, before the first sip. */
export const BEFORE_TASTING =
  "Ask whoever pours if in doubt, and leave out any glass. It holds alcohol: small sips, water between them; spitting is usual. Stop whenever you like. No tasting before driving.";

/** Why what was said is not with the server yet. */
export const NOT_SENT = {
  offline: "No answer from the server. What you marked is kept on this device and sent when it answers.",
  closed: "This flight is closed; the marks were not taken.",
  revoked: "This link is no longer good. Ask for a new one.",
} as const;

export const percent = (chance: number): string => {
  const whole = Math.round(100 * chance);
  return whole < 1 ? "under 1 %" : whole > 99 ? "over 99 %" : `${whole} %`;
};
