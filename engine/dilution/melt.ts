import { fail, requireAtLeast0, requireInRange } from "../errors.ts";
import { addWater, SMALLEST_POUR_ML, type Totals } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import { FREEZING_SD_C } from "../physics/freezing.ts";
import { excessEnthalpyJ } from "../physics/heat.ts";
import type { IceConditions, Method, ServingIce, Vec3 } from "../types.ts";
import { checkIceConditions, iceConditions } from "./conditions.ts";
import { lineHeatJPerK } from "./heat-correction.ts";
import { followMelting, type MeltSetup, type MeltState } from "./melt-physics.ts";
import { METHODS } from "./methods.ts";
import { pointOf } from "./model.ts";
import { asPoured, type PouredLine } from "./temperature.ts";

/** What is done with the drink while its ice melts. */
export type MeltAction = "shaking" | "stirring" | "throwing" | "standing";

/** The glass the drink is served in, and how long it stands there. */
export interface ServedMelt {
  on: ServingIce;
  seconds: number;
  iceMassG?: number;
  iceSideMm?: number;
  iceTempC?: number;
  glassMassG?: number;
  glassTempC?: number;
}

export interface MeltRequest {
  lines: readonly PouredLine[];
  method: Method;
  /** Over the method's usual ones; `approach` is not used: time says how near it comes. */
  conditions?: Partial<IceConditions>;
  /** Seconds of shaking, stirring or throwing; the method's usual time when left out. */
  seconds?: number;
  iceSideMm?: number;
  roomTempC?: number;
  served?: ServedMelt;
  /** Factor on how fast heat goes from liquid to ice, from a calibration. */
  exchangeFactor?: number;
}

interface Handling {
  action: MeltAction;
  seconds: number;
  /** Liquid to ice, W/(m²·K). */
  exchangeWPerM2K: number;
  iceSideMm: number;
  /** Time the vessel needs to follow the liquid, s. */
  vesselFollowsS: number;
}

/**
 * How each method is handled (estimates). The exchange of a shake is such that a drink is within a degree of its
 * end by 12 s, and that of stirring such that it would need more than two minutes (D. Arnold's experiments, 2009 and
 * 2010); ice at rest is natural convection, a few hundred W/(m²·K) at most (textbook order of magnitude, from memory).
 */
const HANDLING: Readonly<Partial<Record<Method, Handling>>> = {
  shaken: { action: "shaking", seconds: 13, exchangeWPerM2K: 7000, iceSideMm: 30, vesselFollowsS: 4 },
  stirred: { action: "stirring", seconds: 30, exchangeWPerM2K: 430, iceSideMm: 30, vesselFollowsS: 12 },
  thrown: { action: "throwing", seconds: 20, exchangeWPerM2K: 1500, iceSideMm: 30, vesselFollowsS: 6 },
  built: { action: "stirring", seconds: 8, exchangeWPerM2K: 400, iceSideMm: 30, vesselFollowsS: 12 },
  crushed: { action: "stirring", seconds: 15, exchangeWPerM2K: 900, iceSideMm: 8, vesselFollowsS: 12 },
};

const AT_REST_W_PER_M2_K = 150;
/** Heat from room and hands, W/K (estimates): a tin in two hands; a glass on its coaster, 9 W/(m²·K) on 220 cm². */
const ROOM_W_PER_K = { handled: 0.5, standing: 0.2 } as const;
const ROOM_TEMP_C = 21;

/** What stands in a glass when nothing is said (estimates): mass of ice in g and edge in mm. */
const SERVING: Readonly<Record<ServingIce, { iceMassG: number; iceSideMm: number }>> = {
  none: { iceMassG: 0, iceSideMm: 30 },
  cubes: { iceMassG: 100, iceSideMm: 30 },
  rock: { iceMassG: 110, iceSideMm: 50 },
  crushed: { iceMassG: 140, iceSideMm: 8 },
};
/** A glass of which some 120 g follow the drink slowly. */
const GLASS = { massG: 120, heatJPerGK: 0.8, followsS: 30 } as const;

/** Moments shown of each phase. */
const MOMENTS = 40;

/** A setup with something changed; `first`: of the first phase, which the next follows from. */
type Change = (setup: MeltSetup, first: boolean) => MeltSetup;

