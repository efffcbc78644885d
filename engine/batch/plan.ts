import { toPoint, toVec } from "../axes.ts";
import { fail, requireInRange } from "../errors.ts";
import { subtract3 } from "../linalg.ts";
import { addWater, type Totals, totalsOf } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import { FREEZING_SD_C, freezingPointC } from "../physics/freezing.ts";
import { type PlaceOptions, place } from "../place/place.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import { type Amount, combine, inMl, poured } from "../prep/combine.ts";
import { keepingOf } from "../prep/keeping.ts";
import type { Keeping } from "../prep/types.ts";
import { BOTTLE_ML, BOTTLED, wholeUp } from "../thrift/needs.ts";
import { ALONE } from "../thrift/split-build.ts";
import type { CautionId, DilutionChoice, Ingredient, Pantry, Role, SourcedValue, Spec } from "../types.ts";

/** How much is made. */
export type BatchSize =
  | { serves: number }
  /** Bottles of one size, filled to leave a little air. */
  | { bottleMl: number; bottles: number }
  | { kegMl: number };

export interface BatchRequest {
  spec: Spec;
  size: BatchSize;
  /** Part of the melt water that goes into the batch, 0..1: 1 to pour it cold as it is, 0 to shake or stir to order. */
  dilutedShare?: number;
  /** Freezer (or other cold place) the batch is kept in, °C. */
  freezerTempC?: number;
  /** Size of a bottle bought, mL, for the shopping list. */
  boughtBottleMl?: number;
}

/** When a line goes in. Citrus and other fresh juice come last; egg, dairy and toppings only with the serve. */
export type BatchMoment = "base" | "last" | "serve";

/** Whether the batch stays pourable where it is kept. */
export interface FreezerCheck {
  freezerTempC: number;
  freezingC: SourcedValue;
  state: "pours" | "may-freeze" | "freezes";
  /** Share of the batch's water that is ice there, 0..1. */
  frozenShare: number;
}

/**
 * What a batch is measured with: the step grows with the amount, so that rounding is one and a quarter per cent
 * at most above a spoonful (common practice, no published source).
 */
const STEPS: readonly (readonly [belowMl: number, stepMl: number])[] = [
  [20, 0.1],
  [100, 0.5],
  [500, 2.5],
  [1000, 5],
  [5000, 25],
  [Number.POSITIVE_INFINITY, 100],
];

/** Air left in a bottle and in a keg (common practice, no published source). */
const BOTTLE_FILL = 0.97;
const KEG_FILL = 0.9;
const MOST_SERVES = 10_000;

/** Uncertainty of a jug, as a share of what is measured (estimate). */
const JUG_SHARE = 0.01;

const LAST: ReadonlySet<Role> = new Set<Role>(["sour-juice", "sweet-juice"]);

/** A batch, and how it is made, kept and served. */
export type BatchPlan = ReturnType<typeof planBatch>;

/**
 * A batch of a drink: the same glass many times, with its melt water put in ahead by the same physics, every
 * amount rounded to what is measured, and the drink that the rounded amounts make.
 *
 * @throws EngineError naming the field; as `place`
 */
export function planBatch(request: BatchRequest, pantry: Pantry, options: PlaceOptions = {}) {
  const { spec, dilutedShare = 1 } = request;
  const shares = "give 1 to pour as it is, 0 to shake or stir to order";
  requireInRange(dilutedShare, [0, 1], "/dilutedShare", shares);
  const { model, volumesMl } = prepareSpec(spec, pantry, options);
  const one = place(spec, pantry, { ...options, doubts: false });
  const whens = model.ingredients.map(({ role }, i) => momentOf(role, model.stages[i]!));
  const inBatch = (i: number) => whens[i] !== "serve";
  if (!whens.some((_, i) => inBatch(i) && volumesMl[i]! > 0)) {
    fail(
      "/spec/lines",
      "nothing of this drink can stand ahead of the serve",
      "batch a drink with a base that keeps",
    );
  }
  const waterOfOne = dilutedShare * one.dilution.waterMl;
  const held = (volumes: readonly number[], waterMl: number) => {
    const totals = totalsOf(
      model.coeffs,
      volumes.map((v, i) => (inBatch(i) ? v : 0)),
    );
    addWater(totals, waterMl * WATER_G_PER_ML);
    return totals;
  };
  const portion = mixedVolumeMl(held(volumesMl, waterOfOne));
  const serves = servesOf(request.size, portion);
  const rounded = volumesMl.map((v, i) => (inBatch(i) ? roundToStep(serves * v) : serves * v));
  const waterPour = roundToStep(serves * waterOfOne);
  const batch = held(rounded, waterPour);
  const batchMl = mixedVolumeMl(batch);
  // Water put in ahead is known; what the ice adds to order is the model's.
  const dilution: DilutionChoice | undefined =
    dilutedShare === 1
      ? { model: "measured", waterMl: waterPour / serves, sdMl: JUG_SHARE * waterOfOne }
      : spec.dilution;
  const served = spec.lines.map((line, i) => ({
    ...line,
    amount: rounded[i]! / serves,
    unit: "ml" as const,
  }));
  const serve = place({ ...spec, dilution, lines: served }, pantry, options);
  const { ingredients } = model;
  return {
    serves,
    lines: ingredients.map((ingredient, i) => ({
      ingredient: ingredient.id,
      name: ingredient.name,
      when: whens[i]!,
      /** For the whole batch, before and after rounding to what is measured. */
      exactMl: serves * volumesMl[i]!,
      pourMl: rounded[i]!,
      massG: rounded[i]! * model.coeffs[i]!.massG,
      ...toBuy(ingredient, rounded[i]!, request.boughtBottleMl ?? BOTTLE_ML),
    })),
    /** Melt water put in ahead, for the whole batch. */
    waterMl: { exactMl: serves * waterOfOne, pourMl: waterPour },
    /** What is in the container: base, last and water. */
    batchMl,
    batchG: batch.massG,
    batchAbvPercent: (100 * batch.ethanolMl) / batchMl,
    /** Poured of the batch for one serve, before any ice and topping. */
    portionMl: batchMl / serves,
    /** One serve as finished, from the rounded amounts. */
    serve,
    /** What rounding moved, per axis. */
    drift: toPoint(subtract3(toVec(serve.point), toVec(one.point))),
    freezer: request.freezerTempC === undefined ? null : freezerCheck(batch, request.freezerTempC),
    keeping: keepingOfBatch(
      ingredients.flatMap((ingredient, i) => (inBatch(i) ? [inMl(ingredient, rounded[i]!)] : [])),
      waterPour,
      pantry,
    ),
    cautions: [
      ...new Set<CautionId>([...serve.cautions, ...(batch.ethanolMl > 0 ? ["batching" as const] : [])]),
    ],
    cost: serve.cost === null ? null : serves * serve.cost,
  };
}

