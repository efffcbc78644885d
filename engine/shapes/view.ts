import * as z from "zod/mini";
import { ERA_IDS, KEEP_IDS, LADDER_IDS, MEASURE_IDS } from "../ids.ts";
import {
  COMPOSITION,
  COVERAGE,
  LEAST_DRIFT,
  MOST,
  MOST_AXIS_VALUE,
  MOST_DRIFT,
  MOST_RATIO,
  MOST_VOLUME_ML,
  type Range,
} from "../limits.ts";
import {
  idShape,
  intervalShape,
  list,
  positive,
  stepMlShape,
  unitSettingsShape,
  volumeMlShape,
  within,
} from "./amounts.ts";
import { must } from "./check.ts";
import { specShape } from "./spec.ts";

/*
 * What the page shows, as a link, a file or the browser's store may bring it. One shape a part, so that one
 * bad part can be left out and named while the rest is read.
 */

const ratioEnd = z.nullable(within({ min: 0, max: MOST_RATIO }));
/** In standard deviations; a region that holds all but nothing of a normal is within five. */
const MOST_TABLE_RADIUS = 20;
const component = within({ min: -MOST_AXIS_VALUE, max: MOST_AXIS_VALUE });
const vector = z.readonly(z.tuple([component, component, component]));

/** One requirement of the target; several together mean all of these. */
export const targetPartShape = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("family"),
    family: idShape,
    coverage: within(COVERAGE),
    era: z
      .optional(z.enum(ERA_IDS))
      .check(z.describe("Only its drinks as poured then; absent: all of them.")),
  }),
  z.strictObject({ kind: z.literal("near"), drink: idShape }),
  z.strictObject({ kind: z.literal("band"), band: idShape }),
  z.strictObject({ kind: z.literal("box"), sugar: intervalShape, acid: intervalShape, abv: intervalShape }),
  z
    .strictObject({ kind: z.literal("ratio"), min: ratioEnd, max: ratioEnd })
    .check(
      must(
        ({ min, max }) => min !== null || max !== null,
        "a ratio open at both ends",
        "give min, max or both",
      ),
    ),
  z.strictObject({
    kind: z.literal("plane"),
    normal: vector.check(
      must((n) => n.some((x) => x !== 0), "a plane needs a direction", "give one number that is not 0"),
    ),
    offset: z.number().check(z.minimum(-1e6), z.maximum(1e6)),
  }),
  z
    .strictObject({
      kind: z.literal("table"),
      mean: vector,
      covariance: z
        .readonly(z.tuple([component, component, component, component, component, component]))
        .check(
          z.describe("Of sugar, sugar with acid, sugar with ABV, acid, acid with ABV, ABV; axis units."),
        ),
      radius: positive(MOST_TABLE_RADIUS),
      family: z.nullable(idShape).check(z.describe("The classics it was learned from, beside the tasters.")),
    })
    .check(
      must(
        ({ covariance: [a, b, c, d, e, f] }) =>
          a > 0 && a * d - b * b > 0 && a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d) > 0,
        "these numbers are no covariance",
        "take the range as the tasting room made it",
      ),
    ),
]);

/** What the user said about one ingredient, beside its amount. */
export const lineRuleShape = z.strictObject({
  locked: z.exactOptional(z.boolean()),
  minMl: z.exactOptional(volumeMlShape),
  maxMl: z.exactOptional(volumeMlShape),
});

const figure = (range: Range) => within(range).check(z.describe(range.unit));

/** What the user measured of one ingredient, per 100 mL. */
export const measuredShape = z.strictObject({
  sugar: z.exactOptional(figure(COMPOSITION.sugarGPer100Ml)),
  acid: z.exactOptional(figure(COMPOSITION.acidGPer100Ml)),
  abv: z.exactOptional(figure(COMPOSITION.abvPercent)),
});

/** The user's pour ladder: a named one, or an own step in mL. */
export const ladderChoiceShape = z.strictObject({
  id: z.enum(LADDER_IDS),
  stepMl: z.exactOptional(stepMlShape),
});

/** One limit on what a drink must keep. */
export const characterRuleShape = z.strictObject({
  ingredient: idShape,
  /** Keep at least this share of the finished glass, in percent. */
  minSharePercent: z.exactOptional(within({ min: 0, max: 100 })),
  /** Or: this ingredient's volume must stay at least that of `atLeastAsMuchAs`. */
  atLeastAsMuchAs: z.exactOptional(idShape),
});

/** The settings of the "bring it into range" question. */
export const askOptionsShape = z.strictObject({
  additions: list(idShape, MOST.rules),
  maxTouched: z.nullable(z.int().check(z.minimum(1), z.maximum(MOST.lines))),
  maxFinishedMl: z.nullable(positive(MOST_VOLUME_ML)),
  character: list(characterRuleShape, MOST.rules),
  minProbability: z.nullable(z.number().check(z.gt(0), z.lt(1))),
  measure: z.enum(MEASURE_IDS),
  driftBudget: z.nullable(within({ min: LEAST_DRIFT, max: MOST_DRIFT })),
  release: z.exactOptional(list(z.enum(KEEP_IDS), KEEP_IDS.length, "Habits let go of.")),
  anyGlass: z.boolean().check(z.describe("Proposals may fill the chosen glass past its wash line.")),
});

/** Units amounts are shown in. */
export const unitsShape = z.enum(["oz", "ml"]);

/** Everything a link reproduces. */
export const viewShape = z.strictObject({
  spec: specShape,
  rules: z.record(idShape, lineRuleShape),
  target: list(targetPartShape, MOST.targetParts),
  units: unitsShape,
  ladder: ladderChoiceShape,
  bench: z.nullable(idShape),
  round: z.nullable(idShape),
  reference: z.nullable(idShape),
  ask: askOptionsShape,
  unitSettings: unitSettingsShape,
  measured: z.record(idShape, measuredShape),
});

export type LineRule = z.infer<typeof lineRuleShape>;
export type Measured = z.infer<typeof measuredShape>;
export type TargetPart = z.infer<typeof targetPartShape>;
export type LadderChoice = z.infer<typeof ladderChoiceShape>;
export type AskOptions = z.infer<typeof askOptionsShape>;
export type View = z.infer<typeof viewShape>;
