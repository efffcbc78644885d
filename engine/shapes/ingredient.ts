import * as z from "zod/mini";
import { ACID_IDS, CAUTION_IDS, ROLE_IDS, SUGAR_IDS } from "../ids.ts";
import { COMPOSITION, LONGEST, MOST, type Range } from "../limits.ts";
import { idShape, list, someOf, text, within } from "./amounts.ts";

/** A number that says where it came from. */
const sourced = ({ min, max, unit }: Range) =>
  z
    .strictObject({
      value: within({ min, max }).check(z.describe(unit)),
      sd: within({ min: 0, max }).check(z.describe(`Standard uncertainty, ${unit}.`)),
      source: text(LONGEST.source),
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

/** An ingredient of the pantry as it travels with a spec: whole, so that it is the same where it arrives. */
export const ingredientShape = z.strictObject({
  id: idShape,
  name: text(LONGEST.name),
  role: z.enum(ROLE_IDS),
  kind: z.exactOptional(idShape),
  aliases: z.readonly(list(text(LONGEST.alias), MOST.aliases)),
  abvPercent: sourced(COMPOSITION.abvPercent),
  sugarsGPer100Ml: someOf(SUGAR_IDS, () => sourced(COMPOSITION.sugarGPer100Ml)),
  acidsGPer100Ml: someOf(ACID_IDS, () => sourced(COMPOSITION.acidGPer100Ml)),
  densityGPerMl: z.exactOptional(sourced(COMPOSITION.densityGPerMl)),
  otherSolidsGPer100Ml: z.exactOptional(sourced(COMPOSITION.otherSolidsGPer100Ml)),
  cationsMeqPerL: z.exactOptional(sourced(MEQ)),
  addAfterDilution: z.exactOptional(z.boolean()),
  pieceMl: z.exactOptional(sourced(COMPOSITION.pieceMl)),
  wedgeMl: z.exactOptional(sourced(COMPOSITION.pieceMl)),
  staple: z.exactOptional(z.boolean()),
  unstated: z.exactOptional(z.boolean()),
  curdles: z.exactOptional(z.boolean()),
  syrup: z.exactOptional(z.strictObject({ family: text(LONGEST.name), ratio: text(LONGEST.name) })),
  cautions: z.exactOptional(z.readonly(list(z.enum(CAUTION_IDS), CAUTION_IDS.length))),
  disagreements: z.exactOptional(z.readonly(list(disagreement, MOST.aliases))),
  note: z.exactOptional(text(LONGEST.note)),
  own: z.exactOptional(z.boolean()),
});
