import { csvParseRows } from "d3-dsv";
import type { FieldIssue } from "../engine/errors.ts";
import { type Row, TABLES, type TableName } from "./schema.ts";

/** A checked row and the line of the file it stands on (the header is line 1). */
export interface NumberedRow<T> {
  line: number;
  row: T;
}

/** Where a fault is, as a person finds it in a spreadsheet. */
export const at = (file: string, line: number, column?: string): string =>
  `reference-data/${file}, row ${line}${column ? `, column ${column}` : ""}`;

/**
 * Read one CSV file against its schema. Every fault is pushed to `issues`; faulty rows are
 * left out, so that one run reports all faults of a file.
 */
export function readTable<T extends TableName>(
  file: T,
  text: string,
  issues: FieldIssue[],
): NumberedRow<Row<T>>[] {
  const [header = [], ...body] = csvParseRows(text.replace(/^\uFEFF/, ""));
  const columns = Object.keys(TABLES[file].shape);
  for (const column of columns) {
    if (!header.includes(column)) {
      issues.push({
        pointer: at(file, 1),
        detail: `column ${column} is missing`,
        remedy: "add it to the header",
      });
    }
  }
  for (const [i, column] of header.entries()) {
    if (!columns.includes(column)) {
      issues.push({
        pointer: at(file, 1, column || "(no name)"),
        detail: "unknown column",
        remedy: `use only ${columns.join(", ")}`,
      });
    } else if (header.indexOf(column) !== i) {
      issues.push({ pointer: at(file, 1, column), detail: "column named twice", remedy: "remove one" });
    }
  }
  const rows: NumberedRow<Row<T>>[] = [];
  for (const [i, cells] of body.entries()) {
    const line = i + 2;
    if (cells.length === 1 && cells[0] === "") continue;
    if (cells.some((c) => c.includes("\n"))) {
      issues.push({
        pointer: at(file, line),
        detail: "a cell runs over several lines",
        remedy: "close its quotes, and keep each row on one line",
      });
      break; // row numbers after this would mislead
    }
    if (cells.length !== header.length) {
      issues.push({
        pointer: at(file, line),
        detail: `has ${cells.length} cells, the header has ${header.length}`,
        remedy: "put quotes round cells that hold a comma",
      });
      continue;
    }
    const record = Object.fromEntries(header.map((column, c) => [column, cells[c]!.trim()]));
    const result = TABLES[file].safeParse(record);
    if (result.success) {
      rows.push({ line, row: result.data as Row<T> });
      continue;
    }
    const told = new Set<string>(); // the first fault of a cell says enough
    for (const issue of result.error.issues) {
      // Faults of the header are reported once above, not again for each row.
      const column = String(issue.path[0] ?? "");
      if (issue.code === "unrecognized_keys" || !header.includes(column) || told.has(column)) continue;
      told.add(column);
      issues.push({
        pointer: at(file, line, column),
        detail: `"${record[column]}": ${issue.message}`,
        remedy: "correct this cell",
      });
    }
  }
  return rows;
}