/** One thing changed at a time, by one standard uncertainty (estimates), for the doubts of the track. */
const DOUBTS: readonly Change[] = [
  (s, first) => ({ ...s, liquidTempC: s.liquidTempC + (first ? 2 : 0) }),
  (s) => ({ ...s, wetG: s.wetG + 0.02 * s.iceG }),
  (s) => ({ ...s, vesselJPerK: 1.3 * s.vesselJPerK, vesselWPerK: 1.3 * s.vesselWPerK }),
  (s) => ({ ...s, exchangeWPerM2K: 1.4 * s.exchangeWPerM2K }),
  (s) => ({ ...s, iceSideMm: 1.25 * s.iceSideMm }),
  (s) => ({ ...s, iceTempC: s.iceTempC - 1 }),
  (s) => ({ ...s, freezingShiftC: FREEZING_SD_C }),
  (s) => ({ ...s, roomWPerK: 1.5 * s.roomWPerK }),
];

/** The drink against time. Arrays of equal length; the first moment is that of pouring over the ice. */
export type MeltTrack = ReturnType<typeof meltOverTime>;

/**
 * Temperature, water and the point on the map against time: mixed on ice by the method, strained, and standing in the
 * glass it is served in. A built drink and one on crushed ice stay on their ice and stand on in it.
 *
 * The doubts are those of temperatures, wetness, vessel, handling, size of the ice and room, each moved once.
 *
 * @throws EngineError naming the field; for a method that melts no ice in a vessel
 */
export function meltOverTime(request: MeltRequest) {
  const plan = planOf(request);
  const middle = run(plan, (s) => s);
  const moved = DOUBTS.map((change) => run(plan, change));
  const sdOf = (of: (s: Moment) => number) =>
    middle.map((m, k) => Math.hypot(...moved.map((other) => of(other[k]!) - of(m))));
  const { mixMl, making, standing } = plan;
  return {
    timeS: middle.map((m) => m.timeS),
    tempC: middle.map((m) => m.tempC),
    tempSdC: sdOf((m) => m.tempC),
    /** Ice water in the drink, and per mL poured into the mix. */
    waterMl: middle.map((m) => m.waterMl),
    ratio: middle.map((m) => m.waterMl / mixMl),
    ratioSd: sdOf((m) => m.waterMl / mixMl),
    iceLeftG: middle.map((m) => m.iceLeftG),
    /** Sugar g/100 mL, acid g/100 mL, % vol of what is in the vessel or glass at that moment. */
    path: middle.map((m) => m.point),
    phases: standing ? [making, standing.phase] : [making],
  };
}

/** What one weighed drink says of your ice and your hand. */
export interface MeltCalibration {
  /** To be put into the next request. */
  adherentWaterShare: number;
  exchangeFactor: number;
  /** Water that the model gives with these, mL; differs from the measured one only where nothing plausible fits. */
  waterMl: number;
}

/**
 * Fit the model to one weighed drink, taken when the mixing ended.
 *
 * A shake comes near its end whoever shakes, so what differs is how wet the ice was: that is fitted first, and the
 * speed of exchange only where wetness alone cannot explain it. Stirring and standing depend on hand and time, so
 * there it is the other way round.
 *
 * @param waterMl ice water in the drink as weighed
 * @throws EngineError as `meltOverTime`; for water that is not a number of at least 0
 */
export function calibrateMelt(request: MeltRequest, waterMl: number): MeltCalibration {
  requireAtLeast0(waterMl, "/waterMl", "weigh the drink before and after", " mL");
  const usual = {
    adherentWaterShare: iceConditions(request.method, request.conditions)?.adherentWaterShare ?? 0,
    exchangeFactor: request.exchangeFactor ?? 1,
  };
  const waterWith = ({ exchangeFactor, adherentWaterShare }: typeof usual) => {
    const conditions = { ...request.conditions, adherentWaterShare };
    const plan = planOf({ ...request, conditions, exchangeFactor, served: undefined });
    return run(plan, (s) => s).at(-1)!.waterMl;
  };
  const fitted = (from: typeof usual, key: keyof typeof usual) => {
    const [low, high] = PLAUSIBLE[key];
    const off = (x: number) => waterWith({ ...from, [key]: x }) - waterMl;
    const value = off(low) >= 0 ? low : off(high) <= 0 ? high : findRoot(off, low, high, 1e-5);
    return { ...from, [key]: value };
  };
  const shaken = HANDLING[request.method]?.action === "shaking";
  const [first, second] = shaken
    ? (["adherentWaterShare", "exchangeFactor"] as const)
    : (["exchangeFactor", "adherentWaterShare"] as const);
  const once = fitted(usual, first);
  const both = Math.abs(waterWith(once) - waterMl) > 0.01 ? fitted(once, second) : once;
  return { ...both, waterMl: waterWith(both) };
}

