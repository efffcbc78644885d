import { type Sentences, sentenceOf } from "../wording.ts";

/** What was settled while reading an amount, as facts; the sentences are below. */
export type QuantityNote =
  | { code: "decimal-comma"; said: string; amount: number }
  | { code: "comma-for-thousands"; said: string; amount: number }
  | { code: "hedge"; said: string }
  | { code: "over-as-range"; said: string }
  | { code: "added-up"; said: string }
  | { code: "one-implied" };

const SENTENCES: Sentences<QuantityNote> = {
  "decimal-comma": ({ said, amount }) => `“${said}” read with a decimal comma as ${amount}`,
  "comma-for-thousands": ({ said, amount }) => `“${said}” read with a comma for thousands as ${amount}`,
  hedge: ({ said }) => `“${said}” is not measured: the plain amount is used`,
  "over-as-range": ({ said }) => `“${said}” read as a range`,
  "added-up": ({ said }) => `${said} added up`,
  "one-implied": () => "no number given: read as one",
};

/** A note on an amount in words. */
export const quantityNoteText = (note: QuantityNote) => sentenceOf(SENTENCES, note);
