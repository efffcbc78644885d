import { z } from "zod";
import { changeShape, changeShapes, stampShape } from "../../engine/bench/check.ts";
import { codeShape, FIELDS, RECORD_KINDS, type RecordKind } from "../../engine/bench/records.ts";
import { ALLERGEN_IDS } from "../../engine/ids.ts";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { idShape } from "../../engine/shapes/amounts.ts";
import { benchShape, roundShape } from "../../engine/shapes/bench.ts";
import { ingredientShape } from "../../engine/shapes/ingredient.ts";
import { measurementShape, prepShape } from "../../engine/shapes/prep.ts";
import { LINK_ROLES } from "../store/links.ts";
import { CautionIdSchema } from "./ingredient.ts";
import { PlacementSchema } from "./placement.ts";
import { ChangeSchema } from "./trail.ts";

const versionSchema = z.int().min(0).meta({ description: "Number of the write that last changed it." });
const upperFirst = (word: string) => word[0]!.toUpperCase() + word.slice(1);
const scope = z
  .nullable(idShape)
  .meta({ description: "The bench it belongs to; null for what the whole house shares." });

/** A kept record as it is answered: its fields side by side. */
export const RECORD_SCHEMAS = Object.fromEntries(
  RECORD_KINDS.map((kind) => [
    kind,
    z
      .strictObject({ id: idShape, bench: scope, version: versionSchema, ...FIELDS[kind] })
      .meta({ id: `Kept${upperFirst(kind)}` }),
  ]),
) as unknown as Record<RecordKind, z.ZodType<Record<string, unknown>>>;

/** All records of a kind. */
export const LIST_SCHEMAS = Object.fromEntries(
  RECORD_KINDS.map((kind) => [
    kind,
    z.strictObject({ records: z.array(RECORD_SCHEMAS[kind]) }).meta({ id: `Kept${upperFirst(kind)}List` }),
  ]),
) as unknown as Record<RecordKind, z.ZodType<{ records: Record<string, unknown>[] }>>;

/** What a field is when a new record does not say. A field without an entry has to be given. */
export const DEFAULTS: { readonly [K in RecordKind]: Readonly<Record<string, unknown>> } = {
  bench: { target: "", current: null, story: null, invented: false },
  // A number that is not given is the next one.
  round: { number: undefined, parent: null, label: "", notes: "", faults: [], state: "open" },
  flight: { label: "", open: true },
  tasting: { flight: null, liking: null, sweet: null, sour: null, strong: null, words: [], notes: "" },
  ingredient: {},
  prep: {},
  setting: {},
};

const fieldsOf = (
  kind: RecordKind,
  from: (field: string, shape: z.core.$ZodType) => z.core.$ZodType | null,
) =>
  Object.fromEntries(
    Object.entries(FIELDS[kind] as Record<string, z.core.$ZodType>).flatMap(([field, shape]) => {
      const found = from(field, shape);
      return found ? [[field, found]] : [];
    }),
  );

/** A record as it is sent whole: what is left out has its default. */
export const PUT_SCHEMAS = Object.fromEntries(
  RECORD_KINDS.map((kind) => [
    kind,
    z
      .strictObject(
        fieldsOf(kind, (field, shape) =>
          field === "deleted" ? null : field in DEFAULTS[kind] ? z.optional(shape) : shape,
        ),
      )
      .meta({ id: `Put${upperFirst(kind)}Body` }),
  ]),
) as unknown as Record<RecordKind, z.ZodType<Record<string, unknown>>>;

/** Some fields of a record; each given one replaces the kept one whole. */
export const PATCH_SCHEMAS = Object.fromEntries(
  RECORD_KINDS.map((kind) => [
    kind,
    z
      .strictObject(fieldsOf(kind, (_, shape) => z.optional(shape)))
      .refine((fields) => Object.keys(fields).length > 0, {
        error: "nothing is set",
        params: { remedy: "give at least one field" },
      })
      .meta({ id: `Patch${upperFirst(kind)}Body` }),
  ]),
) as unknown as Record<RecordKind, z.ZodType<Record<string, unknown>>>;

RECORD_KINDS.forEach((kind, i) => {
  z.globalRegistry.add(changeShapes[i]!, { id: `Change${upperFirst(kind)}` });
});
for (const option of measurementShape.def.options) {
  const words = option.shape.kind.def.values[0]!.split("-");
  z.globalRegistry.add(option, { id: `${words.map(upperFirst).join("")}Measurement` });
}
z.globalRegistry.add(measurementShape, { id: "Measurement" });
z.globalRegistry.add(prepShape, { id: "Prep" });
z.globalRegistry.add(ingredientShape, { id: "WholeIngredient" });
z.globalRegistry.add(changeShape, { id: "Change" });

const Change = changeShape as unknown as z.ZodType<Record<string, unknown>>;
const Moment = z.string().max(40).meta({ description: "Server's time, ISO 8601." });
const Label = z.string().max(LONGEST.name);

const VersionedSchema = z.strictObject({ version: versionSchema, record: Change }).meta({ id: "Versioned" });

/** One round of bringing a browser's copy and the store together. */
export const SyncBodySchema = z
  .strictObject({
    house: z.nullable(z.string().max(LONGEST.id)).meta({
      description: "The store the number `after` is of, as answered last; null the first time.",
    }),
    after: z.int().min(0).meta({ description: "The number answered last; 0 the first time." }),
    changes: z.array(Change).max(MOST.records).meta({
      description:
        "What was written here and not yet acknowledged, oldest first. Sent again it does no harm.",
    }),
  })
  .meta({ id: "SyncBody" });