/** How wet bar ice can be, as a share of its mass, and how far a hand differs from the usual (estimates). */
const PLAUSIBLE = { adherentWaterShare: [0, 0.15], exchangeFactor: [0.1, 5] } as const;

interface Moment extends MeltState {
  timeS: number;
  waterMl: number;
  point: Vec3;
}

interface Phase {
  action: MeltAction;
  fromS: number;
  toS: number;
}

/** What follows when the mixing is done. */
interface Standing {
  phase: Phase;
  /** Everything that is then in the glass, but ice water. */
  poured: Totals;
  /** What it starts with, given how things stood before it. */
  setup(before: MeltState): MeltSetup;
}

interface Plan {
  onIce: MeltSetup;
  making: Phase;
  standing: Standing | null;
  mixMl: number;
}

function run({ onIce, making, standing }: Plan, change: Change): Moment[] {
  const made = follow(making, change(onIce, true), onIce.liquid, 0);
  if (standing === null) return made;
  const before = made.at(-1)!;
  const setup = change(standing.setup(before), false);
  return [...made, ...follow(standing.phase, setup, standing.poured, before.waterG)];
}

/** The moments of one phase, which starts with `carriedG` of ice water in the drink. */
function follow({ fromS, toS }: Phase, setup: MeltSetup, poured: Totals, carriedG: number): Moment[] {
  const times = Array.from({ length: MOMENTS + 1 }, (_, k) => ((toS - fromS) * k) / MOMENTS);
  return followMelting(setup, times).map((state, k) => {
    const waterG = carriedG + state.waterG;
    const all = { ...poured };
    addWater(all, waterG);
    return {
      ...state,
      timeS: fromS + times[k]!,
      waterMl: waterG / WATER_G_PER_ML,
      point: pointOf(all, mixedVolumeMl(all)),
    };
  });
}

function planOf(request: MeltRequest): Plan {
  const { method, lines, served, roomTempC = ROOM_TEMP_C, exchangeFactor = 1 } = request;
  const handling = HANDLING[method];
  const conditions = iceConditions(method, request.conditions);
  if (handling === undefined || conditions === null) {
    fail(
      "/method",
      `no ice melts in a vessel by the method "${method}"`,
      "use shaken, stirred, thrown, built or crushed",
    );
  }
  checkIceConditions(conditions);
  const seconds = within(request.seconds ?? handling.seconds, [1, 600], "/seconds", "s");
  const iceSideMm = within(request.iceSideMm ?? handling.iceSideMm, [2, 150], "/iceSideMm", "mm");
  within(roomTempC, [-10, 45], "/roomTempC", "°C");
  within(exchangeFactor, [0.02, 50], "/exchangeFactor");
  if (!(conditions.iceMassG > 0)) fail("/conditions/iceMassG", "there is no ice", "give its mass in g");
  for (const [i, { volumeMl }] of lines.entries())
    requireAtLeast0(volumeMl, `/lines/${i}/volumeMl`, "give mL of zero or more", " mL");
  const { staysOnIce } = METHODS[method];
  const first = lines.filter((l) => l.stage === "mix" || staysOnIce);
  const after = lines.filter((l) => !first.includes(l));
  const start = asPoured(first, conditions);
  if (!(start.totals.pouredMl >= SMALLEST_POUR_ML))
    fail("/lines", "nothing is mixed with ice", "give a line an amount above zero");
  const vesselJPerK = conditions.vesselMassG * conditions.vesselHeatCapacityJPerGK;
  const onIce: MeltSetup = {
    liquid: start.totals,
    liquidTempC: start.tempC,
    wetG: conditions.iceMassG * conditions.adherentWaterShare,
    iceG: conditions.iceMassG * (1 - conditions.adherentWaterShare),
    iceTempC: conditions.iceTempC,
    iceSideMm,
    vesselJPerK,
    vesselTempC: conditions.vesselTempC,
    roomTempC,
    exchangeWPerM2K: exchangeFactor * handling.exchangeWPerM2K,
    vesselWPerK: vesselJPerK / handling.vesselFollowsS,
    roomWPerK: ROOM_W_PER_K.handled,
    freezingShiftC: 0,
  };
  const leftAlone = {
    ...onIce,
    exchangeWPerM2K: exchangeFactor * AT_REST_W_PER_M2_K,
    roomWPerK: ROOM_W_PER_K.standing,
  };
  let standing: Standing | null = null;
  if (served && served.seconds > 0) {
    const toS = seconds + within(served.seconds, [1, 7200], "/served/seconds", "s");
    const then = staysOnIce ? standingOn(leftAlone) : strained(leftAlone, served, first, after, conditions);
    standing = { phase: { action: "standing", fromS: seconds, toS }, ...then };
  }
  return {
    onIce,
    making: { action: handling.action, fromS: 0, toS: seconds },
    standing,
    mixMl: lines.reduce((s, l) => s + (l.stage === "mix" ? l.volumeMl : 0), 0) || start.totals.pouredMl,
  };
}