function momentOf(role: Role, stage: "mix" | "top"): BatchMoment {
  if (stage === "top" || ALONE.has(role)) return "serve";
  return LAST.has(role) ? "last" : "base";
}

function servesOf(size: BatchSize, portionMl: number): number {
  const remedy = "give a number of serves, or a container that holds one";
  const counted = (n: number, pointer: string) => requireInRange(n, [1, MOST_SERVES], pointer, remedy);
  if ("serves" in size) return counted(size.serves, "/size/serves");
  if ("kegMl" in size) return counted(Math.floor((KEG_FILL * size.kegMl) / portionMl + 1e-9), "/size/kegMl");
  if (!(size.bottles >= 1 && Number.isInteger(size.bottles)))
    fail("/size/bottles", `${size.bottles} is not a whole number of bottles`, "give 1 or more");
  // A bottle holds as much as fits, not whole serves: it is filled, and poured until empty.
  return counted((size.bottles * BOTTLE_FILL * size.bottleMl) / portionMl, "/size/bottleMl");
}

function roundToStep(ml: number): number {
  const [, step] = STEPS.find(([below]) => ml < below)!;
  return ml > 0 ? Math.max(step, Math.round(ml / step) * step) : 0;
}

function toBuy({ role, pieceMl }: Ingredient, ml: number, bottleMl: number) {
  const pieces = LAST.has(role) && pieceMl ? wholeUp(ml / pieceMl.value) : null;
  return { bottles: BOTTLED.has(role) ? wholeUp(ml / bottleMl) : null, pieces };
}

/**
 * Will it pour at that temperature? Water freezes out of a drink until what is left freezes no higher: at
 * equilibrium the unfrozen part has the freezer as its freezing point.
 */
function freezerCheck(batch: Totals, freezerTempC: number): FreezerCheck {
  requireInRange(freezerTempC, [-60, 25], "/freezerTempC", "give the freezer's temperature in °C", {
    unit: "°C",
  });
  const freezing = (frozenG: number) =>
    freezingPointC(batch.ethanolG, batch.waterG - frozenG, batch.sucroseLikeG, batch.acidG);
  const value = freezing(0);
  const over = freezerTempC - value;
  let frozenG = 0;
  if (over < 0 && batch.waterG > 0) {
    const mostG = MOST_FROZEN * batch.waterG;
    const isBlock = freezing(mostG) > freezerTempC;
    frozenG = isBlock ? mostG : findRoot((g) => freezing(g) - freezerTempC, 0, mostG, 1e-6);
  }
  return {
    freezerTempC,
    freezingC: { value, sd: FREEZING_SD_C, source: "crc-concentrative" },
    state: over > 2 * FREEZING_SD_C ? "pours" : over < -2 * FREEZING_SD_C ? "freezes" : "may-freeze",
    frozenShare: frozenG / batch.waterG || 0,
  };
}

/** Beyond this share of its water a drink is a block, and the tables of freezing points end. */
const MOST_FROZEN = 0.98;

function keepingOfBatch(parts: readonly Amount[], waterMl: number, pantry: Pantry): Keeping {
  const water = pantry.get("water");
  const held = poured(...parts, ...(water ? [inMl(water, waterMl)] : []));
  return keepingOf({
    composition: combine(held),
    parts: parts.map((p) => p.ingredient),
    steeped: [],
    storage: "fridge",
    simmered: false,
    ph: null,
  });
}
