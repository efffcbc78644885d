import { EngineError, type FieldIssue } from "../engine/errors.ts";
import { ACID_IDS, CAUTION_IDS, SUGAR_IDS } from "../engine/ids.ts";
import type {
  AcidId,
  Ingredient,
  Interval,
  ReferenceData,
  SourcedValue,
  SpecLine,
  SugarId,
} from "../engine/types.ts";
import { at, readTable } from "./read-table.ts";
import { DEMO_FILE, demoFile, TABLES, type TableName } from "./schema.ts";

/** Names of all reference files. */
export const REFERENCE_FILES = [...(Object.keys(TABLES) as TableName[]), DEMO_FILE] as const;
export type ReferenceFile = (typeof REFERENCE_FILES)[number];

/**
 * Turn the text of the reference files into checked data.
 *
 * Beyond each cell's own rule: ids are unique, every id referred to exists, every source is
 * used, every ingredient has a strength, no quantity is given twice, alcohol carries its caution.
 *
 * Throws: EngineError listing every fault by file, row and column, with a remedy.
 */
export function assembleReferenceData(files: Record<ReferenceFile, string>): ReferenceData {
  const issues: FieldIssue[] = [];
  const add = (pointer: string, detail: string, remedy: string) => issues.push({ pointer, detail, remedy });
  const table = <T extends TableName>(file: T) => readTable(file, files[file], issues);

  const sources = table("sources.csv");
  const ingredients = table("ingredients.csv");
  const quantities = table("quantities.csv");
  const disagreements = table("disagreements.csv");
  const families = table("families.csv");
  const drinks = table("drinks.csv");
  const bands = table("bands.csv");
  const glasses = table("glasses.csv");
  const cautions = table("cautions.csv");
  let demoJson: unknown;
  try {
    demoJson = JSON.parse(files[DEMO_FILE]);
  } catch (error) {
    add(`reference-data/${DEMO_FILE}`, (error as Error).message, "correct the JSON");
  }
  const parsed = demoFile.safeParse(demoJson);
  if (demoJson !== undefined && !parsed.success) {
    for (const i of parsed.error.issues) {
      add(`reference-data/${DEMO_FILE} /${i.path.join("/")}`, i.message, "correct this field");
    }
  }
  const demo = parsed.data;
  // A row with a bad cell is missing from here on: what else it upsets would only hide the cause.
  if (issues.length > 0 || !demo) throw new EngineError(issues);

  const idsOf = (file: string, rows: { line: number; row: { id: string } }[]) => {
    const seen = new Set<string>();
    for (const { line, row } of rows) {
      if (seen.has(row.id))
        add(at(file, line, "id"), `"${row.id}" is there twice`, "give each row its own id");
      seen.add(row.id);
    }
    return seen;
  };
  const sourceIds = idsOf("sources.csv", sources);
  const ingredientIds = idsOf("ingredients.csv", ingredients);
  const familyIds = idsOf("families.csv", families);
  const glassIds = idsOf("glasses.csv", glasses);
  const cautionIds = idsOf("cautions.csv", cautions);
  idsOf("drinks.csv", drinks);
  idsOf("bands.csv", bands);

  const refer = (known: Set<string>, home: string, id: string, pointer: string) => {
    if (!known.has(id)) add(pointer, `"${id}" is not in ${home}`, `add it to ${home} or correct the id`);
  };
  const usedSources = new Set<string>();
  const cite = (file: string, rows: { line: number; row: { source: string } }[]) => {
    for (const { line, row } of rows) {
      usedSources.add(row.source);
      refer(sourceIds, "sources.csv", row.source, at(file, line, "source"));
    }
  };
  cite("quantities.csv", quantities);
  cite("disagreements.csv", disagreements);
  cite("drinks.csv", drinks);
  cite("bands.csv", bands);
  cite("glasses.csv", glasses);
  cite("cautions.csv", cautions);
  for (const { line, row } of sources) {
    if (row.used_by === "data" && !usedSources.has(row.id)) {
      add(at("sources.csv", line, "id"), `no row uses "${row.id}"`, "cite it, or remove the row");
    }
  }
  for (const id of CAUTION_IDS) {
    if (!cautionIds.has(id)) add("reference-data/cautions.csv", `has no text for "${id}"`, "write one");
  }

  const pantry = new Map<string, Ingredient>();
  for (const { line, row } of ingredients) {
    const { syrup_family: family, syrup_ratio: ratio } = row;
    if ((family === "") !== (ratio === "")) {
      const column = ratio === "" ? "syrup_ratio" : "syrup_family";
      add(at("ingredients.csv", line, column), "family and ratio go together", "fill both or neither");
    }
    pantry.set(row.id, {
      id: row.id,
      name: row.name,
      role: row.role,
      aliases: row.aliases,
      // Replaced below; an ingredient whose strength row is missing is reported there.
      abvPercent: { value: Number.NaN, sd: 0, source: "" },
      sugarsGPer100Ml: {},
      acidsGPer100Ml: {},
      ...(row.after_dilution ? { addAfterDilution: true } : {}),
      ...(family && ratio ? { syrup: { family, ratio } } : {}),
      ...(row.cautions.length > 0 ? { cautions: row.cautions } : {}),
      ...(row.note ? { note: row.note } : {}),
    });
  }

  const given = new Set<string>();
  for (const { line, row } of quantities) {
    refer(ingredientIds, "ingredients.csv", row.ingredient, at("quantities.csv", line, "ingredient"));
    const key = `${row.ingredient} ${row.quantity}`;
    if (given.has(key)) {
      add(at("quantities.csv", line, "quantity"), `${key} is given twice`, "move one to disagreements.csv");
    }
    given.add(key);
    const ingredient = pantry.get(row.ingredient);
    if (!ingredient) continue;
    const value: SourcedValue = {
      value: row.value,
      sd: row.sd,
      source: row.source,
      ...(row.memory ? { memory: true } : {}),
      ...(row.note ? { note: row.note } : {}),
    };
    const q = row.quantity;
    if (q === "abv") ingredient.abvPercent = value;
    else if (q === "density") ingredient.densityGPerMl = value;
    else if (q === "other-solids") ingredient.otherSolidsGPer100Ml = value;
    else if (q === "piece") ingredient.pieceMl = value;
    else if ((SUGAR_IDS as readonly string[]).includes(q)) ingredient.sugarsGPer100Ml[q as SugarId] = value;
    else if ((ACID_IDS as readonly string[]).includes(q)) ingredient.acidsGPer100Ml[q as AcidId] = value;
  }
  for (const { line, row } of ingredients) {
    const ingredient = pantry.get(row.id)!;
    if (!given.has(`${row.id} abv`)) {
      add(
        at("ingredients.csv", line, "id"),
        `"${row.id}" has no strength`,
        "add an abv row to quantities.csv (0 exact if it has none)",
      );
    }
    if (ingredient.abvPercent.value >= 0.5 !== row.cautions.includes("alcohol")) {
      add(
        at("ingredients.csv", line, "cautions"),
        "alcohol caution and strength disagree",
        "list alcohol from 0.5 % vol up, and only there",
      );
    }
  }
  for (const { line, row } of disagreements) {
    refer(ingredientIds, "ingredients.csv", row.ingredient, at("disagreements.csv", line, "ingredient"));
    const ingredient = pantry.get(row.ingredient);
    if (!ingredient) continue;
    const { ingredient: _, note, ...figures } = row;
    ingredient.disagreements ??= [];
    ingredient.disagreements.push({ ...figures, ...(note ? { note } : {}) });
  }

  const checkLines = (lines: readonly SpecLine[], pointer: string) => {
    const seen = new Set<string>();
    for (const l of lines) {
      refer(ingredientIds, "ingredients.csv", l.ingredient, pointer);
      if (seen.has(l.ingredient)) add(pointer, `"${l.ingredient}" is there twice`, "add the amounts up");
      seen.add(l.ingredient);
      if (l.unit === "piece" && !given.has(`${l.ingredient} piece`)) {
        add(pointer, `"${l.ingredient}" has no piece size`, "add a piece row to quantities.csv or use mL");
      }
    }
  };
  for (const { line, row } of drinks) {
    for (const f of row.families) refer(familyIds, "families.csv", f, at("drinks.csv", line, "families"));
    refer(glassIds, "glasses.csv", row.glass, at("drinks.csv", line, "glass"));
    checkLines(row.lines, at("drinks.csv", line, "lines"));
  }

  {
    const pointer = (path: string) => `reference-data/${DEMO_FILE} /${path}`;
    const roundIds = new Set<string>();
    for (const [i, r] of demo.rounds.entries()) {
      if (roundIds.has(r.id))
        add(pointer(`rounds/${i}/id`), `"${r.id}" is there twice`, "give each round its own id");
      if (r.parent !== null) refer(roundIds, "the rounds before it", r.parent, pointer(`rounds/${i}/parent`));
      roundIds.add(r.id);
      checkLines(r.spec.lines, pointer(`rounds/${i}/spec/lines`));
      if (r.spec.glass) refer(glassIds, "glasses.csv", r.spec.glass, pointer(`rounds/${i}/spec/glass`));
    }
    refer(roundIds, "its rounds", demo.current, pointer("current"));
    refer(familyIds, "families.csv", demo.target, pointer("target"));
  }

  if (issues.length > 0) throw new EngineError(issues);

  const interval = (min: number | null, max: number | null): Interval | undefined =>
    min === null && max === null ? undefined : [min, max];
  return deepFreeze({
    pantry: [...pantry.values()],
    drinks: drinks.map(({ row }) => ({
      id: row.id,
      name: row.name,
      families: row.families,
      spec: { name: row.name, method: row.method, glass: row.glass, lines: row.lines },
      source: row.source,
      ...(row.memory ? { memory: true } : {}),
      ...(row.note ? { note: row.note } : {}),
    })),
    families: families.map(({ row }) => row),
    bands: bands.map(({ row }) => {
      const sugarGPer100Ml = interval(row.sugar_min, row.sugar_max);
      const acidGPer100Ml = interval(row.acid_min, row.acid_max);
      const abvPercent = interval(row.abv_min, row.abv_max);
      return {
        id: row.id,
        name: row.name,
        target: {
          kind: "box" as const,
          name: row.name,
          ...(sugarGPer100Ml ? { sugarGPer100Ml } : {}),
          ...(acidGPer100Ml ? { acidGPer100Ml } : {}),
          ...(abvPercent ? { abvPercent } : {}),
        },
        source: row.source,
        ...(row.memory ? { memory: true } : {}),
        ...(row.note ? { note: row.note } : {}),
      };
    }),
    glasses: glasses.map(({ row }) => ({
      id: row.id,
      name: row.name,
      washLineMl: row.wash_line_ml,
      brimMl: row.brim_ml,
      iceMl: row.ice_ml,
      source: row.source,
    })),
    sources: sources.map(({ row }) => ({
      id: row.id,
      citation: row.citation,
      evidence: row.evidence,
      ...(row.note ? { note: row.note } : {}),
    })),
    cautions: cautions.map(({ row }) => row),
    demo,
  });
}

function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const v of Object.values(value)) deepFreeze(v);
  }
  return value;
}
