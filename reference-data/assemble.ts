import { EngineError, type FieldIssue } from "../engine/errors.ts";
import type { Bench, Interval, PublishedBand, ReferenceData } from "../engine/types.ts";
import { checkDemo, checkTables } from "./check.ts";
import { deepFreeze } from "./deep-freeze.ts";
import { pantryOf } from "./pantry.ts";
import { readTable } from "./read-table.ts";
import { DEMO_FILE, demoFile, type Row, TABLES, type TableName, type Tables } from "./schema.ts";

/** Names of all reference files. */
export const REFERENCE_FILES = [...(Object.keys(TABLES) as TableName[]), DEMO_FILE] as const;
export type ReferenceFile = (typeof REFERENCE_FILES)[number];

/**
 * Turn the text of the reference files into checked data. Needs no file system, so that a build may carry
 * the texts along.
 *
 * Throws: EngineError listing every fault by file, row and column, with a remedy.
 */
export function assembleReferenceData(files: Record<ReferenceFile, string>): ReferenceData {
  const issues: FieldIssue[] = [];
  const tables = Object.fromEntries(
    (Object.keys(TABLES) as TableName[]).map((file) => [file, readTable(file, files[file], issues)]),
  ) as Tables;
  const demo = readDemo(files[DEMO_FILE], issues);
  // A row with a bad cell is missing from here on: what else it upsets would only hide the cause.
  if (issues.length > 0 || !demo) throw new EngineError(issues);

  const known = checkTables(tables, issues);
  const pantry = pantryOf(tables, issues);
  checkDemo(demo, known, issues);
  if (issues.length > 0) throw new EngineError(issues);

  return deepFreeze({
    pantry,
    drinks: rowsOf(tables, "drinks.csv").map(
      ({ id, name, families, era, method, glass, lines, ...rest }) => ({
        id,
        name,
        families,
        era,
        spec: { name, method, glass, lines },
        ...provenance(rest),
      }),
    ),
    families: rowsOf(tables, "families.csv"),
    balanced: rowsOf(tables, "balanced.csv").map(({ id, family, method, lines }) => ({
      id,
      family,
      spec: { name: id, method, lines },
    })),
    bands: rowsOf(tables, "bands.csv").map(bandOf),
    glasses: rowsOf(tables, "glasses.csv").map((row) => ({
      id: row.id,
      name: row.name,
      washLineMl: row.wash_line_ml,
      brimMl: row.brim_ml,
      iceMl: row.ice_ml,
      source: row.source,
    })),
    sources: rowsOf(tables, "sources.csv").map(({ id, title, citation, evidence, note }) => ({
      id,
      title,
      citation,
      evidence,
      ...(note ? { note } : {}),
    })),
    cautions: rowsOf(tables, "cautions.csv"),
    demo,
  });
}

function readDemo(text: string, issues: FieldIssue[]): Bench | undefined {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    issues.push({
      pointer: `reference-data/${DEMO_FILE}`,
      detail: (error as Error).message,
      remedy: "correct the JSON",
    });
    return undefined;
  }
  const parsed = demoFile.safeParse(json);
  for (const i of parsed.error?.issues ?? []) {
    issues.push({
      pointer: `reference-data/${DEMO_FILE} /${i.path.join("/")}`,
      detail: i.message,
      remedy: "correct this field",
    });
  }
  return parsed.data;
}

const rowsOf = <T extends TableName>(tables: Tables, file: T): Row<T>[] => tables[file].map(({ row }) => row);

/** Where a row came from, without the keys it leaves empty. */
const provenance = ({
  source,
  memory,
  note,
}: {
  source: string;
  memory?: true | undefined;
  note?: string | undefined;
}) => ({
  source,
  ...(memory ? { memory } : {}),
  ...(note ? { note } : {}),
});

function bandOf(row: Row<"bands.csv">): PublishedBand {
  const interval = (min: number | null, max: number | null): Interval | undefined =>
    min === null && max === null ? undefined : [min, max];
  const sugarGPer100Ml = interval(row.sugar_min, row.sugar_max);
  const acidGPer100Ml = interval(row.acid_min, row.acid_max);
  const abvPercent = interval(row.abv_min, row.abv_max);
  return {
    id: row.id,
    name: row.name,
    method: row.method,
    ...(row.family ? { family: row.family } : {}),
    target: {
      kind: "box",
      name: row.name,
      ...(sugarGPer100Ml ? { sugarGPer100Ml } : {}),
      ...(acidGPer100Ml ? { acidGPer100Ml } : {}),
      ...(abvPercent ? { abvPercent } : {}),
    },
    ...provenance(row),
  };
}
