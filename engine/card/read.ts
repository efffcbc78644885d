import { csvParseRows } from "d3-dsv";
import { fail, Issues, under } from "../errors.ts";
import { STAGE_IDS } from "../ids.ts";
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
import { CSV_COLUMNS, CSV_FIELDS } from "./write.ts";

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
      return { card: check(cardShape, parsed(text)), unread: [] };
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
  return { card: under("/encoding/text", () => check(cardShape, parsed(text))), unread: [] };
}

function readCsv(text: string): ReadCard {
  const [header = [], ...body] = csvParseRows(text.replace(/^\uFEFF/, ""));
  const missing = CSV_COLUMNS.filter((column) => !header.includes(column));
  if (missing.length > 0) {
    fail("/header", `column ${missing.join(", ")} is missing`, `keep the columns ${CSV_COLUMNS.join(", ")}`);
  }
  const lines: unknown[] = [];
  const spec: Record<string, unknown> = { lines };
  const card: Record<string, unknown> = { form: CARD_FORM, spec };
  const held = { card, spec };
  const ingredients: unknown[] = [];
  const unread: string[] = [];
  body.forEach((cells, i) => {
    const cell = (column: (typeof CSV_COLUMNS)[number]) =>
      (cells[header.indexOf(column)] ?? "").replace(/^'/, "");
    const json = () => under(`/row ${i + 2}`, () => parsed(cell("text")));
    const key = cell("key");
    switch (cell("record")) {
      case "card": {
        const known = CSV_FIELDS.find((field) => field.key === key);
        if (known) held[known.of][known.field] = known.isJson ? json() : cell("text");
        else unread.push(cells.join(","));
        break;
      }
      case "line":
        lines.push({
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
  return { card: check(cardShape, card), unread };
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
  const card: Pick<Card, "garnish" | "notes"> = {};
  const unread: string[] = [];
  const issues = new Issues();
  lines.forEach((line, i) => {
    if (line.trim() === "") return;
    if (spec.name === undefined) {
      spec.name = line;
      return;
    }
    const amount = readAmount(line);
    if (amount) {
      const stage = STAGE_IDS.find((s) => amount.rest.endsWith(STAGE_WORDS[s]));
      const name = stage ? amount.rest.slice(0, -STAGE_WORDS[stage].length) : amount.rest;
      const ingredient = byName.get(name);
      if (ingredient === undefined) {
        const remedy = "add it to the pantry first, or read the card as JSON, which carries it";
        issues.add(`/line ${i + 1}`, `"${name}" is not in this pantry`, remedy);
        return;
      }
      const { amount: value, unit } = amount;
      spec.lines.push({ ingredient, amount: value, unit, ...(stage && { stage }) });
      return;
    }
    const [, key, value] = /^([^:]+): (.*)$/.exec(line) ?? [];
    if (key === undefined || !readField(key, value!, spec, card, glasses)) unread.push(line);
  });
  issues.throwAny();
  return { card: check(cardShape, { form: CARD_FORM, spec, ...card }), unread };
}

/** Fields of a spec in words, by name, and how each is read; what is not in our words gives nothing. */
const SPEC_FIELDS = new Map<string, [keyof Spec, (text: string, glasses: readonly Glass[]) => unknown]>([
  [FIELD_WORDS.method, ["method", readMethod]],
  [FIELD_WORDS.glass, ["glass", (text, all) => all.find((g) => g.name === text || g.id === text)?.id]],
  [FIELD_WORDS.servedOn, ["servedOn", readIce]],
  [FIELD_WORDS.dilution, ["dilution", readDilution]],
]);
const NOT_READ_BACK: ReadonlySet<string> = new Set(Object.values(SHOWN_WORDS));

/** Put a written field where it belongs; false where it is none, or its words are not ours. */
function readField(
  key: string,
  value: string,
  spec: Partial<Spec>,
  card: Pick<Card, "garnish" | "notes">,
  glasses: readonly Glass[],
): boolean {
  if (key === FIELD_WORDS.garnish) card.garnish = value;
  else if (key === FIELD_WORDS.notes)
    card.notes = card.notes === undefined ? value : `${card.notes}\n${value}`;
  else {
    const [field, read] = SPEC_FIELDS.get(key) ?? [];
    const found = read?.(value, glasses);
    if (!field || !found) return NOT_READ_BACK.has(key);
    Object.assign(spec, { [field]: found });
  }
  return true;
}
