import * as z from "zod/mini";
import { ROUND_STATE_IDS } from "../ids.ts";
import { LONGEST, MOST } from "../limits.ts";
import { idShape, list, text, whole } from "../shapes/amounts.ts";
import { must, pattern, type Shape } from "../shapes/check.ts";
import { ingredientShape } from "../shapes/ingredient.ts";
import { prepShape } from "../shapes/prep.ts";
import { settingShape } from "../shapes/settings.ts";
import { specShape } from "../shapes/spec.ts";

/** A whole number, or null where nothing was said. */
const scale = (min: number, max: number, description: string) =>
  z.nullable(whole(min, max)).check(z.describe(description));

/** Just-about-right marks: five points, 0 is right. */
const mark = (low: string, high: string) =>
  scale(-2, 2, `Just-about-right mark: -2 much too ${low}, 0 just right, 2 much too ${high}; null for none.`);

const form = whole(1, 1000, "Version of the form of `item`.");

/** The three digits a glass stands under. */
export const codeShape = z
  .string()
  .check(pattern(/^[1-9][0-9]{2}$/, "no three-digit blind code", "give three digits, the first not 0"));
const deleted = z.boolean().check(z.describe("Put away; bring it back by setting false."));

/**
 * Every field of every kind of record, once. All fields of a record are there, with null for "none"; a
 * change has only those it sets.
 */
export const FIELDS = {
  /** One drink's development. */
  bench: {
    name: text(LONGEST.name, "What the bench is called."),
    target: text(LONGEST.note, "The region worked towards, as links write it."),
    current: z.nullable(idShape),
    story: z.nullable(text(LONGEST.note, "What it is about.")),
    invented: z.boolean().check(z.describe("True for made-up demonstrations.")),
    deleted,
  },
  /** One version of a drink. */
  round: {
    number: whole(0, 100_000, "Number the maker gave it; two of one number are told apart when shown."),
    parent: z.nullable(idShape),
    label: text(LONGEST.label, "Its name."),
    spec: specShape,
    notes: text(LONGEST.note, "Free notes."),
    faults: list(text(LONGEST.fault, "What was wrong, in the taster's words."), MOST.faults, "Faults."),
    state: z.enum(ROUND_STATE_IDS).check(z.describe("Where the round stands.")),
    deleted,
  },
  /** Blind-coded glasses served together. */
  flight: {
    label: text(LONGEST.label, "What the flight is called."),
    glasses: list(
      z.strictObject({ round: idShape, code: codeShape }),
      MOST.glasses,
      "The rounds poured and the codes they stand under.",
    ).check(
      z.minLength(1),
      must(
        (glasses) => new Set(glasses.map(({ code }) => code)).size === glasses.length,
        "two glasses have the same code",
        "give each glass a code of its own",
      ),
    ),
    open: z.boolean().check(z.describe("True while tasters may send their forms.")),
    deleted,
  },
  /** What one taster said of one glass. */
  tasting: {
    round: idShape,
    flight: z.nullable(idShape),
    taster: text(LONGEST.name, "Who tasted."),
    liking: scale(
      1,
      9,
      "Liking on the nine-point scale: 1 dislike extremely, 9 like extremely; null for none.",
    ),
    sweet: mark("little sweet", "sweet"),
    sour: mark("little sour", "sour"),
    strong: mark("weak", "strong"),
    words: list(text(LONGEST.fault, "A trade word."), MOST.tastingWords, "Words ticked or written."),
    notes: text(LONGEST.note, "Free notes."),
    deleted,
  },
  /** An ingredient of one's own, with the version of its form. */
  ingredient: { form, item: ingredientShape, deleted },
  /** A house-made ingredient: how it is made and what was measured of it. */
  prep: { form, item: prepShape, deleted },
  /** One setting of the house; its id is its name, from which the form of the value follows. */
  setting: { value: settingShape, deleted },
} as const satisfies Record<string, Readonly<Record<string, Shape>>>;

/** What can be kept. */
export type RecordKind = keyof typeof FIELDS;

/** The kinds, in the order in which records that lean on one another are written. */
export const RECORD_KINDS = Object.keys(FIELDS) as RecordKind[];

/** The fields of a kind of record. */
export type ValuesOf<K extends RecordKind> = {
  [F in keyof (typeof FIELDS)[K]]: (typeof FIELDS)[K][F] extends Shape<infer T> ? T : never;
};

/**
 * When and by whom a field was last set: a ULID made by the writer, later than every stamp it had seen.
 * Stamps compare as text.
 */
export type Stamp = string;

/** The stamp of what is shipped: older than anything a user writes. */
export const FIRST_STAMP: Stamp = "0".repeat(26);

/**
 * A record, or a change to one: the same thing, a change having only the fields it sets. Each field carries
 * the stamp of the write that set it, so that copies written apart come together by `mergeRecords`.
 */
export interface Stored<K extends RecordKind = RecordKind> {
  kind: K;
  /** Made by the writer; unique among the records of its kind and bench. */
  id: string;
  /** The bench it belongs to (a bench belongs to itself); null for what the whole house shares. */
  bench: string | null;
  values: Partial<ValuesOf<K>>;
  stamps: Partial<Record<keyof ValuesOf<K>, Stamp>>;
}

/** A record of any kind, told apart by `kind`. */
export type AnyStored = { [K in RecordKind]: Stored<K> }[RecordKind];

/** Kinds that belong to a bench; the others belong to the house. */
export const BENCH_KINDS: ReadonlySet<RecordKind> = new Set(["bench", "round", "flight", "tasting"]);

/** What tells a record from all others. */
export function recordKey({ kind, id, bench }: Pick<Stored, "kind" | "id" | "bench">): string {
  return `${bench ?? ""}/${kind}/${id}`;
}
