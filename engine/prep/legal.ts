import type { Composition } from "./types.ts";

export interface LegalName {
  name: LiqueurName;
  /** Least sugar, g/L as invert (EU), or % by mass (US). */
  leastSugar: number;
  sugarUnit: "g/L as invert" | "% by mass";
  leastAbvPercent: number | null;
  meets: boolean;
  /** Key into the source table. */
  source: string;
  memory: boolean;
}

/** Sucrose to invert sugar: a molecule of water is taken up. */
const INVERT_PER_SUCROSE = 360.31 / 342.3;

const EU = { sugarUnit: "g/L as invert", leastAbvPercent: 15, memory: false } as const;
const US = { sugarUnit: "% by mass", leastAbvPercent: null, memory: false } as const;

/**
 * What the European Union lets a sweetened spirit be called, by strength and sugar alone. Sugar is counted as invert:
 * a gram of sucrose is 1.0526 g. Regulation (EC) 110/2008, Annex II, category 32 (read), carried into Regulation
 * (EU) 2019/787, Annex I, category 33 (read in pages quoting it). Names have further conditions (fruit, base, colour),
 * and local law decides: this says what is ruled out by the figures, not what is allowed.
 */
const RULES = [
  { ...EU, name: "liqueur", leastSugar: 100, source: "eu-110-2008" },
  { ...EU, name: "cherry-liqueur", leastSugar: 70, source: "eu-110-2008" },
  { ...EU, name: "gentian-liqueur", leastSugar: 80, source: "eu-110-2008" },
  { ...EU, name: "creme-de", leastSugar: 250, source: "eu-2019-787" },
  { ...EU, name: "creme-de-cassis", leastSugar: 400, source: "eu-2019-787" },
  { ...US, name: "us-liqueur", leastSugar: 2.5, source: "us-27cfr5-150" },
] as const satisfies readonly (Omit<LegalName, "name" | "meets"> & { name: string })[];

export type LiqueurName = (typeof RULES)[number]["name"];

/**
 * Each name, and whether the figures reach it.
 *
 * @param sucroseGPer100Ml of sucrose, and `monoGPer100Ml` of glucose and fructose, which are invert already
 */
export function legalNames(
  figures: Record<"abvPercent" | "sucroseGPer100Ml" | "monoGPer100Ml" | "densityGPerMl", number>,
): LegalName[] {
  const { abvPercent, sucroseGPer100Ml, monoGPer100Ml, densityGPerMl } = figures;
  const invertGPerL = 10 * (INVERT_PER_SUCROSE * sucroseGPer100Ml + monoGPer100Ml);
  const percentByMass = (sucroseGPer100Ml + monoGPer100Ml) / densityGPerMl;
  return RULES.map((rule) => ({
    ...rule,
    meets:
      (rule.sugarUnit === "% by mass" ? percentByMass : invertGPerL) >= rule.leastSugar &&
      (rule.leastAbvPercent === null || abvPercent >= rule.leastAbvPercent),
  }));
}

/** The same of a composition worked out here. */
export function legalNamesOf({ abvPercent, sugars, densityGPerMl }: Composition): LegalName[] {
  return legalNames({
    abvPercent: abvPercent.value,
    sucroseGPer100Ml: sugars.sucrose?.value ?? 0,
    monoGPer100Ml: (sugars.glucose?.value ?? 0) + (sugars.fructose?.value ?? 0),
    densityGPerMl: densityGPerMl.value,
  });
}
