import { fail, requireShare } from "../errors.ts";
import { ACID_IDS } from "../ids.ts";
import { densityOf, titratableAcidityGPer100Ml, totalSugarGPer100Ml } from "../mix/coefficients.ts";
import { acidBaseOf, phOf } from "../physics/acid-base.ts";
import { citricEquivalentPerG } from "../physics/acids.ts";
import type { AcidId, Ingredient, SourcedValue } from "../types.ts";
import { type Amount, combine, computed, inG, inMl, mixtureOf, toIngredient } from "./combine.ts";
import { positive } from "./given.ts";
import { cautionsOf } from "./keeping.ts";
import type { Made } from "./types.ts";

/** Acids sold for the kitchen. */
export type KitchenAcidId = Exclude<AcidId, "acetic" | "other">;

/** What an acid is bought as. */
export interface AcidSupply {
  acid: KitchenAcidId;
  /** Grams of the acid itself in a gram of what is weighed: 1 anhydrous, 0.914 citric monohydrate, 0.88 lactic. */
  purity: number;
  /** Currency per kilogram; left out: no cost is worked out. */
  pricePerKg?: number;
}

/**
 * Citric acid monohydrate holds 192.124/210.14 of acid (A. Apelblat, Citric Acid, Springer 2014; 210.14 from
 * memory): 9.4 % more by weight is needed than of the anhydrous kind.
 */
export const CITRIC_MONOHYDRATE_PURITY = 192.124 / 210.14;

/** What the acid is to come to. */
export type AcidGoal =
  /** Titratable acidity, g/100 mL as citric; `shares` by weight of the acids used, the first one when left out. */
  | { titratableGPer100Ml: number; shares?: Partial<Record<KitchenAcidId, number>> }
  /** The acids of another juice, kind by kind. */
  | { like: Ingredient };

export interface AdjustRequest {
  juice: Ingredient;
  volumeMl: number;
  goal: AcidGoal;
  acids: readonly AcidSupply[];
  /** Sweeten too: g/100 mL in the result. */
  sugarGPer100Ml?: number;
  sugar?: Ingredient;
  /** Ingredients for the acids, by their id, as the pantry has them. */
  powders: Partial<Record<KitchenAcidId, Ingredient>>;
  /** Smallest step of the scale, g. */
  scaleStepG?: number;
}

export interface AcidAddition {
  acid: KitchenAcidId | "sugar";
  /** Of what is weighed, before and after rounding to the scale. */
  exactG: number;
  weighG: number;
  cost: number | null;
}

/** What comes of it with the rounded weights. */
export interface Adjusted extends Made {
  additions: AcidAddition[];
  /** Of the juice, and of the result; null where the juice's minerals are not known. */
  phBefore: SourcedValue | null;
  phAfter: SourcedValue | null;
  cost: number | null;
  /** Acids the juice has more of than the profile asks: nothing can take them out. */
  above: KitchenAcidId[];
}

/** Passes of the fixed point: the volume that additions add is a few per cent, so each gains a digit and more. */
const PASSES = 40;

/**
 * Acids (and sugar) that bring a juice to a titratable acidity or to another juice's profile.
 *
 * Additions take room (0.6 mL a gram), so the goal is met in the finished volume. To a profile, each acid goes to
 * the other juice's grams per 100 mL; where the juice already holds more of one, that is said and the total is
 * made up with citric acid. Weights are rounded to the scale, and everything after is worked out from the rounded.
 *
 * @throws EngineError naming the field
 */
export function adjustJuice(request: AdjustRequest): Adjusted {
  const { juice, volumeMl, acids, scaleStepG = 0.1 } = request;
  positive(volumeMl, "/volumeMl", "mL of juice");
  positive(scaleStepG, "/scaleStepG", "the scale's step in grams");
  acids.forEach(({ acid, purity }, i) => {
    if (acids.findIndex((other) => other.acid === acid) < i)
      fail(`/acids/${i}/acid`, `${acid} acid is listed twice`, "list each acid once, as the purest you have");
    requireShare(purity, `/acids/${i}/purity`, "give 1 for anhydrous, 0.914 for citric monohydrate");
  });
  const { pure, sugarG, above } = exactAdditions(request);
  const addition = (acid: AcidAddition["acid"], exactG: number, pricePerKg?: number): AcidAddition => {
    const weighG = Math.round(exactG / scaleStepG) * scaleStepG;
    return { acid, exactG, weighG, cost: pricePerKg === undefined ? null : (pricePerKg * weighG) / 1000 };
  };
  const additions = [
    ...acids.map(({ acid, purity, pricePerKg }) => addition(acid, (pure[acid] ?? 0) / purity, pricePerKg)),
    addition("sugar", sugarG),
  ].filter(({ exactG }) => exactG > 0);
  const composition = combine(amountsOf(request, additions));
  const weighed = additions.filter(({ weighG }) => weighG > 0);
  const buffers = buffersOf(juice);
  const share = volumeMl / composition.volumeMl.value;
  const ingredient = toIngredient(composition, {
    id: `${juice.id}-adjusted`,
    name: `${juice.name}, acid-adjusted`,
    role: sugarG > 0 ? "syrup" : "sour-juice",
    cautions: cautionsOf([juice], "strong-acid"),
    ...(buffers && {
      cationsMeqPerL: { ...buffers, value: buffers.value * share, sd: buffers.sd * share },
    }),
  });
  return {
    additions,
    composition,
    ingredient,
    phBefore: phFigure(juice),
    phAfter: phFigure(ingredient),
    cost: weighed.every(({ cost }) => cost !== null) ? weighed.reduce((s, a) => s + a.cost!, 0) : null,
    above,
  };
}

