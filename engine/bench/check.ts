import * as z from "zod/mini";
import { idShape } from "../shapes/amounts.ts";
import { check, must, pattern } from "../shapes/check.ts";
import { SETTING_SHAPES } from "../shapes/settings.ts";
import { type AnyStored, BENCH_KINDS, FIELDS, RECORD_KINDS, type RecordKind } from "./records.ts";

/** When a field was set, and by whom. The first of a ULID's 26 digits, in Crockford's base 32, holds three bits. */
export const stampShape = z
  .string()
  .check(
    pattern(/^[0-7][0-9A-HJKMNP-TV-Z]{25}$/, "no ULID", "give a ULID, in upper case"),
    z.describe("A ULID: when the field was set, and by whom."),
  );

/** A record or a change to one, as it is written. */
interface Written {
  id: string;
  bench: string | null;
  values: Record<string, unknown>;
  stamps: Record<string, unknown>;
}

const sameFields = ({ values, stamps }: Written): boolean =>
  Object.keys(values).every((field) => stamps[field] !== undefined) &&
  Object.keys(stamps).every((field) => values[field] !== undefined);

/** A setting's value has the form its name asks for. */
function fitsName({ id, values }: Written): boolean {
  const shape = SETTING_SHAPES[id.split(":")[0]!];
  return shape !== undefined && (values.value === undefined || z.safeParse(shape, values.value).success);
}

/** An item goes by the id of its record. */
const isNamed = ({ id, values }: Written): boolean =>
  values.item === undefined || (values.item as { id: string }).id === id;

const named = must<Written>(isNamed, "the item has another id than its record", "give both the same");
const settings = Object.keys(SETTING_SHAPES).join(", ");

/** What a record of some kinds must be besides. */
const RULES: Partial<Record<RecordKind, ReturnType<typeof must<Written>>>> = {
  bench: must((r) => r.bench === r.id, "a bench belongs to itself", "give its own id"),
  ingredient: named,
  prep: named,
  setting: must(fitsName, "no such setting, or not in its form", `start its id with one of ${settings}`),
};

function changeShapeOf(kind: RecordKind) {
  const fields: Record<string, z.core.$ZodType> = FIELDS[kind];
  const stamps = Object.fromEntries(Object.keys(fields).map((field) => [field, stampShape]));
  const shape = z
    .strictObject({
      kind: z.literal(kind),
      id: idShape,
      bench: BENCH_KINDS.has(kind) ? idShape : z.null(),
      values: z
        .partial(z.strictObject(fields))
        .check(must((values) => Object.keys(values).length > 0, "nothing is set", "give at least one field")),
      stamps: z
        .partial(z.strictObject(stamps))
        .check(z.describe("For each field of `values`: when it was set, and by whom.")),
    })
    .check(must<Written>(sameFields, "values and stamps name different fields", "give each value its stamp"));
  const rule = RULES[kind];
  return rule ? shape.check(rule) : shape;
}

/** A record of each kind, or a change to one, in the order of `RECORD_KINDS`. */
export const changeShapes = RECORD_KINDS.map(changeShapeOf);

const [first, ...rest] = changeShapes;

/** Any record, or a change to one: the same thing, a change having only the fields it sets. */
export const changeShape = z.discriminatedUnion("kind", [first!, ...rest]);

/**
 * Records or changes read from outside: a file, a browser's storage.
 *
 * @throws EngineError with everything that is wrong, by pointer from `at`
 */
export function readRecords(list: readonly unknown[], at = ""): AnyStored[] {
  return check(z.array(changeShape), list, at) as AnyStored[];
}

/** The fields a record still lacks: a change to something unknown cannot stand alone. */
export function lacking({ kind, values }: AnyStored): string[] {
  return Object.keys(FIELDS[kind]).filter((field) => !Object.hasOwn(values, field));
}
