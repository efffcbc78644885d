import * as z from "zod/mini";
import { ACID_IDS, CAUTION_IDS, ROLE_IDS, SUGAR_IDS } from "../ids.ts";
import { COMPOSITION, LONGEST, MOST, type Range } from "../limits.ts";
import { idShape, list, someOf, text, within } from "./amounts.ts";

/** A number that says where it came from. `sd` is the standard uncertainty in the same unit. */
const sourced = ({ min, max, unit }: Range) =>
  z
    .strictObject({
      value: within({ min, max }).check(z.describe(unit)),
      sd: within({ min: 0, max }).check(z.describe(`Standard uncertainty, ${unit}.`)),
      /** Key into the source table. */
      source: text(LONGEST.source),
      /** True when the value was recalled and not read in the source. */
      memory: z.exactOptional(z.boolean()),
      note: z.exactOptional(text(LONGEST.note)),
    })
    .check(z.describe(unit));

const MEQ: Range = { min: 0, max: 5000, unit: "meq/L" };

const disagreement = z.strictObject({
  quantity: text(LONGEST.name),
  value: z.number().check(z.describe("In `unit`.")),
  sd: z.number().check(z.describe("Standard uncertainty, in `unit`.")),
  unit: text(LONGEST.name),
  source: text(LONGEST.source),
  note: z.exactOptional(text(LONGEST.note)),
});

const fields = z.strictObject({
  id: idShape,
  name: text(LONGEST.name),
  role: z.enum(ROLE_IDS),
  /** What it is within its role ("rum", "citrus"): the nearest swaps share it. Absent: not said. */
  kind: z.exactOptional(idShape),
  /** Lower-case words people write for it. */
  aliases: z.readonly(list(text(LONGEST.alias), MOST.aliases)),
  abvPercent: sourced(COMPOSITION.abvPercent),
  sugarsGPer100Ml: someOf(SUGAR_IDS, () => sourced(COMPOSITION.sugarGPer100Ml)),
  acidsGPer100Ml: someOf(ACID_IDS, () => sourced(COMPOSITION.acidGPer100Ml)),
  /** Density at 20 °C. Absent: computed by the mixing rule from the composition, water filling the rest. */
  densityGPerMl: z.exactOptional(sourced(COMPOSITION.densityGPerMl)),
  /** Protein, fat, fibre, minerals: mass that is neither ethanol, sugar, acid nor water. */
  otherSolidsGPer100Ml: z.exactOptional(sourced(COMPOSITION.otherSolidsGPer100Ml)),
  /** Charge of the potassium, sodium, calcium and magnesium that buffer it, meq/L: for its pH. */
  cationsMeqPerL: z.exactOptional(sourced(MEQ)),
  /** Fizzy or delicate: goes in after the shake and takes no melt water. */
  addAfterDilution: z.exactOptional(z.boolean()),
  /** Volume of one piece in mL (an egg white, the juice of a lime). */
  pieceMl: z.exactOptional(sourced(COMPOSITION.pieceMl)),
  /** Juice of one wedge as bars cut it, mL. */
  wedgeMl: z.exactOptional(sourced(COMPOSITION.pieceMl)),
  /** In any bar's reach, so that it may be suggested. */
  staple: z.exactOptional(z.boolean()),
  /** Stands for a name that leaves its kind open ("sugar syrup"): its doubt is that of the spec, not of the bottle. */
  unstated: z.exactOptional(z.boolean()),
  /** Sets or splits when it meets acid. */
  curdles: z.exactOptional(z.boolean()),
  /** For syrups and thinned honey: the base and its strength, so a strength change can be proposed. */
  syrup: z.exactOptional(z.strictObject({ family: text(LONGEST.name), ratio: text(LONGEST.name) })),
  cautions: z.exactOptional(z.readonly(list(z.enum(CAUTION_IDS), CAUTION_IDS.length))),
  /** Other sources' figures that disagree, shown beside the one used. */
  disagreements: z.exactOptional(z.readonly(list(disagreement, MOST.aliases))),
  note: z.exactOptional(text(LONGEST.note)),
  /** Set for ingredients the user made or edited. */
  own: z.exactOptional(z.boolean()),
});

/** Read-only to the last field. */
type Fixed<T> = { readonly [Field in keyof T]: Fixed<T[Field]> };

/**
 * An ingredient of the pantry as it travels with a spec: whole, so that it is the same where it arrives.
 * Read-only throughout: what follows from an ingredient is worked out once and kept with it. An edited one is
 * a new one.
 */
export const ingredientShape: z.ZodMiniType<Fixed<z.infer<typeof fields>>> = fields;
