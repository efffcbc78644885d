import type { FieldIssue } from "../engine/errors.ts";
import { CAUTION_IDS } from "../engine/ids.ts";
import type { Bench, SpecLine } from "../engine/types.ts";
import { at, type NumberedRow } from "./read-table.ts";
import { DEMO_FILE, type TableName, type Tables } from "./schema.ts";

/** Ids there are, by the file that holds them, and the ingredients that have a piece size. */
export interface Known {
  ids: Record<"ingredients.csv" | "families.csv" | "glasses.csv", ReadonlySet<string>>;
  withPiece: ReadonlySet<string>;
}

type Add = (pointer: string, detail: string, remedy: string) => void;
const adding =
  (issues: FieldIssue[]): Add =>
  (pointer, detail, remedy) => {
    issues.push({ pointer, detail, remedy });
  };

/** What one table says of another: ids are unique, every id referred to exists, every source is used. */
export function checkTables(tables: Tables, issues: FieldIssue[]): Known {
  const add = adding(issues);
  const ids = <T extends TableName>(file: T) =>
    uniqueIds(file, tables[file] as NumberedRow<{ id: string }>[], add);
  const known: Known = {
    ids: {
      "ingredients.csv": ids("ingredients.csv"),
      "families.csv": ids("families.csv"),
      "glasses.csv": ids("glasses.csv"),
    },
    withPiece: new Set(
      tables["quantities.csv"].filter(({ row }) => row.quantity === "piece").map(({ row }) => row.ingredient),
    ),
  };
  ids("drinks.csv");
  ids("balanced.csv");
  ids("bands.csv");
  checkSources(tables, ids("sources.csv"), add);
  const cautionIds = ids("cautions.csv");
  for (const id of CAUTION_IDS) {
    if (!cautionIds.has(id)) add("reference-data/cautions.csv", `has no text for "${id}"`, "write one");
  }
  for (const { line, row } of tables["drinks.csv"]) {
    const where = (column: string) => at("drinks.csv", line, column);
    for (const f of row.families) refer(known, "families.csv", f, where("families"), add);
    refer(known, "glasses.csv", row.glass, where("glass"), add);
    checkLines(row.lines, where("lines"), known, add);
  }
  for (const { line, row } of tables["bands.csv"]) {
    if (row.family) refer(known, "families.csv", row.family, at("bands.csv", line, "family"), add);
  }
  for (const { line, row } of tables["balanced.csv"]) {
    refer(known, "families.csv", row.family, at("balanced.csv", line, "family"), add);
    checkLines(row.lines, at("balanced.csv", line, "lines"), known, add);
  }
  return known;
}

/** The demo bench against the tables: its rounds follow from one another and name what there is. */
export function checkDemo(demo: Bench, known: Known, issues: FieldIssue[]): void {
  const add = adding(issues);
  const pointer = (path: string) => `reference-data/${DEMO_FILE} /${path}`;
  const rounds = new Set<string>();
  const round = (id: string, home: string, where: string) => {
    if (!rounds.has(id)) missing(id, home, where, add);
  };
  for (const [i, r] of demo.rounds.entries()) {
    if (rounds.has(r.id)) {
      add(pointer(`rounds/${i}/id`), `"${r.id}" is there twice`, "give each round its own id");
    }
    if (r.parent !== null) round(r.parent, "the rounds before it", pointer(`rounds/${i}/parent`));
    rounds.add(r.id);
    checkLines(r.spec.lines, pointer(`rounds/${i}/spec/lines`), known, add);
    if (r.spec.glass) refer(known, "glasses.csv", r.spec.glass, pointer(`rounds/${i}/spec/glass`), add);
  }
  round(demo.current, "its rounds", pointer("current"));
  refer(known, "families.csv", demo.target, pointer("target"), add);
}

function uniqueIds(file: string, rows: readonly NumberedRow<{ id: string }>[], add: Add): Set<string> {
  const seen = new Set<string>();
  for (const { line, row } of rows) {
    if (seen.has(row.id)) add(at(file, line, "id"), `"${row.id}" is there twice`, "give each row its own id");
    seen.add(row.id);
  }
  return seen;
}

const CITING = [
  "quantities.csv",
  "disagreements.csv",
  "drinks.csv",
  "bands.csv",
  "glasses.csv",
  "cautions.csv",
] as const;

function checkSources(tables: Tables, known: ReadonlySet<string>, add: Add): void {
  const used = new Set<string>();
  for (const file of CITING) {
    for (const { line, row } of tables[file]) {
      used.add(row.source);
      if (!known.has(row.source)) missing(row.source, "sources.csv", at(file, line, "source"), add);
    }
  }
  for (const { line, row } of tables["sources.csv"]) {
    if (row.used_by === "data" && !used.has(row.id)) {
      add(at("sources.csv", line, "id"), `no row uses "${row.id}"`, "cite it, or remove the row");
    }
  }
}

function checkLines(lines: readonly SpecLine[], pointer: string, known: Known, add: Add): void {
  const seen = new Set<string>();
  for (const l of lines) {
    refer(known, "ingredients.csv", l.ingredient, pointer, add);
    if (seen.has(l.ingredient)) add(pointer, `"${l.ingredient}" is there twice`, "add the amounts up");
    seen.add(l.ingredient);
    if (l.unit === "piece" && !known.withPiece.has(l.ingredient)) {
      add(pointer, `"${l.ingredient}" has no piece size`, "add a piece row to quantities.csv or use mL");
    }
  }
}

function refer(known: Known, home: keyof Known["ids"], id: string, pointer: string, add: Add): void {
  if (!known.ids[home].has(id)) missing(id, home, pointer, add);
}

function missing(id: string, home: string, pointer: string, add: Add): void {
  add(pointer, `"${id}" is not in ${home}`, `add it to ${home} or correct the id`);
}
