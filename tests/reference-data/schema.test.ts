import { csvFormatRows, csvParseRows } from "d3";
import { describe, expect, it } from "vitest";
import { EngineError, type FieldIssue } from "../../engine/errors.ts";
import { assembleReferenceData, type ReferenceFile } from "../../reference-data/assemble.ts";
import { loadReferenceData, readReferenceFiles } from "../../reference-data/load.ts";

const good = readReferenceFiles();

/** Issues after one edit; the edit must really change the file. */
function faultsOf(file: ReferenceFile, edit: (text: string) => string): readonly FieldIssue[] {
  const edited = edit(good[file]);
  expect(edited, "the edit must change the file").not.toBe(good[file]);
  try {
    assembleReferenceData({ ...good, [file]: edited });
  } catch (error) {
    expect(error).toBeInstanceOf(EngineError);
    return (error as EngineError).issues;
  }
  return [];
}

type Rows = string[][];
const onRows = (edit: (rows: Rows) => Rows) => (text: string) => csvFormatRows(edit(csvParseRows(text)));
const has = (row: string[], key: string) => key.split(",").every((k, i) => row[i] === k);
/** Replace one cell of the rows whose first cells are `key`. */
const cell = (key: string, column: number, value: string) =>
  onRows((rows) => rows.map((row) => (has(row, key) ? row.with(column, value) : row)));
const dropRow = (key: string) => onRows((rows) => rows.filter((row) => !has(row, key)));
const append = (row: string) => (text: string) => `${text.trimEnd()}\n${row}\n`;
const header =
  (edit: (h: string) => string) =>
  (text: string): string => {
    const [first, ...rest] = text.split("\n");
    return [edit(first!), ...rest].join("\n");
  };

const json = (edit: (bench: { rounds: Record<string, unknown>[] } & Record<string, unknown>) => void) => {
  return (text: string) => {
    const bench = JSON.parse(text);
    edit(bench);
    return JSON.stringify(bench);
  };
};