/** What buffers tap water, meq/L: from soft to hard (estimate). Beside a sour's acid, some 900 meq/L, it hardly counts. */
const TAP_WATER_MEQ = computed(2, 2);

/** Nothing in it but water. */
function isPlainWater(i: Ingredient): boolean {
  const held = [
    i.abvPercent,
    i.otherSolidsGPer100Ml,
    ...Object.values(i.sugarsGPer100Ml),
    ...Object.values(i.acidsGPer100Ml),
  ];
  return held.every((figure) => (figure?.value ?? 0) === 0);
}

/** What buffers it, meq/L: its own minerals where they are known, those of the tap in plain water. */
export function buffersOf(i: Ingredient): SourcedValue | undefined {
  return i.cationsMeqPerL ?? (isPlainWater(i) ? TAP_WATER_MEQ : undefined);
}

type Pure = Partial<Record<KitchenAcidId, number>>;

/** Grams of each acid itself, and of sugar, before rounding. */
function exactAdditions(request: AdjustRequest): { pure: Pure; sugarG: number; above: KitchenAcidId[] } {
  const { juice, volumeMl, acids, goal, sugarGPer100Ml } = request;
  if (acids.length === 0) fail("/acids", "no acid is at hand", "name at least one acid");
  let pure: Pure = {};
  let sugarG = 0;
  let above: KitchenAcidId[] = [];
  const heldAcid = (id: AcidId) => ((juice.acidsGPer100Ml[id]?.value ?? 0) * volumeMl) / 100;
  const titratable = (titratableAcidityGPer100Ml(juice.acidsGPer100Ml) * volumeMl) / 100;
  const heldSugar = (totalSugarGPer100Ml(juice.sugarsGPer100Ml) * volumeMl) / 100;
  let finishedMl = volumeMl;
  for (let pass = 0; pass < PASSES; pass += 1) {
    finishedMl = volumeWith(request, pure, sugarG);
    if (sugarGPer100Ml !== undefined) {
      sugarG = Math.max(0, (sugarGPer100Ml * finishedMl) / 100 - heldSugar) / sugarShareOf(request.sugar);
    }
    if ("like" in goal) ({ pure, above } = towardsProfile(goal.like, finishedMl, heldAcid, acids));
    else pure = towardsTotal(goal, finishedMl, titratable, acids);
  }
  // Only what the finished volume says is final: sugar may yet make room for acid.
  if (sugarGPer100Ml !== undefined && heldSugar > (sugarGPer100Ml * finishedMl) / 100) {
    fail(
      "/sugarGPer100Ml",
      `the juice already holds more than ${sugarGPer100Ml} g/100 mL of sugar`,
      "ask for more, or leave the sugar out",
    );
  }
  if (!("like" in goal) && titratable > (goal.titratableGPer100Ml * finishedMl) / 100) {
    fail(
      "/goal/titratableGPer100Ml",
      `the juice already holds more than ${goal.titratableGPer100Ml} g/100 mL`,
      "ask for more acid, or thin the juice",
    );
  }
  return { pure, sugarG, above };
}

/** Grams of sugar in a gram of the sweetener. */
function sugarShareOf(sweetener: Ingredient | undefined): number {
  const share = sweetener ? totalSugarGPer100Ml(sweetener.sugarsGPer100Ml) / (100 * densityOf(sweetener)) : 0;
  if (!(share > 0)) fail("/sugar", "there is no sweetener that holds sugar", "name the pantry's sugar");
  return share;
}

