import { ICE_CONDITION_IDS, LADDER_IDS, METHOD_IDS, SERVING_ICE_IDS, STAGE_IDS, UNIT_IDS } from "../ids.ts";
import {
  COMPOSITION,
  ICE_CONDITIONS,
  LEAST_AMOUNT,
  LEAST_STEP_ML,
  LONGEST,
  MOST,
  MOST_AMOUNT,
  MOST_PRICE,
  MOST_STEP_ML,
  MOST_UNIT_ML,
  MOST_UNIT_SD_ML,
  MOST_VOLUME_ML,
} from "../limits.ts";
import type { Calibration, DilutionChoice, IceConditions, Spec, SpecLine } from "../types.ts";
import {
  also,
  list,
  matching,
  number,
  object,
  objectOf,
  oneBy,
  oneOf,
  type Shape,
  text,
  whole,
} from "./shape.ts";

/** An id of anything: pantry item, glass, bench, round. */
export const idShape = matching(
  `^[A-Za-z0-9][A-Za-z0-9:._-]{0,${LONGEST.id - 1}}$`,
  "An id: letters, digits and : . _ -",
  `give an id of at most ${LONGEST.id} letters, digits and : . _ -`,
);

const lineShape = objectOf<SpecLine>()(
  {
    ingredient: idShape,
    amount: also(
      number(0, MOST_AMOUNT, "Amount, in `unit`."),
      { not: { type: "number", exclusiveMinimum: 0, exclusiveMaximum: LEAST_AMOUNT } },
      (amount) => amount === 0 || amount >= LEAST_AMOUNT,
      `give 0 or at least ${LEAST_AMOUNT}`,
    ),
    unit: oneOf(UNIT_IDS, "Unit of the amount."),
  },
  { stage: oneOf(STAGE_IDS, "mix: goes over the ice. top: added after, takes no melt water.") },
);

const calibrationShape = objectOf<Calibration>()(
  {
    factor: number(Number.MIN_VALUE, 10, "Multiplies the model's water."),
    sd: number(0, 10, "Its standard uncertainty."),
    n: whole(0, 10_000, "How many measured rounds it came from."),
  },
  {},
);

const conditionsShape: Shape<Partial<IceConditions>> = object(
  {},
  Object.fromEntries(
    ICE_CONDITION_IDS.map((id) => {
      const { min, max, unit } = ICE_CONDITIONS[id];
      return [id, number(min, max, `${id}${unit && `, ${unit}`}`)];
    }),
  ),
);

type Way<M> = Extract<DilutionChoice, { model: M }>;
const measure = (what: string) => number(Number.MIN_VALUE, MOST_VOLUME_ML, what);
const WAYS = ["finishedVolumeMl", "finishedMassG", "waterMl"] as const;

const dilutionShape: Shape<DilutionChoice> = oneBy<DilutionChoice>("model", {
  regression: objectOf<Way<"regression">>()(
    { model: oneOf(["regression"], "Published regression.") },
    { calibration: calibrationShape },
  ),
  energy: objectOf<Way<"energy">>()(
    { model: oneOf(["energy"], "Energy balance with ice.") },
    { conditions: conditionsShape, calibration: calibrationShape },
  ),
  measured: also(
    objectOf<Way<"measured">>()(
      { model: oneOf(["measured"], "The user measured the glass.") },
      {
        finishedVolumeMl: measure("Volume in the glass, mL."),
        finishedMassG: measure("Mass in the glass, g."),
        waterMl: number(0, MOST_VOLUME_ML, "Water from ice, mL."),
        sdMl: number(0, 1000, "Standard uncertainty of the measurement, mL."),
      },
    ),
    { oneOf: WAYS.map((way) => ({ type: "object", required: [way] })) },
    (choice) => WAYS.filter((way) => choice[way] !== undefined).length === 1,
    `give exactly one of ${WAYS.join(", ")}`,
  ),
});

/** A drink as it is kept: the engine's `Spec`, every size bounded. A blank bench has no lines yet. */
export const specShape = objectOf<Spec>()(
  {
    name: text(LONGEST.name, "What the drink is called."),
    method: oneOf(METHOD_IDS, "How it is mixed and cooled."),
    lines: list(lineShape, MOST.lines, "What goes in, in order."),
  },
  {
    dilution: dilutionShape,
    glass: idShape,
    servedOn: oneOf(SERVING_ICE_IDS, "Ice in the glass; absent: as is usual."),
  },
);

const size = number(Number.MIN_VALUE, MOST_UNIT_ML, "Size, mL.");
const sizeSd = number(0, MOST_UNIT_SD_ML, "Standard uncertainty of the size, mL.");
const composition = (id: keyof typeof COMPOSITION) =>
  number(COMPOSITION[id].min, COMPOSITION[id].max, COMPOSITION[id].unit);

/** Settings of the house by the first word of their name, which after a colon may name what they are for. */
export const SETTING_SHAPES: Readonly<Record<string, Shape<unknown>>> = {
  /** Units amounts are shown in. */
  units: oneOf(["oz", "ml"], "Units amounts are shown in."),
  /** The pour ladder. */
  ladder: object(
    { id: oneOf(LADDER_IDS, "Which ladder.") },
    { stepMl: number(LEAST_STEP_ML, MOST_STEP_ML, "Step of one's own ladder, mL.") },
  ),
  /** Sizes of spoon, dash, drop and part. */
  "unit-sizes": object(
    {},
    {
      barspoonMl: size,
      barspoonSdMl: sizeSd,
      dashMl: size,
      dashSdMl: sizeSd,
      dropMl: size,
      dropSdMl: sizeSd,
      partMl: size,
    },
  ),
  /** `price:<ingredient>`. */
  price: number(0, MOST_PRICE, "Currency per litre."),
  /** `measured:<ingredient>`. */
  measured: object(
    {},
    {
      sugar: composition("sugarGPer100Ml"),
      acid: composition("acidGPer100Ml"),
      abv: composition("abvPercent"),
    },
  ),
  /** `calibration:<method>`. */
  calibration: calibrationShape,
};
