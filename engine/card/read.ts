import { csvParseRows } from "d3-dsv";
import { EngineError, type FieldIssue, fail, under } from "../errors.ts";
import { cardShape } from "../shapes/card.ts";
import { check, isObject } from "../shapes/check.ts";
import type { Glass, Pantry, Spec, SpecLine } from "../types.ts";
import { CARD_FORM, type Card } from "./types.ts";
import {
  FIELD_WORDS,
  readAmount,
  readDilution,
  readIce,
  readMethod,
  SHOWN_WORDS,
  STAGE_WORDS,
} from "./words.ts";
import { CSV_COLUMNS } from "./write.ts";

/** A card as read, and what stood there that is no part of a card. */
export interface ReadCard {
  card: Card;
  unread: string[];
}

/** Formats a card is written and read in. */
export const CARD_FORMATS = ["text", "markdown", "csv", "json", "json-ld"] as const;
export type CardFormat = (typeof CARD_FORMATS)[number];

/** What names are looked up in. */
export interface CardShelf {
  pantry: Pantry;
  glasses: readonly Glass[];
}

/** A card of more than this is no card, characters. */
const LONGEST_CARD = 500_000;

/**
 * Read a card in any of its formats. The point is worked out anew from what is read, never taken from the card.
 *
 * @throws EngineError naming each bad field or line, with a remedy
 */
export function readCard(format: CardFormat, text: string, shelf: CardShelf): ReadCard {
  if (text.length > LONGEST_CARD) {
    fail("/text", `${text.length} characters are no card`, `give at most ${LONGEST_CARD}`);
  }
  switch (format) {
    case "json":
      return { card: cardOf(parsed(text)), unread: [] };
    case "json-ld":
      return readJsonLd(parsed(text));
    case "csv":
      return readCsv(text);
    case "markdown":
      return readLines(text.split(/\r?\n/).map(unmarked), shelf);
    case "text":
      return readLines(text.split(/\r?\n/), shelf);
  }
}

function cardOf(value: unknown): Card {
  return check(cardShape, value);
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return fail("/text", "this is no JSON", "paste the whole card, from the first brace to the last");
  }
}

function readJsonLd(value: unknown): ReadCard {
  const encoding = isObject(value) ? value.encoding : undefined;
  const text = isObject(encoding) ? encoding.text : undefined;
  if (typeof text !== "string") {
    fail(
      "/encoding/text",
      "this Recipe carries no card",
      "give one that was exported here, or paste its text",
    );
  }
  return { card: under("/encoding/text", () => cardOf(parsed(text))), unread: [] };
}

const FIELDS_OF_CSV = {
  name: "name",
  method: "method",
  glass: "glass",
  served_on: "servedOn",
  dilution: "dilution",
} as const;