function towardsProfile(
  like: Ingredient,
  finishedMl: number,
  held: (id: AcidId) => number,
  acids: readonly AcidSupply[],
): { pure: Pure; above: KitchenAcidId[] } {
  const pure: Pure = {};
  const above: KitchenAcidId[] = [];
  let missing = 0;
  for (const id of ACID_IDS) {
    const wanted = ((like.acidsGPer100Ml[id]?.value ?? 0) * finishedMl) / 100 - held(id);
    const supply = acids.find((a) => a.acid === id);
    if (supply && wanted > 0) pure[supply.acid] = wanted;
    else {
      missing += wanted * citricEquivalentPerG(id);
      if (supply && wanted < 0) above.push(supply.acid);
    }
  }
  // What cannot be met kind by kind is made up in the total.
  const [first] = acids;
  const maker = acids.find((a) => a.acid === "citric") ?? first!;
  pure[maker.acid] = Math.max(0, (pure[maker.acid] ?? 0) + missing / citricEquivalentPerG(maker.acid));
  return { pure, above };
}

function towardsTotal(
  goal: Extract<AcidGoal, { titratableGPer100Ml: number }>,
  finishedMl: number,
  heldG: number,
  acids: readonly AcidSupply[],
): Pure {
  const shares = acids.map(({ acid }, i) => {
    return { acid, share: Math.max(0, (goal.shares ? goal.shares[acid] : Number(i === 0)) ?? 0) };
  });
  const perG = shares.reduce((s, { acid, share }) => s + share * citricEquivalentPerG(acid), 0);
  if (!(perG > 0))
    fail("/goal/shares", "no acid at hand has a share above 0", "share the acid among those named");
  const missing = Math.max(0, (goal.titratableGPer100Ml * finishedMl) / 100 - heldG);
  return Object.fromEntries(shares.map(({ acid, share }) => [acid, (missing * share) / perG]));
}

function volumeWith(request: AdjustRequest, pure: Pure, sugarG: number): number {
  const additions = request.acids.map(({ acid, purity }) => ({ acid, weighG: (pure[acid] ?? 0) / purity }));
  return mixtureOf(amountsOf(request, [...additions, { acid: "sugar", weighG: sugarG }])).volumeMl;
}

/** The juice and what is weighed into it, by the pantry's own powders. */
function amountsOf(
  { juice, volumeMl, powders, sugar, acids }: AdjustRequest,
  additions: readonly Pick<AcidAddition, "acid" | "weighG">[],
): Amount[] {
  const weighed = additions.filter(({ weighG }) => weighG > 0);
  return [
    inMl(juice, volumeMl),
    ...weighed.map(({ acid, weighG }) => {
      const [base, pointer] = acid === "sugar" ? [sugar, "/sugar"] : [powders[acid], `/powders/${acid}`];
      if (!base) fail(pointer, `there is no ingredient for ${acid}`, "name the pantry's ingredient to weigh");
      const supply = acids.find((a) => a.acid === acid);
      return inG(supply ? ofPurity(base, supply) : base, weighG);
    }),
  ];
}

/** The pantry's acid with the purity of what is at hand; the rest is water (of crystals or of solution). */
function ofPurity(base: Ingredient, { acid, purity }: AcidSupply): Ingredient {
  const density = base.densityGPerMl;
  if (density === undefined) {
    fail(`/powders/${acid}`, `${base.name} has no density`, "give its density in the pantry");
  }
  const value = 100 * density.value * purity;
  const old = base.acidsGPer100Ml[acid];
  return { ...base, acidsGPer100Ml: { [acid]: { ...(old ?? computed(value, 0.003 * value)), value } } };
}

/** What a charge balance leaves out (proteins, phosphates, temperature), as a standard uncertainty of pH (estimate). */
const PH_MODEL_SD = 0.12;

/**
 * pH of a juice or prep by charge balance: its acids with published pKa values against the potassium, sodium,
 * calcium and magnesium that buffer it. Null where those are not known: without them lemon comes out 0.4 too low
 * and grapefruit 1.0.
 */
export function phFigure({
  acidsGPer100Ml,
  cationsMeqPerL,
}: Pick<Ingredient, "acidsGPer100Ml" | "cationsMeqPerL">): SourcedValue | null {
  if (cationsMeqPerL === undefined) return null;
  const acids = Object.entries(acidsGPer100Ml) as [AcidId, SourcedValue][];
  const at = (factor: number, cations: number) =>
    phOf(acidBaseOf(Object.fromEntries(acids.map(([id, v]) => [id, factor * v.value])), cations));
  const value = at(1, cationsMeqPerL.value);
  const total = titratableAcidityGPer100Ml(acidsGPer100Ml);
  const doubt = Math.hypot(...acids.map(([id, v]) => v.sd * citricEquivalentPerG(id)));
  const share = total > 0 ? doubt / total : 0;
  const sd = Math.hypot(
    PH_MODEL_SD,
    at(1 + share, cationsMeqPerL.value) - value,
    at(1, cationsMeqPerL.value + cationsMeqPerL.sd) - value,
  );
  return computed(value, sd, cationsMeqPerL.memory);
}
