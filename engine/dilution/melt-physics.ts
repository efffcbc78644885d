import type { Totals } from "../mix/totals.ts";
import { freezingPointC } from "../physics/freezing.ts";
import {
  drinkHeatCapacityJPerK,
  excessEnthalpyJ,
  ICE_HEAT_CAPACITY_J_PER_G_K,
  ICE_LATENT_HEAT_J_PER_G,
  WATER_HEAT_CAPACITY_J_PER_G_K,
} from "../physics/heat.ts";
import { type Derivative, integrate } from "../physics/integrate.ts";

/** A liquid on ice in a vessel in a room. */
export interface MeltSetup {
  /** The liquid, without the water that is on the ice. */
  liquid: Totals;
  liquidTempC: number;
  /** Water on the ice, at 0 °C: it joins at once. */
  wetG: number;
  iceG: number;
  iceTempC: number;
  /** Edge of a piece; pieces are taken as cubes that shrink alike. */
  iceSideMm: number;
  vesselJPerK: number;
  vesselTempC: number;
  roomTempC: number;
  /** Liquid to ice, W/(m²·K). */
  exchangeWPerM2K: number;
  /** Liquid to vessel, and vessel to room, W/K. */
  vesselWPerK: number;
  roomWPerK: number;
  /** Added to every freezing point, °C: for its doubt. */
  freezingShiftC: number;
}

/** Density of ice, g/cm³ (0 °C, from memory). */
const ICE_G_PER_CM3 = 0.917;

/**
 * How fast a piece of ice follows its surface: rate = K α / side², with α = 1.1 mm²/s (from memory) and K = 55, the
 * linear driving force that stands for conduction inside a cube (after E. Glueckauf 1955, from memory). Three quarters
 * of a 25 mm cube follow in 15 s, as the full series says.
 */
const ICE_FOLLOWING_MM2_PER_S = 55 * 1.1;

/**
 * A piece that follows within a tenth of a second is as cold as its surface, whatever its size. Followed faster still,
 * the last specks of ice in a drink that has stopped melting (0.2 mm, within a millisecond) would set the length of
 * every step for as long as the drink stands.
 */
const FASTEST_FOLLOWING_PER_S = 10;

/** Below this share of the ice at the start it is gone: what is left is a skin. */
const ICE_GONE = 1e-4;

/** Errors per step: temperature of liquid, g melted, temperatures of ice and vessel. */
const TOLERANCE = [1e-4, 1e-4, 1e-3, 1e-4] as const;

/** What changes while ice melts: the liquid's °C, grams melted, the ice's °C, the vessel's °C. */
type State = readonly [tempC: number, meltedG: number, iceTempC: number, vesselTempC: number];
const stateOf = (y: Float64Array): State => [y[0]!, y[1]!, y[2]!, y[3]!];

/** Where it stands at one moment. */
export type MeltState = ReturnType<typeof followMelting>[number];

/**
 * Follow a liquid on ice through the wanted times (s, increasing).
 *
 * Heat goes from the liquid to the surface of the ice, which stands at the liquid's own freezing point; what the
 * ice's inside does not take melts it. The water joins at that temperature, gives off its heat of mixing (Larkin at
 * 25 °C, extrapolated) and moves the freezing point. The vessel gives its heat to the liquid and takes the room's.
 * Left alone without a room, it ends where a full heat balance ends. Water may also freeze onto very cold ice.
 */
export function followMelting(setup: MeltSetup, timesS: readonly number[]) {
  const { liquid, iceG } = setup;
  const solids = liquid.sugarG + liquid.acidG + liquid.otherSolidsG;
  const water = (melted: number) => liquid.waterG + setup.wetG + melted;
  const freezing = (melted: number) =>
    freezingPointC(liquid.ethanolG, water(melted), liquid.sucroseLikeG, liquid.acidG) + setup.freezingShiftC;
  const heatJPerK = (melted: number, tempC: number) =>
    drinkHeatCapacityJPerK(liquid.ethanolG, water(melted), solids, tempC);

  const derivative: Derivative = (_t, y, out) => {
    const [tempC, melted, iceTempC, vesselTempC] = stateOf(y);
    const surfaceC = freezing(melted);
    const left = iceG - melted;
    const there = left > ICE_GONE * iceG;
    const size = there ? (left / iceG) ** (1 / 3) : 0;
    const sideMm = setup.iceSideMm * size;
    const areaM2 = there ? (6 * left) / (ICE_G_PER_CM3 * sideMm) / 1000 : 0;
    const toIceW = setup.exchangeWPerM2K * areaM2 * (tempC - surfaceC);
    const followPerS = there
      ? Math.min(FASTEST_FOLLOWING_PER_S, ICE_FOLLOWING_MM2_PER_S / (sideMm * sideMm))
      : 0;
    const intoIceW = left * ICE_HEAT_CAPACITY_J_PER_G_K * followPerS * (surfaceC - iceTempC);
    // Melting at t below 0 °C takes less heat by what water and ice differ in heat capacity.
    const latent =
      ICE_LATENT_HEAT_J_PER_G + (WATER_HEAT_CAPACITY_J_PER_G_K - ICE_HEAT_CAPACITY_J_PER_G_K) * surfaceC;
    const meltGPerS = there ? (toIceW - intoIceW) / latent : 0;
    const mixingJPerG =
      (excessEnthalpyJ(liquid.ethanolG, water(melted - 0.01)) -
        excessEnthalpyJ(liquid.ethanolG, water(melted + 0.01))) /
      0.02;
    const fromVesselW = setup.vesselWPerK * (vesselTempC - tempC);
    const joiningW = meltGPerS * (mixingJPerG - WATER_HEAT_CAPACITY_J_PER_G_K * (tempC - surfaceC));
    out[0] = (fromVesselW - toIceW + joiningW) / heatJPerK(melted, tempC);
    out[1] = meltGPerS;
    // The layer that melts leaves at the surface's temperature, warmer than the mean.
    out[2] = there ? followPerS * (surfaceC - iceTempC) - (meltGPerS * (surfaceC - iceTempC)) / left : 0;
    out[3] =
      setup.vesselJPerK > 0
        ? (setup.roomWPerK * (setup.roomTempC - vesselTempC) - fromVesselW) / setup.vesselJPerK
        : 0;
  };

  const joinedJPerK = heatJPerK(0, setup.liquidTempC);
  const mixingJ = liquid.excessEnthalpyJ - excessEnthalpyJ(liquid.ethanolG, water(0));
  const ownJPerK = joinedJPerK - setup.wetG * WATER_HEAT_CAPACITY_J_PER_G_K;
  const startC = (ownJPerK * setup.liquidTempC + mixingJ) / joinedJPerK;
  const start = [startC, 0, setup.iceTempC, setup.vesselTempC];
  return integrate(derivative, start, timesS, TOLERANCE).map((y) => {
    const [tempC, meltedG, iceTempC, vesselTempC] = stateOf(y);
    // The step that ends the ice may overshoot it by its tolerance.
    const iceLeftG = Math.max(0, iceG - meltedG);
    return {
      tempC,
      /** Ice water in the liquid, what was on the ice included. */
      waterG: setup.wetG + iceG - iceLeftG,
      iceLeftG,
      iceTempC,
      vesselTempC,
    };
  });
}
