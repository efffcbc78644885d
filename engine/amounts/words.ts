import { type FactsOf, sentenceOf } from "../wording.ts";

/** The text's own words. */
type Written = { said: string };
type WithComma = Written & { amount: number };

const SENTENCES = {
  "decimal-comma": ({ said, amount }: WithComma) => `“${said}” read with a decimal comma as ${amount}`,
  "comma-for-thousands": ({ said, amount }: WithComma) =>
    `“${said}” read with a comma for thousands as ${amount}`,
  hedge: ({ said }: Written) => `“${said}” is not measured: the plain amount is used`,
  "over-as-range": ({ said }: Written) => `“${said}” read as a range`,
  "added-up": ({ said }: Written) => `${said} added up`,
  "one-implied": () => "no number given: read as one",
};

/** What was settled while reading an amount, as facts. */
export type QuantityNote = FactsOf<typeof SENTENCES>;

/** A note on an amount in words. */
export const quantityNoteText = (note: QuantityNote) => sentenceOf(SENTENCES, note);
