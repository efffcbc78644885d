import type { FieldIssue } from "../engine/errors.ts";
import { ACID_IDS, SUGAR_IDS } from "../engine/ids.ts";
import type { Ingredient, SourcedValue } from "../engine/types.ts";
import { at } from "./read-table.ts";
import type { Row, Tables } from "./schema.ts";

/**
 * The pantry from its three tables. Each ingredient has a strength and no quantity twice; alcohol carries
 * its caution, and only alcohol does.
 */
export function pantryOf(tables: Tables, issues: FieldIssue[]): Ingredient[] {
  const add = (pointer: string, detail: string, remedy: string) => issues.push({ pointer, detail, remedy });
  const quantities = new Map<string, Map<Row<"quantities.csv">["quantity"], SourcedValue>>();
  const known = new Set(tables["ingredients.csv"].map(({ row }) => row.id));
  const require = (id: string, file: string, line: number) => {
    if (known.has(id)) return;
    add(
      at(file, line, "ingredient"),
      `"${id}" is not in ingredients.csv`,
      "add it to ingredients.csv or correct the id",
    );
  };

  for (const { line, row } of tables["quantities.csv"]) {
    require(row.ingredient, "quantities.csv", line);
    const given = quantities.get(row.ingredient) ?? new Map();
    quantities.set(row.ingredient, given);
    if (given.has(row.quantity)) {
      add(
        at("quantities.csv", line, "quantity"),
        `${row.ingredient} ${row.quantity} is given twice`,
        "move one to disagreements.csv",
      );
    }
    const { value, sd, source, memory, note } = row;
    given.set(row.quantity, {
      value,
      sd,
      source,
      ...(memory ? { memory } : {}),
      ...(note ? { note } : {}),
    });
  }
  for (const { line, row } of tables["disagreements.csv"]) {
    require(row.ingredient, "disagreements.csv", line);
  }

  return tables["ingredients.csv"].flatMap(({ line, row }) => {
    const { syrup_family: family, syrup_ratio: ratio } = row;
    if ((family === "") !== (ratio === "")) {
      const column = ratio === "" ? "syrup_ratio" : "syrup_family";
      add(at("ingredients.csv", line, column), "family and ratio go together", "fill both or neither");
    }
    const given = quantities.get(row.id);
    const abv = given?.get("abv");
    if (!given || !abv) {
      add(
        at("ingredients.csv", line, "id"),
        `"${row.id}" has no strength`,
        "add an abv row to quantities.csv (0 exact if it has none)",
      );
      return [];
    }
    if (abv.value >= 0.5 !== row.cautions.includes("alcohol")) {
      add(
        at("ingredients.csv", line, "cautions"),
        "alcohol caution and strength disagree",
        "list alcohol from 0.5 % vol up, and only there",
      );
    }
    return [toIngredient(row, abv, given, tables)];
  });
}

function toIngredient(
  row: Row<"ingredients.csv">,
  abvPercent: SourcedValue,
  given: ReadonlyMap<Row<"quantities.csv">["quantity"], SourcedValue>,
  tables: Tables,
): Ingredient {
  const those = <K extends Row<"quantities.csv">["quantity"]>(keys: readonly K[]) =>
    Object.fromEntries(keys.flatMap((k) => (given.has(k) ? [[k, given.get(k)]] : []))) as Partial<
      Record<K, SourcedValue>
    >;
  const optional = <K extends string>(key: K, value: SourcedValue | undefined) =>
    (value === undefined ? {} : { [key]: value }) as Partial<Record<K, SourcedValue>>;
  const disagreements = tables["disagreements.csv"].flatMap(({ row: d }) => {
    const { ingredient, note, ...figures } = d;
    return ingredient === row.id ? [{ ...figures, ...(note ? { note } : {}) }] : [];
  });
  return {
    id: row.id,
    name: row.name,
    role: row.role,
    kind: row.kind,
    aliases: row.aliases,
    abvPercent,
    sugarsGPer100Ml: those(SUGAR_IDS),
    acidsGPer100Ml: those(ACID_IDS),
    ...optional("densityGPerMl", given.get("density")),
    ...optional("otherSolidsGPer100Ml", given.get("other-solids")),
    ...optional("pieceMl", given.get("piece")),
    ...optional("wedgeMl", given.get("wedge")),
    ...optional("cationsMeqPerL", given.get("cations")),
    ...(row.marks.includes("top") ? { addAfterDilution: true } : {}),
    ...(row.marks.includes("staple") ? { staple: true } : {}),
    ...(row.marks.includes("unstated") ? { unstated: true } : {}),
    ...(row.marks.includes("curdles") ? { curdles: true } : {}),
    ...(row.syrup_family && row.syrup_ratio
      ? { syrup: { family: row.syrup_family, ratio: row.syrup_ratio } }
      : {}),
    ...(row.cautions.length > 0 ? { cautions: row.cautions } : {}),
    ...(disagreements.length > 0 ? { disagreements } : {}),
    ...(row.note ? { note: row.note } : {}),
  };
}
