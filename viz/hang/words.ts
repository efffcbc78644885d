/** The line at the foot of what is hung or sent. */
export const SOURCE_LINE =
  "Sugar, acid (as citric) and alcohol of the finished drink, worked out by Steelyard from the figures and doubts of its pantry. It weighs; it does not taste.";

/** A day as people write it, in the reader's own language. */
export const dayWords = (day: Date): string =>
  day.toLocaleDateString(undefined, { day: "numeric", month: "long", year: "numeric" });
