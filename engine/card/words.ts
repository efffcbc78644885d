import { UNITS } from "../amounts/units.ts";
import { METHODS } from "../dilution/methods.ts";
import { ICE_CONDITION_IDS, METHOD_IDS, SERVING_ICE_IDS, UNIT_IDS } from "../ids.ts";
import type {
  CautionId,
  DilutionChoice,
  IceConditions,
  Method,
  ServingIce,
  SpecLine,
  UnitId,
} from "../types.ts";
import type { CardShown } from "./types.ts";

/*
 * The words of a written card, both ways: what is written here is read here. Numbers are written so that reading
 * gives the same number back.
 */

/** Fractions written as one sign. */
const GLYPHS: readonly (readonly [string, number])[] = [
  ["⅛", 1 / 8],
  ["¼", 1 / 4],
  ["⅓", 1 / 3],
  ["⅜", 3 / 8],
  ["½", 1 / 2],
  ["⅝", 5 / 8],
  ["⅔", 2 / 3],
  ["¾", 3 / 4],
  ["⅞", 7 / 8],
];

/** With a fraction's sign where it is exactly one. */
function fractionText(x: number): string {
  const whole = Math.floor(x);
  const glyph = GLYPHS.find(([, value]) => whole + value === x)?.[0];
  return glyph === undefined ? String(x) : `${whole === 0 ? "" : whole}${glyph}`;
}

function readNumber(text: string): number | null {
  const glyph = GLYPHS.find(([sign]) => text.endsWith(sign));
  const head = glyph ? text.slice(0, -glyph[0].length) : text;
  const whole = head === "" && glyph ? 0 : /^\d+(?:\.\d+)?(?:e[+-]?\d+)?$/.test(head) ? Number(head) : null;
  if (whole === null || (glyph && !Number.isInteger(whole))) return null;
  return whole + (glyph?.[1] ?? 0);
}

/** "¾ oz (22.2 mL)" for people, exact for reading. */
export function amountWords(
  { amount, unit }: Pick<SpecLine, "amount" | "unit">,
  shown?: { ml: number; usFlOz: number },
) {
  const { label, plural } = UNITS[unit];
  const metric = unit === "ml" || unit === "cl" || unit === "g";
  const first = `${metric ? String(amount) : fractionText(amount)} ${amount > 1 || amount === 0 ? plural : label}`;
  if (!shown) return first;
  const other =
    unit === "ml" || unit === "cl" ? `${shown.usFlOz.toFixed(2)} oz` : `${shown.ml.toFixed(1)} mL`;
  return `${first} (${other})`;
}

const UNIT_WORDS = new Map<string, UnitId>(
  UNIT_IDS.flatMap((id) => [
    [UNITS[id].label, id],
    [UNITS[id].plural, id],
  ]),
);
const LONGEST_FIRST = [...UNIT_WORDS.keys()].sort((a, b) => b.length - a.length);

/** An amount, its unit, and the rest of the line; null where the line does not begin with one. */
export function readAmount(text: string): { amount: number; unit: UnitId; rest: string } | null {
  const space = text.indexOf(" ");
  const amount = readNumber(text.slice(0, space));
  if (space < 0 || amount === null) return null;
  const after = text.slice(space + 1);
  const word = LONGEST_FIRST.find((w) => after === w || after.startsWith(`${w} `));
  if (word === undefined) return null;
  const rest = after.slice(word.length + 1).replace(/^\([^)]*\) /, "");
  return { amount, unit: UNIT_WORDS.get(word)!, rest };
}

/** When a line goes in, where the card says so. */
export const STAGE_WORDS = { top: " — after the ice", mix: " — over the ice" } as const;

/** Names of the fields a card is written with. */
export const FIELD_WORDS = {
  method: "Method",
  glass: "Glass",
  servedOn: "Ice in the glass",
  dilution: "Water from ice",
  garnish: "Garnish",
  notes: "Notes",
} as const;

/** Names of what is shown and not read back. */
export const SHOWN_WORDS = {
  finished: "Finished",
  balance: "Balance",
  allergens: "Allergens",
  cautions: "Take care",
  cost: "Cost",
} as const;

/** The method by name. */
export const methodWords = (method: Method): string => METHODS[method].name;
/** The method of a name. */
export const readMethod = (text: string): Method | null =>
  METHOD_IDS.find((m) => METHODS[m].name === text) ?? null;

const ICE: Readonly<Record<ServingIce, string>> = {
  none: "none",
  cubes: "cubes",
  rock: "one large cube",
  crushed: "crushed",
};
/** What stands in the glass. */
export const iceWords = (ice: ServingIce): string => ICE[ice];
/** The ice of a name. */
export const readIce = (text: string): ServingIce | null =>
  SERVING_ICE_IDS.find((i) => ICE[i] === text) ?? null;

