/** What was settled while reading an amount, as facts; the sentences are below. */
export type QuantityNote =
  | { code: "decimal-comma" | "comma-for-thousands"; said: string; amount: number }
  | { code: "hedge"; said: string }
  | { code: "over-as-range"; said: string }
  | { code: "added-up"; said: string }
  | { code: "one-implied" };

/** A note on an amount in words. */
export function quantityNoteText(note: QuantityNote): string {
  switch (note.code) {
    case "decimal-comma":
      return `“${note.said}” read with a decimal comma as ${note.amount}`;
    case "comma-for-thousands":
      return `“${note.said}” read with a comma for thousands as ${note.amount}`;
    case "hedge":
      return `“${note.said}” is not measured: the plain amount is used`;
    case "over-as-range":
      return `“${note.said}” read as a range`;
    case "added-up":
      return `${note.said} added up`;
    case "one-implied":
      return "no number given: read as one";
  }
}
