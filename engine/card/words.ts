import { AT_A_GLANCE } from "../amounts/format-amount.ts";
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
import { plusMinus } from "../wording.ts";
import type { CardShown } from "./types.ts";

/*
 * The words of a written card, both ways: what is written here is read here. Numbers are written so that reading
 * gives the same number back.
 */

/** With a fraction's sign where it is exactly one. */
function fractionText(x: number): string {
  const whole = Math.floor(x);
  const glyph = AT_A_GLANCE.find(({ value }) => whole + value === x)?.sign;
  return glyph === undefined ? String(x) : `${whole === 0 ? "" : whole}${glyph}`;
}

function readNumber(text: string): number | null {
  const fraction = AT_A_GLANCE.find(({ sign }) => text.endsWith(sign));
  const head = fraction ? text.slice(0, -fraction.sign.length) : text;
  const whole =
    head === "" && fraction ? 0 : /^\d+(?:\.\d+)?(?:e[+-]?\d+)?$/.test(head) ? Number(head) : null;
  if (whole === null || (fraction && !Number.isInteger(whole))) return null;
  return whole + (fraction?.value ?? 0);
}

/** "¾ oz (22.2 mL)" for people, exact for reading. */
export function amountWords(
  { amount, unit }: Pick<SpecLine, "amount" | "unit">,
  shown?: CardShown["lines"][number],
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

/** The method of a name. */
export const readMethod = (text: string): Method | null =>
  METHOD_IDS.find((m) => METHODS[m].name === text) ?? null;

/** What stands in the glass. */
export const ICE_WORDS: Readonly<Record<ServingIce, string>> = {
  none: "none",
  cubes: "cubes",
  rock: "one large cube",
  crushed: "crushed",
};
/** The ice of a name. */
export const readIce = (text: string): ServingIce | null =>
  SERVING_ICE_IDS.find((i) => ICE_WORDS[i] === text) ?? null;

/** What can be measured of a finished drink, by what stands after its figure. */
const FIGURE_WORDS = {
  finishedVolumeMl: "mL finished",
  finishedMassG: "g finished",
  waterMl: "mL of water",
} as const;
const FIGURES = Object.keys(FIGURE_WORDS) as (keyof typeof FIGURE_WORDS)[];

/** How the water from ice is found, exactly. */
export function dilutionWords(choice: DilutionChoice): string {
  if (choice.model === "measured") {
    const sd = choice.sdMl === undefined ? "" : ` ± ${choice.sdMl} mL`;
    const figure = FIGURES.find((id) => choice[id] !== undefined) ?? "waterMl";
    return `measured, ${choice[figure] ?? 0} ${FIGURE_WORDS[figure]}${sd}`;
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
const MEASURED = new RegExp(`^measured, (${NUMBER}) (.+?)(?: ± (${NUMBER}) mL)?$`);
const MODELLED = new RegExp(
  String.raw`^(by the curve|for this ice \(([^)]*)\))(?: × (${NUMBER}) ± (${NUMBER}) from (\d+) rounds)?$`,
);

/** Read what `dilutionWords` wrote; null for anything else. */
export function readDilution(text: string): DilutionChoice | null {
  const measured = MEASURED.exec(text);
  if (measured) {
    const [, value, what, sd] = measured;
    const figure = FIGURES.find((id) => FIGURE_WORDS[id] === what);
    if (figure === undefined) return null;
    const choice: DilutionChoice = { model: "measured", ...(sd !== undefined && { sdMl: Number(sd) }) };
    choice[figure] = Number(value);
    return choice;
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

/** Names with what is written beside them, those left out that have nothing. */
export function written(...pairs: [name: string, text: string | undefined][]): [string, string][] {
  return pairs.flatMap(([name, text]) => (text === undefined ? [] : [[name, text]]));
}

/** What the drink comes to, for people. */
export function shownWords(shown: CardShown): [string, string][] {
  const { allergens, cautions, cost, price } = shown;
  const atPrice = price === null ? "" : `, ${price.toFixed(2)} at the chosen pour cost`;
  return written(
    [
      SHOWN_WORDS.finished,
      `${plusMinus(shown.finishedVolumeMl, 0)} mL at ${plusMinus(shown.abvPercent, 1)} % vol, ${shown.standardDrinksUs.toFixed(1)} US standard drinks`,
    ],
    [
      SHOWN_WORDS.balance,
      `sugar ${plusMinus(shown.sugarGPer100Ml, 1)} g, acid ${plusMinus(shown.acidGPer100Ml, 2)} g in 100 mL`,
    ],
    [SHOWN_WORDS.allergens, allergens.join(", ") || "none known; check labels"],
    [SHOWN_WORDS.cautions, cautions.map((c) => CAUTION_WORDS[c]).join(", ") || undefined],
    [SHOWN_WORDS.cost, cost === null ? undefined : `${cost.toFixed(2)}${atPrice}`],
  );
}