function readCsv(text: string): ReadCard {
  const [header = [], ...body] = csvParseRows(text.replace(/^\uFEFF/, ""));
  const missing = CSV_COLUMNS.filter((column) => !header.includes(column));
  if (missing.length > 0) {
    fail("/header", `column ${missing.join(", ")} is missing`, `keep the columns ${CSV_COLUMNS.join(", ")}`);
  }
  const spec: Record<string, unknown> = { lines: [] };
  const card: Record<string, unknown> = { form: CARD_FORM, spec };
  const ingredients: unknown[] = [];
  const unread: string[] = [];
  body.forEach((cells, i) => {
    const cell = (column: (typeof CSV_COLUMNS)[number]) =>
      (cells[header.indexOf(column)] ?? "").replace(/^'/, "");
    const json = () => under(`/row ${i + 2}`, () => parsed(cell("text")));
    const key = cell("key");
    switch (cell("record")) {
      case "card":
        if (key === "form") card.form = cell("text");
        else if (key === "dilution") spec.dilution = json();
        else if (key === "unit_settings") card.unitSettings = json();
        else if (key === "garnish" || key === "notes") card[key] = cell("text");
        else if (key in FIELDS_OF_CSV) spec[FIELDS_OF_CSV[key as keyof typeof FIELDS_OF_CSV]] = cell("text");
        else unread.push(cells.join(","));
        break;
      case "line":
        (spec.lines as unknown[]).push({
          ingredient: key,
          amount: cell("amount") === "" ? undefined : Number(cell("amount")),
          unit: cell("unit"),
          ...(cell("stage") !== "" && { stage: cell("stage") }),
        });
        break;
      case "ingredient":
        ingredients.push(json());
        break;
      case "figure":
      case "shown":
        break;
      default:
        if (cells.some((c) => c !== "")) unread.push(cells.join(","));
    }
  });
  if (ingredients.length > 0) card.ingredients = ingredients;
  return { card: cardOf(card), unread };
}

/** A line of Markdown as it stands in plain text. */
function unmarked(line: string): string {
  return line
    .replace(/^# /, "")
    .replace(/^- (?:\*\*(.+?):\*\* )?/, (_all, key?: string) => (key === undefined ? "" : `${key}: `))
    .replace(/\\([\\`*_[\]<>#|~&])/g, "$1");
}

function readLines(lines: readonly string[], { pantry, glasses }: CardShelf): ReadCard {
  const byName = new Map([...pantry.values()].map((i) => [i.name, i.id]));
  const spec: Partial<Spec> & { lines: SpecLine[] } = { lines: [] };
  const card: { garnish?: string; notes?: string } = {};
  const unread: string[] = [];
  const issues: FieldIssue[] = [];
  lines.forEach((line, i) => {
    if (line.trim() === "") return;
    if (spec.name === undefined) {
      spec.name = line;
      return;
    }
    const at = `/line ${i + 1}`;
    const amount = readAmount(line);
    if (amount) {
      const stage = (["top", "mix"] as const).find((s) => amount.rest.endsWith(STAGE_WORDS[s]));
      const name = stage ? amount.rest.slice(0, -STAGE_WORDS[stage].length) : amount.rest;
      const ingredient = byName.get(name);
      if (ingredient === undefined) {
        issues.push({
          pointer: at,
          detail: `"${name}" is not in this pantry`,
          remedy: "add it to the pantry first, or read the card as JSON, which carries it",
        });
        return;
      }
      const { amount: value, unit } = amount;
      spec.lines.push({ ingredient, amount: value, unit, ...(stage && { stage }) });
      return;
    }
    const [, key, value] = /^([^:]+): (.*)$/.exec(line) ?? [];
    if (key === undefined || !readField(key, value!, spec, card, glasses)) unread.push(line);
  });
  if (issues.length > 0) throw new EngineError(issues);
  return { card: cardOf({ form: CARD_FORM, spec, ...card }), unread };
}

/** Put a written field where it belongs; false where it is none, or its words are not ours. */
function readField(
  key: string,
  value: string,
  spec: Partial<Spec>,
  card: { garnish?: string; notes?: string },
  glasses: readonly Glass[],
): boolean {
  const put = <K extends keyof Spec>(field: K, read: Spec[K] | null | undefined): boolean => {
    if (read === null || read === undefined) return false;
    spec[field] = read;
    return true;
  };
  switch (key) {
    case FIELD_WORDS.method:
      return put("method", readMethod(value));
    case FIELD_WORDS.glass:
      return put("glass", glasses.find((g) => g.name === value || g.id === value)?.id);
    case FIELD_WORDS.servedOn:
      return put("servedOn", readIce(value));
    case FIELD_WORDS.dilution:
      return put("dilution", readDilution(value));
    case FIELD_WORDS.garnish:
      card.garnish = value;
      return true;
    case FIELD_WORDS.notes:
      card.notes = card.notes === undefined ? value : `${card.notes}\n${value}`;
      return true;
    default:
      return (Object.values(SHOWN_WORDS) as string[]).includes(key);
  }
}
