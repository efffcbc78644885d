import { z } from "zod";
import {
  ACID_IDS,
  CAUTION_IDS,
  ERA_IDS,
  EVIDENCE_IDS,
  METHOD_IDS,
  ROLE_IDS,
  STAGE_IDS,
  SUGAR_IDS,
  UNIT_IDS,
} from "../engine/ids.ts";
import type { AcidId, SugarId } from "../engine/types.ts";
import type { NumberedRow } from "./read-table.ts";

/**
 * What a row of each reference file may hold. Every column is listed; an unknown column or
 * key is an error. Lists inside a cell are separated by semicolons.
 */

/** The one unit each quantity is written in. */
const QUANTITY_UNITS = {
  abv: "% vol",
  ...(Object.fromEntries(SUGAR_IDS.map((s) => [s, "g/100 mL"])) as Record<SugarId, "g/100 mL">),
  ...(Object.fromEntries(ACID_IDS.map((a) => [a, "g/100 mL"])) as Record<AcidId, "g/100 mL">),
  "other-solids": "g/100 mL",
  density: "g/mL",
  piece: "mL",
  wedge: "mL",
  cations: "meq/L",
} as const;
type QuantityId = keyof typeof QUANTITY_UNITS;

/** Quantities a disagreeing source may speak of: the above, and two sums. */
const DISPUTED_UNITS: Record<string, string> = {
  ...QUANTITY_UNITS,
  sugars: "g/100 mL",
  "titratable acidity": "g/100 mL",
};

const id = z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, "lower-case words joined by hyphens");
const text = z.string().min(1, "must not be empty");
const note = z.string().transform((s) => s || undefined);
const memory = z.enum(["yes", ""], "write yes or leave it empty").transform((s) => s === "yes" || undefined);
const NUMBER = /^-?\d+(\.\d+)?$/;
const number = z.string().regex(NUMBER, "a plain number with a decimal point").transform(Number);
const notNegative = number.pipe(z.number().nonnegative());
const positive = number.pipe(z.number().positive());
/** An uncertainty: a number above 0, or the word `exact`, which reads as 0. */
const sd = z
  .string()
  .refine((s) => s === "exact" || (NUMBER.test(s) && Number(s) > 0), "a number above 0, or the word exact")
  .transform((s) => (s === "exact" ? 0 : Number(s)));
const list = <O>(item: z.ZodType<O, string>) =>
  z
    .string()
    .transform((s) =>
      s
        .split(";")
        .map((x) => x.trim())
        .filter((x) => x !== ""),
    )
    .pipe(z.array(item).refine((a) => new Set(a).size === a.length, "names something twice"));
const optionalNumber = z.union([z.literal("").transform(() => null), number], "a plain number, or empty");

const SPEC_LINE = /^(\d+(?:\.\d+)?) ([a-z-]+) ([a-z0-9-]+)(?: \((mix|top)\))?$/;
/** "22.5 ml juice-lime", or "15 ml wine-red (top)" for what goes in after the ice. */
const specLine = z
  .string()
  .regex(
    SPEC_LINE,
    "write AMOUNT UNIT INGREDIENT, as in 22.5 ml juice-lime, with (top) after it if it goes in last",
  )
  .transform((s) => {
    const [, amount, unit, ingredient, stage] = SPEC_LINE.exec(s)!;
    return { ingredient: ingredient!, amount: Number(amount), unit: unit!, ...(stage ? { stage } : {}) };
  })
  .pipe(
    z.strictObject({
      ingredient: id,
      amount: z.number().positive(),
      unit: z.enum(UNIT_IDS),
      stage: z.enum(STAGE_IDS).optional(),
    }),
  );

const sourceRow = z.strictObject({
  id,
  /** Its short form, for beside a number. */
  title: text.max(60, "a short form, 60 letters at most"),
  /** `data`: some row here must use it. `engine`: the formulas use it. */
  used_by: z.enum(["data", "engine"]),
  evidence: z.enum(EVIDENCE_IDS),
  citation: z.string().min(10, "a full citation"),
  note,
});

/**
 * What may be marked on an ingredient. `top`: goes in after the ice. `staple`: in any bar's reach, so that it
 * may be suggested. `unstated`: stands for a name that leaves its kind open. `curdles`: sets when it meets acid.
 */
const MARKS = ["top", "staple", "unstated", "curdles"] as const;

const ingredientRow = z.strictObject({
  id,
  name: text,
  role: z.enum(ROLE_IDS),
  /** What it is within its role: the nearest swaps share it. */
  kind: id,
  aliases: list(z.string().refine((a) => a === a.toLowerCase(), "aliases are in lower case")),
  marks: list(z.enum(MARKS)),
  syrup_family: z.string(),
  syrup_ratio: z.string(),
  cautions: list(z.enum(CAUTION_IDS)),
  note,
});