/** How the water from ice is found, exactly. */
export function dilutionWords(choice: DilutionChoice): string {
  if (choice.model === "measured") {
    const sd = choice.sdMl === undefined ? "" : ` ± ${choice.sdMl} mL`;
    if (choice.finishedVolumeMl !== undefined) return `measured, ${choice.finishedVolumeMl} mL finished${sd}`;
    if (choice.finishedMassG !== undefined) return `measured, ${choice.finishedMassG} g finished${sd}`;
    return `measured, ${choice.waterMl ?? 0} mL of water${sd}`;
  }
  const scale = choice.calibration;
  const factor = scale ? ` × ${scale.factor} ± ${scale.sd} from ${scale.n} rounds` : "";
  if (choice.model === "regression") return `by the curve${factor}`;
  const own = ICE_CONDITION_IDS.flatMap((id) => {
    const value = choice.conditions?.[id];
    return value === undefined ? [] : [`${id} ${value}`];
  });
  return `for this ice (${own.join("; ")})${factor}`;
}

const NUMBER = String.raw`-?\d+(?:\.\d+)?(?:e[+-]?\d+)?`;
const MEASURED = new RegExp(
  `^measured, (${NUMBER}) (mL finished|g finished|mL of water)(?: ± (${NUMBER}) mL)?$`,
);
const MODELLED = new RegExp(
  String.raw`^(by the curve|for this ice \(([^)]*)\))(?: × (${NUMBER}) ± (${NUMBER}) from (\d+) rounds)?$`,
);

/** Read what `dilutionWords` wrote; null for anything else. */
export function readDilution(text: string): DilutionChoice | null {
  const measured = MEASURED.exec(text);
  if (measured) {
    const [, value, what, sd] = measured;
    return {
      model: "measured",
      ...(what === "mL finished" && { finishedVolumeMl: Number(value) }),
      ...(what === "g finished" && { finishedMassG: Number(value) }),
      ...(what === "mL of water" && { waterMl: Number(value) }),
      ...(sd !== undefined && { sdMl: Number(sd) }),
    };
  }
  const modelled = MODELLED.exec(text);
  if (!modelled) return null;
  const [, head, conditionsText, factor, sd, n] = modelled;
  const calibration =
    factor === undefined ? {} : { calibration: { factor: Number(factor), sd: Number(sd), n: Number(n) } };
  if (head === "by the curve") return { model: "regression", ...calibration };
  const conditions: Partial<IceConditions> = {};
  for (const entry of conditionsText!.split("; ").filter((e) => e !== "")) {
    const [key, value] = entry.split(" ");
    const id = ICE_CONDITION_IDS.find((known) => known === key);
    if (id === undefined || !Number.isFinite(Number(value))) return null;
    conditions[id] = Number(value);
  }
  return { model: "energy", ...(conditionsText !== "" && { conditions }), ...calibration };
}

/** Cautions in a word or two; the whole text stands with the data. */
const CAUTION_WORDS: Readonly<Record<CautionId, string>> = {
  alcohol: "alcohol",
  "raw-egg": "raw egg",
  milk: "milk",
  nuts: "nuts or kernels",
  sulphites: "sulphites",
  "grapefruit-medicines": "grapefruit with medicines",
  "honey-infants": "no honey for infants",
  "strong-acid": "concentrated acid",
  quinine: "quinine",
  infusion: "house infusion",
  gluten: "gluten cereals",
  soy: "soy",
  celery: "celery",
  fish: "fish",
  coumarin: "coumarin",
  charcoal: "activated charcoal",
  "low-acid": "low acid, keep cold",
  "hot-sugar": "hot sugar",
  batching: "mixed ahead: local rules",
  curdling: "may curdle",
  "closed-fizz": "fizz after the shake",
};

/** What the drink comes to, for people. */
export function shownWords(shown: CardShown): [string, string][] {
  const pm = ({ value, sd }: { value: number; sd: number }, digits: number) =>
    `${value.toFixed(digits)} ± ${sd.toFixed(digits)}`;
  return [
    [
      SHOWN_WORDS.finished,
      `${pm(shown.finishedVolumeMl, 0)} mL at ${pm(shown.abvPercent, 1)} % vol, ${shown.standardDrinksUs.toFixed(1)} US standard drinks`,
    ],
    [
      SHOWN_WORDS.balance,
      `sugar ${pm(shown.sugarGPer100Ml, 1)} g, acid ${pm(shown.acidGPer100Ml, 2)} g in 100 mL`,
    ],
    [
      SHOWN_WORDS.allergens,
      shown.allergens.length > 0 ? shown.allergens.join(", ") : "none known; check labels",
    ],
    ...(shown.cautions.length > 0
      ? [[SHOWN_WORDS.cautions, shown.cautions.map((c) => CAUTION_WORDS[c]).join(", ")] as [string, string]]
      : []),
    ...(shown.cost === null
      ? []
      : ([[SHOWN_WORDS.cost, costWords(shown.cost, shown.price)]] satisfies [string, string][])),
  ];
}

const costWords = (cost: number, price: number | null) =>
  price === null ? cost.toFixed(2) : `${cost.toFixed(2)}, ${price.toFixed(2)} at the chosen pour cost`;