export const SyncAnswerSchema = z
  .strictObject({
    house: z.string().meta({
      description:
        "Which store this is. Another than last time: `after` was not used; send everything you have.",
    }),
    records: z
      .array(VersionedSchema)
      .meta({ description: "Records changed since, whole; merge them into yours." }),
    after: z.int().min(0).meta({ description: "Where to go on." }),
    more: z.boolean().meta({ description: "True when there is more to fetch at once." }),
  })
  .meta({ id: "SyncAnswer" });

const LinkSchema = z
  .strictObject({
    id: z.string(),
    role: z.enum(LINK_ROLES),
    bench: scope,
    label: Label,
    made: Moment,
    revoked: z.nullable(Moment),
  })
  .meta({ id: "Link" });

export const LinkAnswerSchema = LinkSchema;
export const LinkListSchema = z.strictObject({ links: z.array(LinkSchema) }).meta({ id: "LinkList" });

export const OwnLinkSchema = z
  .strictObject({ role: z.enum(LINK_ROLES), bench: scope, label: Label })
  .meta({ id: "OwnLink", description: "What the bearer may do, and where." });

export const LinkBodySchema = z
  .strictObject({
    role: z.enum(LINK_ROLES).meta({
      description: "owner: everything. viewer: sees, changes nothing. taster: only the blind forms.",
    }),
    bench: scope.meta({
      description: "The one bench it opens; null: the whole house. A taster's is of one bench.",
    }),
    label: Label.meta({ description: "Who gets it: for a taster the name under which the forms are kept." }),
  })
  .refine((link) => link.role !== "taster" || (link.bench !== null && link.label.trim() !== ""), {
    error: "a taster has a bench and a name",
    params: { remedy: "give bench and label" },
  })
  .meta({ id: "LinkBody" });

export const NewLinkSchema = z
  .strictObject({
    link: LinkSchema,
    secret: z
      .string()
      .meta({ description: "Told this once: put it behind # in an address, never before it." }),
  })
  .meta({ id: "NewLink" });

export const HistorySchema = z
  .strictObject({
    changes: z.array(
      z.strictObject({
        version: versionSchema,
        change: Change,
        stamp: stampShape,
        link: z.nullable(z.string()),
        undoes: z.nullable(stampShape),
        at: Moment,
      }),
    ),
    more: z.boolean(),
  })
  .meta({ id: "History" });

export const UndoBodySchema = z
  .strictObject({
    stamp: z.nullable(stampShape).meta({
      description: "The act to take back, by its stamp in the history; null: the latest not yet taken back.",
    }),
  })
  .meta({ id: "UndoBody" });

export const UndoAnswerSchema = z
  .strictObject({ records: z.array(VersionedSchema) })
  .meta({ id: "UndoAnswer" });

const KeptChangeSchema = z.strictObject({
  change: Change,
  link: z.nullable(z.string().max(LONGEST.id)),
  undoes: z.nullable(stampShape),
  at: Moment,
});

/** Everything in a store. */
export const BackupSchema = z
  .strictObject({
    format: z.literal("steelyard-backup"),
    version: z.literal(1).meta({ description: "Of the form of this file." }),
    records: z.array(Change),
    history: z.array(KeptChangeSchema),
    links: z.array(LinkSchema.extend({ hash: z.string().regex(/^[0-9a-f]{64}$/) })),
  })
  .meta({ id: "Backup" });

export const RestoredSchema = z
  .strictObject({ records: z.int().meta({ description: "Records there are now." }) })
  .meta({ id: "Restored" });

const { liking, sweet, sour, strong, words, notes } = FIELDS.tasting;
const said = { liking, sweet, sour, strong, words, notes };

/** A taster's form for one glass. */
export const FormSchema = z.strictObject({ code: codeShape, ...said }).meta({ id: "Form" });

export const FormBodySchema = z
  .strictObject({ flight: idShape, code: codeShape, ...said })
  .meta({ id: "FormBody" });

const CareSchema = z
  .strictObject({
    allergens: z.array(z.enum(ALLERGEN_IDS)),
    cautions: z.array(CautionIdSchema),
    isComplete: z.boolean().meta({
      description: "False where something poured is not in the house's pantry: ask whoever pours.",
    }),
  })
  .meta({
    id: "Care",
    description:
      "What to know before tasting, of the flight's glasses together, so that no code gives its round away.",
  });

/** What a taster is served. */
export const TableSchema = z
  .strictObject({
    taster: Label.meta({ description: "The taster's own name." }),
    flights: z.array(
      z.strictObject({
        id: z.string(),
        label: z.string(),
        open: z.boolean().meta({ description: "True while forms are taken." }),
        codes: z.array(codeShape).meta({ description: "In the order in which this taster tastes." }),
        forms: z.array(FormSchema).meta({ description: "The taster's own, as handed in." }),
        care: CareSchema,
      }),
    ),
  })
  .meta({ id: "Table" });

/** A bench with its rounds, of which there may be none yet. */
export const TreeSchema = z
  .object({
    bench: z.object({
      ...benchShape.shape,
      rounds: z.array(roundShape),
      current: z.string().meta({ description: "Id of the round in work; empty while there is none." }),
    }),
  })
  .meta({ id: "Tree" });

const SideSchema = z.object({ round: roundShape, placement: PlacementSchema });

export const ComparisonSchema = z
  .object({
    from: SideSchema,
    to: SideSchema,
    changes: z.array(ChangeSchema),
    line: z.string().nullable().meta({ description: "All changes in one line; null when nothing changed." }),
    moreThanOne: z.boolean().meta({
      description: "More than one thing moved: tasting cannot say which of them did it.",
    }),
  })
  .meta({ id: "RoundComparison" });