const quantityRow = z
  .strictObject({
    ingredient: id,
    quantity: z.enum(Object.keys(QUANTITY_UNITS) as [QuantityId, ...QuantityId[]]),
    value: notNegative,
    unit: text,
    sd,
    source: id,
    memory,
    note,
  })
  .refine((r) => r.quantity !== "abv" || r.value <= 100, { path: ["value"], error: "is above 100 % vol" })
  .refine((r) => r.unit === QUANTITY_UNITS[r.quantity], {
    path: ["unit"],
    error:
      "is not the unit of this quantity: % vol for abv, g/mL for density, mL for piece and wedge, else g/100 mL",
  });

const disagreementRow = z
  .strictObject({
    ingredient: id,
    quantity: z.enum(Object.keys(DISPUTED_UNITS) as [string, ...string[]]),
    value: notNegative,
    unit: text,
    sd: positive,
    source: id,
    note,
  })
  .refine((r) => r.unit === DISPUTED_UNITS[r.quantity], {
    path: ["unit"],
    error: "is not the unit of this quantity",
  });

/** `ratio` yes: sugar and acid go together in this family, so its region keeps their ratio too. */
const familyRow = z.strictObject({
  id,
  name: text,
  meaning: text,
  ratio: z.enum(["yes", ""], "write yes or leave it empty").transform((s) => s === "yes"),
});

const drinkRow = z.strictObject({
  id,
  name: text,
  families: list(id).pipe(z.array(id).min(1, "needs at least one family")),
  era: z.enum(ERA_IDS),
  method: z.enum(METHOD_IDS),
  glass: id,
  lines: list(z.string()).pipe(z.array(specLine).min(1, "needs at least one line")),
  source: id,
  memory,
  note,
});

/** A drink that common practice calls balanced: what the families' regions are judged by, never made from. */
const balancedRow = z.strictObject({
  id,
  family: id,
  method: z.enum(METHOD_IDS),
  lines: list(z.string()).pipe(z.array(specLine).min(1, "needs at least one line")),
});

const bandRow = z
  .strictObject({
    id,
    name: text,
    method: z.enum(METHOD_IDS),
    family: z.union([z.literal("").transform(() => undefined), id]),
    sugar_min: optionalNumber,
    sugar_max: optionalNumber,
    acid_min: optionalNumber,
    acid_max: optionalNumber,
    abv_min: optionalNumber,
    abv_max: optionalNumber,
    source: id,
    memory,
    note,
  })
  .superRefine((r, ctx) => {
    let limits = 0;
    for (const axis of ["sugar", "acid", "abv"] as const) {
      const min = r[`${axis}_min`];
      const max = r[`${axis}_max`];
      limits += Number(min !== null) + Number(max !== null);
      if (min !== null && max !== null && min >= max) {
        ctx.addIssue({ code: "custom", path: [`${axis}_max`], message: "must be above the minimum" });
      }
    }
    if (limits === 0) ctx.addIssue({ code: "custom", path: ["sugar_min"], message: "a band needs a limit" });
  });

const glassRow = z
  .strictObject({
    id,
    name: text,
    wash_line_ml: positive,
    brim_ml: positive,
    ice_ml: notNegative,
    source: id,
  })
  .refine((r) => r.wash_line_ml < r.brim_ml, { path: ["wash_line_ml"], error: "must be below the brim" });

const cautionRow = z.strictObject({ id: z.enum(CAUTION_IDS), title: text, text, source: id });

const jsonSpec = z.strictObject({
  name: text,
  method: z.enum(METHOD_IDS),
  glass: id.optional(),
  lines: z
    .array(
      z.strictObject({
        ingredient: id,
        amount: z.number().positive(),
        unit: z.enum(UNIT_IDS),
        stage: z.enum(STAGE_IDS).optional(),
      }),
    )
    .min(1),
});

/** The invented bench the page opens on. */
export const demoFile = z.strictObject({
  id,
  name: text,
  invented: z.literal(true),
  story: text,
  target: id,
  current: id,
  rounds: z
    .array(
      z.strictObject({
        id,
        number: z.int().positive(),
        parent: id.nullable(),
        label: text,
        spec: jsonSpec,
        notes: z.string().optional(),
        faults: z.array(text).optional(),
        abandoned: z.boolean().optional(),
      }),
    )
    .min(1),
});

/** File name → row schema, in the order they are read. */
export const TABLES = {
  "sources.csv": sourceRow,
  "ingredients.csv": ingredientRow,
  "quantities.csv": quantityRow,
  "disagreements.csv": disagreementRow,
  "families.csv": familyRow,
  "drinks.csv": drinkRow,
  "balanced.csv": balancedRow,
  "bands.csv": bandRow,
  "glasses.csv": glassRow,
  "cautions.csv": cautionRow,
} as const;
export type TableName = keyof typeof TABLES;
export type Row<T extends TableName> = z.output<(typeof TABLES)[T]>;
/** Every table with the line each row stands on. */
export type Tables = { [T in TableName]: NumberedRow<Row<T>>[] };
export const DEMO_FILE = "demo.json";
