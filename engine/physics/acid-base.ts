import { MAX_ITERATIONS } from "../tolerances.ts";
import type { AcidId } from "../types.ts";
import { ACIDS, type NamedAcid } from "./acids.ts";
import { findRoot } from "./find-root.ts";

/** −log₁₀ of the ion product of water at 25 °C (handbook value, from memory). */
const PKW = 13.995;

/** Debye–Hückel constant at 25 °C, and the linear term of Davies's 1962 form (read). */
const DEBYE_HUECKEL_A = 0.509;
const DAVIES_LINEAR = 0.3;

/**
 * log₁₀ of the activity coefficient of an ion of charge z by C. W. Davies (Ion Association, 1962, p. 41):
 * −A z² (√I/(1+√I) − 0.3 I). Good to about I = 0.5 mol/L.
 */
export function daviesLogActivity(charge: number, ionicStrength: number): number {
  const root = Math.sqrt(ionicStrength);
  return -DEBYE_HUECKEL_A * charge * charge * (root / (1 + root) - DAVIES_LINEAR * ionicStrength);
}

/** What a liquid's pH is worked out from. */
export interface AcidBase {
  /** mol/L of each acid, dissociated or not. */
  molPerL: Partial<Record<NamedAcid, number>>;
  /** Net charge of ions that stay charged (potassium, sodium, calcium, magnesium), meq/L. */
  strongCationsMeqPerL: number;
}

/** Charge that an acid carries per molecule, and its Σ z² for the ionic strength. */
function charges(
  pKa: readonly number[],
  pH: number,
  ionicStrength: number,
): { mean: number; squares: number } {
  let weight = 1;
  let total = 1;
  let [mean, squares] = [0, 0];
  pKa.forEach((k, j) => {
    const z = j + 1;
    const shift = daviesLogActivity(z - 1, ionicStrength) - daviesLogActivity(z, ionicStrength);
    weight *= 10 ** (pH - k + shift);
    total += weight;
    mean += z * weight;
    squares += z * z * weight;
  });
  return { mean: mean / total, squares: squares / total };
}

/**
 * pH (−log₁₀ of the hydrogen ion's activity, what an electrode reads) by charge balance with Davies activities.
 * Sugar is left out: up to 50 % of sucrose does not move the pH of lemon juice (Plant Physiology, 1946; abstract
 * read). Alcohol is left out too, so a drink's own pH is not predicted, only that of juices and preps.
 *
 * @returns pH between 0 and 14; pure water 7
 */
export function phOf({ molPerL, strongCationsMeqPerL }: AcidBase): number {
  const acids = (Object.entries(molPerL) as [NamedAcid, number][]).map(([id, mol]) => {
    return { mol, pKa: ACIDS[id].pKa };
  });
  const strong = strongCationsMeqPerL / 1000;
  let ionicStrength = 0;
  /** Positive charge less negative, mol/L; falls as pH rises. */
  const excess = (pH: number) => {
    ionicStrength = strongIonicStrength(acids, strong, pH);
    const log1 = daviesLogActivity(1, ionicStrength);
    const negative = acids.reduce((s, { mol, pKa }) => s + mol * charges(pKa, pH, ionicStrength).mean, 0);
    return 10 ** (-pH - log1) + strong - negative - 10 ** (pH - PKW - log1);
  };
  return findRoot(excess, 0, 14, 1e-9);
}

/** Ionic strength that agrees with the charges it makes, mol/L. */
function strongIonicStrength(
  acids: readonly { mol: number; pKa: readonly number[] }[],
  strong: number,
  pH: number,
): number {
  let ionic = 0;
  for (let step = 0; step < MAX_ITERATIONS; step += 1) {
    const log1 = daviesLogActivity(1, ionic);
    const hydrogen = 10 ** (-pH - log1) + 10 ** (pH - PKW - log1);
    const anions = acids.reduce((s, { mol, pKa }) => s + mol * charges(pKa, pH, ionic).squares, 0);
    // Above the range of the Davies form its ions would come alive again.
    const next = Math.min(1, (Math.abs(strong) + hydrogen + anions) / 2);
    if (Math.abs(next - ionic) < 1e-9) return next;
    ionic = next;
  }
  return ionic;
}

/**
 * Molarities from grams of acid per 100 mL as the pantry gives them. What is known only in citric equivalents
 * counts as citric acid. Titration sees an acid only as far as it is free: what potassium and its kin have
 * neutralised already is there besides, and is added in proportion (`titratable` true).
 */
export function acidBaseOf(
  acidsGPer100Ml: Partial<Record<AcidId, number>>,
  strongCationsMeqPerL: number,
  titratable = true,
): AcidBase {
  const molPerL: AcidBase["molPerL"] = {};
  let meqPerL = 0;
  for (const [id, g] of Object.entries(acidsGPer100Ml) as [AcidId, number][]) {
    const acid = id === "other" ? "citric" : id;
    const mol = (10 * g) / ACIDS[acid].molarMassG;
    molPerL[acid] = (molPerL[acid] ?? 0) + mol;
    meqPerL += 1000 * mol * ACIDS[acid].protons;
  }
  if (titratable && meqPerL > 0) {
    const whole = 1 + strongCationsMeqPerL / meqPerL;
    for (const acid of Object.keys(molPerL) as NamedAcid[]) molPerL[acid]! *= whole;
  }
  return { molPerL, strongCationsMeqPerL };
}