const Q = "quantities.csv";
// [what is wrong, file, edit, where the error must point, words it must hold]
const CASES: [string, ReferenceFile, (t: string) => string, RegExp, RegExp][] = [
  ["an unknown column", Q, header((h) => `${h},colour`), /row 1, column colour/, /unknown column/],
  ["a missing column", Q, header((h) => h.replace(",sd,", ",spread,")), /row 1/, /column sd is missing/],
  ["a column named twice", Q, header((h) => h.replace("note", "source")), /column source/, /named twice/],
  [
    "a row with a cell too many",
    Q,
    append("honey,malic,1,g/100 mL,1,our-estimate,,,x"),
    /row \d+/,
    /9 cells/,
  ],
  [
    "a cell over two lines",
    Q,
    append('honey,malic,1,g/100 mL,1,our-estimate,,"a\nb"'),
    /row \d+/,
    /several lines/,
  ],
  ["a value that is no number", Q, cell("gin,abv", 2, "forty"), /row \d+, column value/, /plain number/],
  ["a decimal comma", Q, cell("gin,abv", 2, "40,5"), /column value/, /plain number/],
  ["a negative value", Q, cell("gin,abv", 2, "-40"), /column value/, />=0|too small/i],
  ["a strength above 100", Q, cell("gin,abv", 2, "400"), /column value/, /above 100/],
  ["an endless uncertainty", Q, cell("gin,abv", 4, "Infinity"), /column sd/, /exact/],
  ["an uncertainty of 0", Q, cell("gin,abv", 4, "0"), /column sd/, /exact/],
  ["a negative uncertainty", Q, cell("gin,abv", 4, "-0.1"), /column sd/, /exact/],
  ["an empty uncertainty", Q, cell("gin,abv", 4, ""), /column sd/, /exact/],
  ["an empty source", Q, cell("gin,abv", 5, ""), /column source/, /./],
  ["a source that is not listed", Q, cell("gin,abv", 5, "a-friend"), /column source/, /sources\.csv/],
  ["the wrong unit", Q, cell("gin,abv", 3, "proof"), /column unit/, /unit of this quantity/],
  ["grams per 100 mL for a density", Q, cell("honey,density", 3, "g/100 mL"), /column unit/, /unit of this/],
  ["an unknown quantity", Q, cell("gin,abv", 1, "strength"), /column quantity/, /./],
  ["memory other than yes", Q, cell("gin,abv", 6, "maybe"), /column memory/, /yes/],
  ["a quantity given twice", Q, append("gin,abv,41,% vol,1,label-strength,,"), /column quantity/, /twice/],
  [
    "a quantity of no ingredient",
    Q,
    append("ghost,abv,0,% vol,exact,alcohol-free,,"),
    /column ingredient/,
    /ghost/,
  ],
  ["an ingredient without strength", Q, dropRow("gin,abv"), /ingredients\.csv.*column id/, /no strength/],
  [
    "a source nobody uses",
    "sources.csv",
    append("spare,A spare,data,read,A book nobody opened.,"),
    /column id/,
    /no row uses/,
  ],
  [
    "a source listed twice",
    "sources.csv",
    append("white-1962,Again,data,read,Again the same.,"),
    /column id/,
    /twice/,
  ],
  [
    "a source without citation",
    "sources.csv",
    cell("our-estimate", 4, ""),
    /column citation/,
    /full citation/,
  ],
  ["a source without a short form", "sources.csv", cell("our-estimate", 1, ""), /column title/, /./],
  ["an ingredient of no kind", "ingredients.csv", cell("vodka-50", 3, ""), /column kind/, /./],
  ["an unknown kind of evidence", "sources.csv", cell("our-estimate", 3, "rumour"), /column evidence/, /./],
  ["a source used by neither", "sources.csv", cell("our-estimate", 2, "nobody"), /column used_by/, /./],
  [
    "an ingredient listed twice",
    "ingredients.csv",
    append("gin,Gin,spirit,gin,gin,,,,alcohol,"),
    /column id/,
    /twice/,
  ],
  ["an id with a space", "ingredients.csv", cell("vodka-50", 0, "vodka 50"), /column id/, /hyphens/],
  ["an empty name", "ingredients.csv", cell("vodka-50", 1, ""), /column name/, /empty/],
  ["an unknown role", "ingredients.csv", cell("vodka-50", 2, "booze"), /column role/, /./],
  [
    "an alias in capitals",
    "ingredients.csv",
    cell("vodka-50", 4, "Strong Vodka"),
    /column aliases/,
    /lower case/,
  ],
  ["an alias given twice", "ingredients.csv", cell("vodka-50", 4, "v; v"), /column aliases/, /twice/],
  [
    "a syrup family without ratio",
    "ingredients.csv",
    cell("vodka-50", 6, "simple"),
    /syrup_ratio/,
    /together/,
  ],
  ["a syrup ratio without family", "ingredients.csv", cell("vodka-50", 7, "1:1"), /syrup_family/, /together/],
  ["an unknown caution", "ingredients.csv", cell("vodka-50", 8, "fun"), /column cautions/, /./],
  ["alcohol without its caution", "ingredients.csv", cell("vodka-50", 8, ""), /column cautions/, /alcohol/],
  [
    "an alcohol caution on water",
    "ingredients.csv",
    cell("water", 8, "alcohol"),
    /column cautions/,
    /alcohol/,
  ],
  [
    "a disagreement without a doubt",
    "disagreements.csv",
    cell("juice-lime,citric", 4, "exact"),
    /column sd/,
    /./,
  ],
  [
    "a disagreement in a wrong unit",
    "disagreements.csv",
    cell("juice-lime,citric", 3, "%"),
    /column unit/,
    /unit/,
  ],
  [
    "a disagreement of no ingredient",
    "disagreements.csv",
    append("ghost,citric,1,g/100 mL,1,bar-convention,"),
    /column ingredient/,
    /ghost/,
  ],
  [
    "a drink of an unknown family",
    "drinks.csv",
    cell("daiquiri", 2, "sours"),
    /column families/,
    /families\.csv/,
  ],
  ["a drink of no family", "drinks.csv", cell("daiquiri", 2, ""), /column families/, /at least one/],
  [
    "a drink in an unknown glass",
    "drinks.csv",
    cell("daiquiri", 5, "bucket"),
    /column glass/,
    /glasses\.csv/,
  ],
  ["a drink by an unknown method", "drinks.csv", cell("daiquiri", 4, "waved"), /column method/, /./],
  [
    "a line that cannot be read",
    "drinks.csv",
    cell("daiquiri", 6, "some rum"),
    /column lines/,
    /AMOUNT UNIT/,
  ],
  ["a line in an unknown unit", "drinks.csv", cell("daiquiri", 6, "2 cup rum-white"), /column lines/, /./],
  ["a line of nothing", "drinks.csv", cell("daiquiri", 6, "0 ml rum-white"), /column lines/, /./],
  ["a drink with no lines", "drinks.csv", cell("daiquiri", 6, ""), /column lines/, /at least one/],
  [
    "a line of an unknown ingredient",
    "drinks.csv",
    cell("daiquiri", 6, "60 ml ghost"),
    /column lines/,
    /ghost/,
  ],
  [
    "an ingredient poured twice",
    "drinks.csv",
    cell("daiquiri", 6, "60 ml gin; 5 ml gin"),
    /column lines/,
    /twice/,
  ],
  [
    "a piece of something without size",
    "drinks.csv",
    cell("daiquiri", 6, "1 piece gin"),
    /column lines/,
    /piece/,
  ],
  [
    "a drink listed twice",
    "drinks.csv",
    append("daiquiri,Again,sour,modern,shaken,coupe,60 ml gin,bar-convention,,"),
    /column id/,
    /twice/,
  ],
  ["a drink of no known era", "drinks.csv", cell("daiquiri", 3, "golden"), /column era/, /./],
  [
    "a balanced drink of an unknown family",
    "balanced.csv",
    cell("daiquiri-even", 1, "sours"),
    /column family/,
    /families\.csv/,
  ],
  [
    "a balanced drink of an unknown ingredient",
    "balanced.csv",
    cell("daiquiri-even", 3, "60 ml ghost"),
    /column lines/,
    /ghost/,
  ],
  [
    "a band for an unknown family",
    "bands.csv",
    cell("band-shaken", 3, "sours"),
    /column family/,
    /families\.csv/,
  ],
  ["a family that is unsure of its ratio", "families.csv", cell("fizz", 3, "maybe"), /column ratio/, /yes/],
  ["an unknown mark", "ingredients.csv", cell("vodka-50", 5, "nice"), /column marks/, /./],
  ["a drink without source", "drinks.csv", cell("gin-sour", 7, ""), /column source/, /./],
  ["a band upside down", "bands.csv", cell("band-shaken", 4, "9.5"), /column sugar_max/, /above/],
  [
    "a band without limits",
    "bands.csv",
    append("band-none,None,shaken,,,,,,,,arnold-2014,yes,"),
    /column sugar_min/,
    /limit/,
  ],
  ["a wash line above the brim", "glasses.csv", cell("coupe", 2, "300"), /wash_line_ml/, /below the brim/],
  ["a caution without text", "cautions.csv", cell("gluten", 2, ""), /column text/, /empty/],
  ["a caution missing", "cautions.csv", dropRow("quinine"), /cautions\.csv/, /quinine/],
  ["a family without meaning", "families.csv", cell("fizz", 2, ""), /column meaning/, /empty/],
  ["a demo that is not JSON", "demo.json", (t) => t.slice(1), /demo\.json/, /./],
  ["an unknown key in the demo", "demo.json", json((b) => (b.mood = "good")), /demo\.json/, /mood/],
  ["a demo not marked invented", "demo.json", json((b) => (b.invented = false)), /invented/, /./],
  [
    "a round from a later round",
    "demo.json",
    json((b) => (b.rounds[0]!.parent = "r3")),
    /rounds\/0\/parent/,
    /r3/,
  ],
  ["two rounds of one id", "demo.json", json((b) => (b.rounds[1]!.id = "r1")), /rounds\/1\/id/, /twice/],
  ["a current round that is not there", "demo.json", json((b) => (b.current = "r9")), /current/, /r9/],
  ["a target that is no family", "demo.json", json((b) => (b.target = "sweet")), /target/, /sweet/],
];

