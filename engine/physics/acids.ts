import type { AcidId } from "../types.ts";

/** An acid that is known as itself, and not in citric equivalents only. */
export type NamedAcid = Exclude<AcidId, "other">;

interface AcidConstants {
  /** g/mol of the anhydrous acid. */
  molarMassG: number;
  /** Protons neutralised per molecule when the titration stops at pH 8.2. */
  protons: number;
  /** At 25 °C and zero ionic strength. */
  pKa: readonly number[];
}

/**
 * pH at which titratable acidity is read: AOAC 942.15 and the juice trade stop at 8.1–8.2
 * (phenolphthalein's turn).
 */
export const TITRATION_END_POINT_PH = 8.2;

/**
 * Mean number of protons an acid has given up at `pH`, from its pKa values:
 * Σ 1/(1 + 10^(pKa − pH)).
 */
export function protonsGiven(pKa: readonly number[], pH: number): number {
  return pKa.reduce((n, k) => n + 1 / (1 + 10 ** (k - pH)), 0);
}

const PHOSPHORIC_PKA = [2.15, 7.2, 12.35];

/**
 * Molar masses: citric read (A. Apelblat, Citric Acid, Springer 2014); the others recalled and
 * checked against the sum of standard atomic weights in the tests.
 *
 * Protons: the fruit acids are spent at pH 8.2 (largest pKa: citric's third, 6.40), and the
 * trade's factors (0.064 g/meq citric, 0.075 tartaric) count every carboxyl, so whole numbers are
 * used. Phosphoric acid is not spent there: pH 8.2 falls between its second pKa (7.20) and its
 * third (12.35), so it gives 1 + 10/11 = 1.91 of its three protons, and that is what is counted.
 *
 * pKa. Citric: R. G. Bates and G. D. Pinching, J. Am. Chem. Soc. 71 (1949) 1274 (citation read, values from memory
 * of the NIST compilation). Malic, tartaric, lactic, acetic: a chemistry table, read; others print 5.11 for
 * malic's second. Phosphoric: CRC Handbook, from memory.
 */
export const ACIDS: Readonly<Record<NamedAcid, AcidConstants>> = {
  citric: { molarMassG: 192.124, protons: 3, pKa: [3.128, 4.761, 6.396] },
  malic: { molarMassG: 134.087, protons: 2, pKa: [3.4, 5.2] },
  tartaric: { molarMassG: 150.087, protons: 2, pKa: [2.98, 4.34] },
  lactic: { molarMassG: 90.078, protons: 1, pKa: [3.86] },
  acetic: { molarMassG: 60.052, protons: 1, pKa: [4.76] },
  phosphoric: {
    molarMassG: 97.994,
    protons: protonsGiven(PHOSPHORIC_PKA, TITRATION_END_POINT_PH),
    pKa: PHOSPHORIC_PKA,
  },
};

/**
 * Grams of anhydrous citric acid that titrate like one gram of the acid. "other" is recorded in
 * citric equivalents already, so its factor is 1.
 */
export function citricEquivalentPerG(acid: AcidId): number {
  if (acid === "other") return 1;
  const { molarMassG, protons } = ACIDS[acid];
  return (protons / molarMassG) * (ACIDS.citric.molarMassG / ACIDS.citric.protons);
}

/**
 * Titratable acidity of a sample from a titration with strong base to pH 8.2, in g/100 mL of the
 * acid named: titre × normality × g/meq × 100 / sample (the AOAC 942.15 calculation).
 *
 * @param acid basis to report on; the engine itself always uses citric
 */
export function titratableAcidityFromTitre(
  titreMl: number,
  baseNormality: number,
  sampleMl: number,
  acid: NamedAcid = "citric",
): number {
  const gPerMeq = ACIDS[acid].molarMassG / ACIDS[acid].protons / 1000;
  return (titreMl * baseNormality * gPerMeq * 100) / sampleMl;
}

/**
 * Volume that a gram of acid adds to water at 20 °C, mL: that of citric acid, from the densities
 * in CRC Handbook, Concentrative Properties of Aqueous Solutions (102nd ed., read in a
 * transcription): 0.595 at 5 %, 0.597 at 10 %, 0.598 at 20 %, 0.600 at 30 % by mass. Used for all
 * acids; for the few grams in a drink the difference is under 0.1 % of its volume, and an
 * ingredient's own volume is kept exact in any case.
 */
export const ACID_APPARENT_ML_PER_G = 0.597;

/**
 * Volume that a gram of protein and the like adds to water, mL: partial specific volume of
 * proteins about 0.73, of fat 1.08 (both from memory); an estimate, corrected by the ingredient's
 * own density where one is given.
 */
export const SOLIDS_APPARENT_ML_PER_G = 0.75;
