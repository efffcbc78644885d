/**
 * Reference drinks finished a second time by other means: nothing of engine/mix, engine/dilution or
 * engine/physics is used here, and the mixing rule is another one. Formulas retyped from their sources:
 *
 * - ethanol–water density at 20 °C: OIML R 22 (1973), coefficients A;
 * - sucrose–water density at 20 °C: ICUMSA SPS-4 (1998), as transcribed;
 * - water from ice: D. Arnold, Liquid Intelligence (2014), p. 123, from memory;
 * - acids by milliequivalents: molar masses from the Handbook of Chemistry and Physics, citric read, others from memory.
 *
 * Where the engine lets sugar sit in the drink's water and ethanol in its water (each pair by its standard),
 * here sugar takes the volume it has at its concentration in all of the liquid, and each ingredient contracts
 * as an ethanol–water solution in the room that its sugar and acid leave. The engine's docstring puts rules apart
 * by less than 0.1 % of volume: that much is allowed, for each axis as well (all sugars are sucrose on both sides).
 */
import { expect, test } from "vitest";
import { toVec } from "../../../engine/axes.ts";
import { place } from "../../../engine/place/place.ts";
import type { Ingredient } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const A = [
  998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042, -613838.1234,
  747017.2998, -547846.1354, 223446.0334, -39032.85426,
];
const SUCROSE = [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.289];
/** mL of ethanol–water with mass fraction p, per gram. */
const pairMlPerG = (p: number) => 1000 / A.reduce((sum, a, k) => sum + a * p ** k, 0);
/** mL that a gram of sugar adds to water at this share by mass. */
const sugarMlPerG = (w: number) => {
  if (w === 0) return 0;
  const rho = 998.2012 + SUCROSE.reduce((sum, c, k) => sum + c * w ** (k + 1), 0);
  return (1000 / rho - (1 - w) * (1000 / 998.2012)) / w;
};
/** Citric acid's grams per milliequivalent over the acid's: 192.124/3 over molar mass over protons. */
const CITRIC_PER_G = { citric: 1, malic: 64.0413 / 67.045, tartaric: 64.0413 / 75.045, other: 1 } as const;
const ACID_ML_PER_G = 0.6;
const SOLIDS_ML_PER_G = 0.75;
const ICE: Record<string, (e: number) => number> = {
  shaken: (e) => -1.567 * e * e + 1.742 * e + 0.203,
  stirred: (e) => -1.21 * e * e + 1.246 * e + 0.145,
};

interface Poured {
  ml: number;
  ethanolG: number;
  waterG: number;
  sugarG: number;
  acidG: number;
  citricG: number;
  solidsG: number;
}

/** What a pour holds. Water: what the other parts leave of the mass, or else of the volume. */
function pour(ingredient: Ingredient, ml: number): Poured {
  const per = ml / 100;
  const sum = (all: object) =>
    Object.values(all).reduce((s: number, v) => s + (v as { value: number }).value, 0);
  const ethanolG = ingredient.abvPercent.value * 0.7892391 * per;
  const sugarG = sum(ingredient.sugarsGPer100Ml) * per;
  const acidG = sum(ingredient.acidsGPer100Ml) * per;
  const citricG = Object.entries(ingredient.acidsGPer100Ml).reduce(
    (s, [acid, v]) => s + CITRIC_PER_G[acid as keyof typeof CITRIC_PER_G] * v!.value * per,
    0,
  );
  const solidsG = (ingredient.otherSolidsGPer100Ml?.value ?? 0) * per;
  const parts = { ml, ethanolG, sugarG, acidG, citricG, solidsG };
  const density = ingredient.densityGPerMl?.value;
  if (density !== undefined) {
    return { ...parts, waterG: Math.max(0, density * ml - ethanolG - sugarG - acidG - solidsG) };
  }
  let [low, high] = [0, 1.05 * ml];
  for (let k = 0; k < 60; k += 1) {
    const waterG = (low + high) / 2;
    if (volumeOf([{ ...parts, waterG }]) < ml) low = waterG;
    else high = waterG;
  }
  return { ...parts, waterG: (low + high) / 2 };
}

/** Volume of everything together, by this file's rule. */
function volumeOf(parts: Omit<Poured, "ml" | "citricG">[]): number {
  const sum = (key: "ethanolG" | "waterG" | "sugarG" | "acidG" | "solidsG") =>
    parts.reduce((s, p) => s + p[key], 0);
  const liquid = sum("ethanolG") + sum("waterG");
  const sugar = sum("sugarG");
  return (
    (liquid > 0 ? liquid * pairMlPerG(sum("ethanolG") / liquid) : 0) +
    sugar * sugarMlPerG(sugar / (sugar + liquid)) +
    ACID_ML_PER_G * sum("acidG") +
    SOLIDS_ML_PER_G * sum("solidsG")
  );
}

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const UNIT_ML: Record<string, number> = { ml: 1, dash: 0.8, barspoon: 5 };

test.each([
  "daiquiri",
  "whiskey-sour",
  "tequila-sour",
  "margarita",
  "sidecar",
  "white-lady",
  "cosmopolitan",
  "pisco-sour",
  "last-word",
  "manhattan",
  "dry-martini",
  "daiquiri-modern",
])("%s, finished by other means", (id) => {
  const { spec } = data.drinks.find((d) => d.id === id)!;
  const poured = spec.lines.map((line) => {
    const ingredient = pantry.get(line.ingredient)!;
    expect(ingredient.addAfterDilution ?? line.stage === "top", "this file ices every line").toBe(false);
    const perUnit =
      line.unit === "g"
        ? 1 / ingredient.densityGPerMl!.value
        : line.unit === "piece"
          ? ingredient.pieceMl!.value
          : UNIT_ML[line.unit]!;
    return pour(ingredient, line.amount * perUnit);
  });
  const sum = (key: keyof Poured) => poured.reduce((s, p) => s + p[key], 0);
  const ethanolMl = sum("ethanolG") / 0.7892391;
  const iceMl = ICE[spec.method]!(ethanolMl / sum("ml")) * sum("ml");
  const ice = { ethanolG: 0, waterG: 0.9982012 * iceMl, sugarG: 0, acidG: 0, solidsG: 0 };
  // Sugar by the grain is dissolved: its own volume by the scoop is not what it takes up. Liquids keep theirs.
  const own = poured.filter((p) => p.waterG + p.ethanolG > 0.1 * (p.sugarG + p.acidG));
  const unexplained = own.reduce((s, p) => s + p.ml - volumeOf([p]), 0);
  const finishedMl = volumeOf([...poured, ice]) + unexplained;

  const placed = place(spec, pantry);
  expect(Math.abs(placed.finishedVolumeMl / finishedMl - 1), "volume").toBeLessThan(0.001);
  const mine = [sum("sugarG"), sum("citricG"), ethanolMl].map((x) => (100 * x) / finishedMl);
  toVec(placed.point).forEach((v, k) => {
    expect(Math.abs(v - mine[k]!), `axis ${k}: ${v}, here ${mine[k]}`).toBeLessThan(0.001 * mine[k]! + 1e-9);
  });
  expect(placed.dilution.waterMl).toBeCloseTo(iceMl, 6);
});