describe("every rule of the reference files refuses what breaks it", () => {
  it.each(CASES)("%s", (_, file, edit, pointer, words) => {
    const issues = faultsOf(file, edit);
    const hit = issues.find((i) => pointer.test(i.pointer) && words.test(i.detail));
    expect(hit, JSON.stringify(issues, null, 1)).toBeDefined();
    expect(hit!.pointer).toContain(
      `reference-data/${hit!.pointer.includes(file) ? file : "ingredients.csv"}`,
    );
    expect(hit!.remedy.length).toBeGreaterThan(5);
  });

  it("names the row as a spreadsheet counts it", () => {
    const row = good[Q].split("\n").findIndex((l) => l.startsWith("gin,abv,")) + 1;
    expect(faultsOf(Q, cell("gin,abv", 2, "forty"))[0]!.pointer).toBe(
      `reference-data/${Q}, row ${row}, column value`,
    );
  });

  it("reports all faults of a file at once", () => {
    const edit = (t: string) => cell("rye,abv", 2, "x")(cell("gin,abv", 2, "y")(t));
    expect(faultsOf(Q, edit).filter((i) => i.pointer.endsWith("column value"))).toHaveLength(2);
  });

  it("accepts a spreadsheet's byte order mark, quotes and blank last line", () => {
    const text = `\uFEFF${good["glasses.csv"].replace("coupe,Coupe", '"coupe","Coupe"')}\n\n`;
    const data = assembleReferenceData({ ...good, "glasses.csv": text });
    expect(data.glasses).toEqual(loadReferenceData().glasses);
  });
});

describe("loading", () => {
  it("gives the same frozen object each time", () => {
    const data = loadReferenceData();
    expect(loadReferenceData()).toBe(data);
    expect(Object.isFrozen(data)).toBe(true);
    expect(Object.isFrozen(data.pantry[0]!.abvPercent)).toBe(true);
    expect(() => {
      (data.pantry[0]!.abvPercent as { value: number }).value = 1;
    }).toThrow(TypeError);
  });
});