/** The same ice, left alone. */
function standingOn(was: MeltSetup): Omit<Standing, "phase"> {
  return {
    poured: was.liquid,
    setup: (before) => ({
      ...was,
      ...onward(was.liquid, before),
      wetG: 0,
      iceG: before.iceLeftG,
      iceTempC: before.iceTempC,
      iceSideMm: was.iceSideMm * (before.iceLeftG / was.iceG) ** (1 / 3),
      vesselTempC: before.vesselTempC,
    }),
  };
}

/** Strained off its ice into a glass, topped, and left there on whatever it is served on. */
function strained(
  was: MeltSetup,
  served: ServedMelt,
  lines: readonly PouredLine[],
  toppings: readonly PouredLine[],
  conditions: IceConditions,
): Omit<Standing, "phase"> {
  const usual = SERVING[served.on];
  const iceG =
    served.on === "none" ? 0 : within(served.iceMassG ?? usual.iceMassG, [0, 5000], "/served/iceMassG", "g");
  const iceSideMm = within(served.iceSideMm ?? usual.iceSideMm, [2, 150], "/served/iceSideMm", "mm");
  const iceTempC = within(served.iceTempC ?? conditions.iceTempC, [-40, 0], "/served/iceTempC", "°C");
  const glassG = within(served.glassMassG ?? GLASS.massG, [0, 5000], "/served/glassMassG", "g");
  const vesselTempC = within(served.glassTempC ?? was.roomTempC, [-40, 60], "/served/glassTempC", "°C");
  const topping = asPoured(toppings, conditions);
  const wetG = iceG * conditions.adherentWaterShare;
  const vesselJPerK = glassG * GLASS.heatJPerGK;
  return {
    poured: asPoured([...lines, ...toppings], conditions).totals,
    setup: (before) => {
      const { liquid, liquidTempC } = onward(was.liquid, before);
      const [heat, topHeat] = [lineHeatJPerK(liquid), topping.heatJPerK];
      for (const key of Object.keys(liquid) as (keyof Totals)[]) liquid[key] += topping.totals[key];
      return {
        ...was,
        liquid,
        liquidTempC: (heat * liquidTempC + topHeat * topping.tempC) / (heat + topHeat),
        wetG,
        iceG: iceG - wetG,
        iceTempC,
        iceSideMm,
        vesselJPerK,
        vesselTempC,
        vesselWPerK: vesselJPerK / GLASS.followsS,
      };
    },
  };
}

/** The liquid as the last phase left it; its heat of mixing has been given off. */
function onward(start: Totals, { waterG, tempC }: MeltState) {
  const liquid = { ...start };
  addWater(liquid, waterG);
  liquid.excessEnthalpyJ = excessEnthalpyJ(liquid.ethanolG, liquid.waterG);
  return { liquid, liquidTempC: tempC };
}

const within = (value: number, range: readonly [number, number], pointer: string, unit = "") =>
  requireInRange(value, range, pointer, "give a value within that range", { unit });
