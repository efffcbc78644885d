import type { BatchMoment } from "../../engine/batch/plan.ts";
import type { CardFormat } from "../../engine/card/read.ts";

/** The ways to hand a card over, in the order they are offered. */
export const FORMS: readonly { format: CardFormat; name: string; ending: string; type: string }[] = [
  { format: "text", name: "Plain text", ending: "txt", type: "text/plain" },
  { format: "markdown", name: "Markdown", ending: "md", type: "text/markdown" },
  { format: "csv", name: "CSV, for a spreadsheet", ending: "csv", type: "text/csv" },
  { format: "json", name: "JSON, exact", ending: "card.json", type: "application/json" },
  {
    format: "json-ld",
    name: "JSON-LD, a schema.org Recipe",
    ending: "recipe.json",
    type: "application/ld+json",
  },
];

/** Which form a text is in. */
export function formOf(text: string): CardFormat {
  const start = text.trimStart();
  if (start.startsWith("{")) return /"@type"\s*:/.test(start) ? "json-ld" : "json";
  if (/^"?record"?,/.test(start)) return "csv";
  return start.startsWith("# ") ? "markdown" : "text";
}

/** When each part of a batch goes in. */
export const MOMENTS: readonly { when: BatchMoment; name: string }[] = [
  { when: "base", name: "Days ahead" },
  { when: "last", name: "Last, on the day" },
  { when: "serve", name: "With each serve" },
];

/** Litres and millilitres as a jug shows them, and the mass beside it. */
export const jugWords = (ml: number): string =>
  ml >= 1000 ? `${Number((ml / 1000).toFixed(3))} L` : `${Number(ml.toFixed(1))} mL`;
