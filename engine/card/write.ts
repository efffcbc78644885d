import { csvFormatRows } from "d3-dsv";
import { METHODS } from "../dilution/methods.ts";
import type { Pantry, Spec } from "../types.ts";
import { pantryOf } from "./make.ts";
import type { Card, Doubted } from "./types.ts";
import {
  amountWords,
  dilutionWords,
  FIELD_WORDS,
  ICE_WORDS,
  STAGE_WORDS,
  shownWords,
  written,
} from "./words.ts";

/** A card's parts in the order they are written. */
function partsOf(card: Card, pantry: Pantry) {
  const { spec, shown } = card;
  const names = pantryOf(card, pantry);
  return {
    title: oneLine(spec.name) || "Untitled",
    fields: written(
      [FIELD_WORDS.method, METHODS[spec.method].name],
      [FIELD_WORDS.glass, spec.glass === undefined ? undefined : (shown?.glass ?? spec.glass)],
      [FIELD_WORDS.servedOn, spec.servedOn && ICE_WORDS[spec.servedOn]],
      [FIELD_WORDS.dilution, spec.dilution && dilutionWords(spec.dilution)],
    ),
    lines: spec.lines.map((line, i) => {
      const name = names.get(line.ingredient)?.name ?? line.ingredient;
      const stage = line.stage === undefined ? "" : STAGE_WORDS[line.stage];
      return `${amountWords(line, shown?.lines[i])} ${name}${stage}`;
    }),
    after: written(
      [FIELD_WORDS.garnish, card.garnish === undefined ? undefined : oneLine(card.garnish)],
      ...(card.notes?.split("\n").map((note): [string, string] => [FIELD_WORDS.notes, note]) ?? []),
      ...(shown ? shownWords(shown) : []),
    ),
  };
}

const oneLine = (text: string) => text.replace(/\s+/g, " ").trim();

/**
 * The card as plain text, for print and messages. It is read back by `readCard` where the pantry knows the
 * names; compositions of one's own travel in JSON, JSON-LD and CSV only.
 */
export function toText(card: Card, pantry: Pantry): string {
  const { title, fields, lines, after } = partsOf(card, pantry);
  const pairs = (list: [string, string][]) => list.map(([key, value]) => `${key}: ${value}`);
  return `${[title, "", ...pairs(fields), "", ...lines, "", ...pairs(after)].join("\n").trimEnd()}\n`;
}

/** The same as Markdown (CommonMark); signs that Markdown would read are escaped. */
export function toMarkdown(card: Card, pantry: Pantry): string {
  const { title, fields, lines, after } = partsOf(card, pantry);
  const pairs = (list: [string, string][]) => list.map(([key, value]) => `- **${key}:** ${escaped(value)}`);
  const parts = [
    `# ${escaped(title)}`,
    lines.map((line) => `- ${escaped(line)}`).join("\n"),
    [...pairs(fields), ...pairs(after)].join("\n"),
  ];
  return `${parts.join("\n\n")}\n`;
}

const escaped = (text: string) => text.replace(/[\\`*_[\]<>#|~&]/g, "\\$&");

/** Columns of a card in CSV; units stand in the names or in their own column. */
export const CSV_COLUMNS = [
  "record",
  "key",
  "text",
  "amount",
  "unit",
  "stage",
  "ml",
  "us_fl_oz",
  "sd",
] as const;

type CsvField = ({ of: "card"; field: keyof Card } | { of: "spec"; field: keyof Spec }) & {
  key: string;
  isJson?: true;
};

/** Facts of a card that have a row of their own in CSV: their key there, and where they stand in the card. */
export const CSV_FIELDS: readonly CsvField[] = [
  { key: "form", of: "card", field: "form" },
  { key: "name", of: "spec", field: "name" },
  { key: "method", of: "spec", field: "method" },
  { key: "glass", of: "spec", field: "glass" },
  { key: "served_on", of: "spec", field: "servedOn" },
  { key: "dilution", of: "spec", field: "dilution", isJson: true },
  { key: "garnish", of: "card", field: "garnish" },
  { key: "notes", of: "card", field: "notes" },
  { key: "unit_settings", of: "card", field: "unitSettings", isJson: true },
];

/**
 * The card as CSV (RFC 4180, UTF-8, decimal point): one row a fact. Texts that a spreadsheet would run as a formula
 * begin with an apostrophe, which the reader takes off again.
 */
export function toCsv(card: Card, pantry: Pantry): string {
  const { spec, shown } = card;
  const names = pantryOf(card, pantry);
  const row = (cells: Partial<Record<(typeof CSV_COLUMNS)[number], string | number | undefined>>) =>
    CSV_COLUMNS.map((column) => cellText(cells[column]));
  const held: Record<"card" | "spec", Record<string, unknown>> = { card: { ...card }, spec: { ...spec } };
  const figure = (key: string, f: Doubted, unit: string) =>
    row({ record: "figure", key, amount: f.value, unit, sd: f.sd });
  return csvFormatRows([
    [...CSV_COLUMNS],
    ...CSV_FIELDS.flatMap(({ key, of, field, isJson }) => {
      const value = held[of][field];
      if (value === undefined) return [];
      return [row({ record: "card", key, text: isJson ? JSON.stringify(value) : String(value) })];
    }),
    ...spec.lines.map((line, i) =>
      row({
        record: "line",
        key: line.ingredient,
        text: names.get(line.ingredient)?.name ?? "",
        amount: line.amount,
        unit: line.unit,
        stage: line.stage,
        ml: shown?.lines[i]?.ml,
        us_fl_oz: shown?.lines[i]?.usFlOz,
      }),
    ),
    ...(card.ingredients ?? []).map((i) => row({ record: "ingredient", key: i.id, text: JSON.stringify(i) })),
    ...(shown
      ? [
          figure("finished_volume", shown.finishedVolumeMl, "mL"),
          figure("abv", shown.abvPercent, "% vol"),
          figure("sugar", shown.sugarGPer100Ml, "g/100 mL"),
          figure("acid", shown.acidGPer100Ml, "g/100 mL"),
          row({ record: "shown", key: "allergens", text: shown.allergens.join("; ") }),
          row({ record: "shown", key: "cautions", text: shown.cautions.join("; ") }),
          ...(shown.cost === null ? [] : [row({ record: "shown", key: "cost", amount: shown.cost })]),
          ...(shown.price === null ? [] : [row({ record: "shown", key: "price", amount: shown.price })]),
        ]
      : []),
  ]);
}

/** Signs with which a spreadsheet takes a cell for a formula (OWASP's list; the full-width ones too). */
const FORMULA = /^['=+\-@\t\r\n＝＋－＠]/;

function cellText(value: string | number | undefined): string {
  if (value === undefined) return "";
  if (typeof value === "number") return String(value);
  return FORMULA.test(value) ? `'${value}` : value;
}

/** The card as JSON, whole; its schema is published as reference-data/card.schema.json. */
export function toJson(card: Card): string {
  return `${JSON.stringify(card, null, 2)}\n`;
}
