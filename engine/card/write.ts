import { csvFormatRows } from "d3-dsv";
import type { Pantry } from "../types.ts";
import { pantryOf } from "./make.ts";
import type { Card } from "./types.ts";
import {
  amountWords,
  dilutionWords,
  FIELD_WORDS,
  iceWords,
  methodWords,
  STAGE_WORDS,
  shownWords,
} from "./words.ts";

/** A card's parts in the order they are written. */
interface Written {
  title: string;
  fields: [string, string][];
  lines: string[];
  after: [string, string][];
  shown: [string, string][];
}

function writtenOf(card: Card, pantry: Pantry): Written {
  const { spec, shown } = card;
  const names = pantryOf(card, pantry);
  return {
    title: oneLine(spec.name) || "Untitled",
    fields: [
      [FIELD_WORDS.method, methodWords(spec.method)],
      ...(spec.glass === undefined
        ? []
        : [[FIELD_WORDS.glass, shown?.glass ?? spec.glass] as [string, string]]),
      ...(spec.servedOn === undefined
        ? []
        : [[FIELD_WORDS.servedOn, iceWords(spec.servedOn)] as [string, string]]),
      ...(spec.dilution === undefined
        ? []
        : [[FIELD_WORDS.dilution, dilutionWords(spec.dilution)] as [string, string]]),
    ],
    lines: spec.lines.map((line, i) => {
      const name = names.get(line.ingredient)?.name ?? line.ingredient;
      const stage = line.stage === undefined ? "" : STAGE_WORDS[line.stage];
      return `${amountWords(line, shown?.lines[i])} ${name}${stage}`;
    }),
    after: [
      ...(card.garnish === undefined
        ? []
        : [[FIELD_WORDS.garnish, oneLine(card.garnish)] as [string, string]]),
      ...(card.notes?.split("\n").map((note): [string, string] => [FIELD_WORDS.notes, note]) ?? []),
    ],
    shown: shown ? shownWords(shown) : [],
  };
}

const oneLine = (text: string) => text.replace(/\s+/g, " ").trim();

/**
 * The card as plain text, for print and messages. It is read back by `readCardText` where the pantry knows the
 * names; compositions of one's own travel in JSON, JSON-LD and CSV only.
 */
export function toText(card: Card, pantry: Pantry): string {
  const { title, fields, lines, after, shown } = writtenOf(card, pantry);
  const pairs = (list: [string, string][]) => list.map(([key, value]) => `${key}: ${value}`);
  return `${[title, "", ...pairs(fields), "", ...lines, "", ...pairs(after), ...pairs(shown)].join("\n").trimEnd()}\n`;
}

/** The same as Markdown (CommonMark); signs that Markdown would read are escaped. */
export function toMarkdown(card: Card, pantry: Pantry): string {
  const { title, fields, lines, after, shown } = writtenOf(card, pantry);
  const pairs = (list: [string, string][]) => list.map(([key, value]) => `- **${key}:** ${escaped(value)}`);
  const parts = [
    `# ${escaped(title)}`,
    lines.map((line) => `- ${escaped(line)}`).join("\n"),
    [...pairs(fields), ...pairs(after), ...pairs(shown)].join("\n"),
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

/**
 * The card as CSV (RFC 4180, UTF-8, decimal point): one row a fact. Texts that a spreadsheet would run as a formula
 * begin with an apostrophe, which the reader takes off again.
 */
export function toCsv(card: Card, pantry: Pantry): string {
  const { spec, shown } = card;
  const names = pantryOf(card, pantry);
  const row = (cells: Partial<Record<(typeof CSV_COLUMNS)[number], string | number | undefined>>) =>
    CSV_COLUMNS.map((column) => cellText(cells[column]));
  const field = (key: string, text: string | undefined) =>
    text === undefined ? [] : [row({ record: "card", key, text })];
  const figure = (key: string, f: { value: number; sd: number }, unit: string) =>
    row({ record: "figure", key, amount: f.value, unit, sd: f.sd });
  return csvFormatRows([
    [...CSV_COLUMNS],
    ...field("form", card.form),
    ...field("name", spec.name),
    ...field("method", spec.method),
    ...field("glass", spec.glass),
    ...field("served_on", spec.servedOn),
    ...field("dilution", spec.dilution && JSON.stringify(spec.dilution)),
    ...field("garnish", card.garnish),
    ...field("notes", card.notes),
    ...field("unit_settings", card.unitSettings && JSON.stringify(card.unitSettings)),
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
