import { fail, Issues } from "../errors.ts";
import { ACID_IDS, SUGAR_IDS } from "../ids.ts";
import { COMPOSITION, type Range } from "../limits.ts";
import { onceFor } from "../once.ts";
import { citricEquivalentPerG } from "../physics/acids.ts";
import { ETHANOL_G_PER_ML } from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import { excessEnthalpyJ } from "../physics/heat.ts";
import type { AcidId, Ingredient, SourcedValue, SugarId } from "../types.ts";
import { mixedVolumeMl, type Parts } from "./volume.ts";

/** What one mL of an ingredient (at 20 °C, as poured) brings. Linear in volume, so mixtures add up. */
export interface Coefficients extends Parts {
  /** mL of pure ethanol at 20 °C (ABV / 100). */
  ethanolMl: number;
  /** Titratable acidity as grams of anhydrous citric acid. */
  acidCitricEqG: number;
  massG: number;
  /** Sugar in grams of sucrose with the same number of molecules (for freezing). */
  sucroseLikeG: number;
  /** Heat content of mixing of its ethanol and water, J (≤ 0). */
  excessEnthalpyJ: number;
}

/** Molar mass relative to sucrose, inverted: molecules per gram against sucrose's (342.30 g/mol; monosaccharides 180.16). */
export const SUCROSE_LIKE_PER_G: Readonly<Record<SugarId, number>> = {
  sucrose: 1,
  maltose: 1,
  lactose: 1,
  glucose: 342.3 / 180.16,
  fructose: 342.3 / 180.16,
};

/**
 * Below this share of liquid (ethanol and water) by mass an ingredient is a dry solid: the air
 * between its grains does not follow it into the glass. Citric acid monohydrate holds 8.6 % water;
 * honey, the driest liquid in a bar, 17 %.
 */
const DRY_LIQUID_SHARE = 0.1;

/**
 * How far the parts may outweigh (or, without a density, outgrow) the whole before the composition
 * is called impossible rather than rounded: sources rarely agree better than 2 %.
 */
const ROUNDING_SHARE = 0.02;

/** Sum of the sugars, g/100 mL. */
export function totalSugarGPer100Ml(sugars: Ingredient["sugarsGPer100Ml"]): number {
  let sum = 0;
  for (const v of Object.values(sugars)) sum += v?.value ?? 0;
  return sum;
}

/** The same kinds in the same proportions, `total` in place of what is `present`. */
export function inProportion(
  parts: Readonly<Partial<Record<string, SourcedValue>>>,
  present: number,
  total: number,
  sourced: (value: number) => SourcedValue,
): Partial<Record<string, SourcedValue>> {
  return Object.fromEntries(
    Object.entries(parts).map(([kind, v]) => [kind, sourced(((v?.value ?? 0) * total) / present)]),
  );
}

/** Titratable acidity as anhydrous citric acid, g/100 mL: milliequivalents added, never grams of unlike acids. */
export function titratableAcidityGPer100Ml(acids: Ingredient["acidsGPer100Ml"]): number {
  let sum = 0;
  for (const [acid, v] of Object.entries(acids))
    sum += (v?.value ?? 0) * citricEquivalentPerG(acid as AcidId);
  return sum;
}

/**
 * Coefficients of an ingredient, worked out once for each: an ingredient is never changed in place.
 *
 * With a density, water is what is left of the mass; without one, water fills the volume, so that
 * in both cases one ingredient alone keeps exactly its own volume. Dry solids (sugar, powdered
 * acid) must state a bulk density, and alone take the volume they would have dissolved.
 *
 * @throws EngineError naming each bad field: out of range, or parts that exceed the whole by more than 2 %
 */
export const coefficientsOf: (ingredient: Ingredient) => Readonly<Coefficients> = onceFor(workOut);

function workOut(ingredient: Ingredient): Coefficients {
  check(ingredient);
  const ethanolMl = ingredient.abvPercent.value / 100;
  const parts: Parts = {
    ethanolG: ethanolMl * ETHANOL_G_PER_ML,
    waterG: 0,
    sugarG: totalSugarGPer100Ml(ingredient.sugarsGPer100Ml) / 100,
    acidG: 0,
    otherSolidsG: (ingredient.otherSolidsGPer100Ml?.value ?? 0) / 100,
    extraMl: 0,
  };
  for (const v of Object.values(ingredient.acidsGPer100Ml)) parts.acidG += (v?.value ?? 0) / 100;
  let sucroseLikeG = 0;
  for (const [sugar, v] of Object.entries(ingredient.sugarsGPer100Ml)) {
    sucroseLikeG += ((v?.value ?? 0) / 100) * SUCROSE_LIKE_PER_G[sugar as SugarId];
  }

  const dryG = parts.ethanolG + parts.sugarG + parts.acidG + parts.otherSolidsG;
  const density = ingredient.densityGPerMl?.value;
  if (density !== undefined) {
    if (dryG > density * (1 + ROUNDING_SHARE)) {
      impossible(ingredient, `its parts weigh ${dryG.toFixed(3)} g/mL, more than its density ${density}`);
    }
    parts.waterG = Math.max(0, density - dryG);
  } else {
    const room = (waterG: number) => mixedVolumeMl({ ...parts, waterG }) - 1;
    const dryVolume = room(0) + 1;
    if (dryVolume > 1 + ROUNDING_SHARE) {
      impossible(ingredient, `its parts fill ${dryVolume.toFixed(3)} mL of each mL`);
    }
    parts.waterG = dryVolume >= 1 ? 0 : findRoot(room, 0, 1.01, 1e-16);
  }

  const massG = dryG + parts.waterG;
  return {
    ...parts,
    ethanolMl,
    acidCitricEqG: titratableAcidityGPer100Ml(ingredient.acidsGPer100Ml) / 100,
    extraMl: isDrySolid({ ...parts, massG }) ? 0 : 1 - mixedVolumeMl(parts),
    massG,
    sucroseLikeG,
    excessEnthalpyJ: excessEnthalpyJ(parts.ethanolG, parts.waterG),
  };
}

/** True for powders and crystals, whose poured volume is partly air. */
export function isDrySolid(c: Pick<Coefficients, "ethanolG" | "waterG" | "massG">): boolean {
  return c.ethanolG + c.waterG < DRY_LIQUID_SHARE * c.massG;
}

/** Density in g/mL at 20 °C: the stated one, or that of the composition by the mixing rule. */
export function densityOf(ingredient: Ingredient): number {
  return ingredient.densityGPerMl?.value ?? coefficientsOf(ingredient).massG;
}

function pointerTo(ingredient: Ingredient, field: string): string {
  return `/pantry/${ingredient.id}/${field}`;
}

function impossible(ingredient: Ingredient, detail: string): never {
  const field = ingredient.densityGPerMl ? "densityGPerMl" : "sugarsGPer100Ml";
  const remedy = "check that sugar and acid are per 100 mL (not per 100 g), and the density";
  fail(pointerTo(ingredient, field), `${ingredient.name}: ${detail}`, remedy);
}

function check(ingredient: Ingredient): void {
  const issues = new Issues();
  const bad = (field: string, detail: string, remedy: string) =>
    issues.add(pointerTo(ingredient, field), detail, remedy);
  const within = (v: SourcedValue | undefined, field: string, { min, max, unit }: Range) => {
    if (v === undefined) return;
    if (!(v.value >= min && v.value <= max)) {
      bad(field, `${v.value} ${unit} is not in ${min}..${max}`, `give a value in ${unit} within that range`);
    }
    if (!(v.sd >= 0 && Number.isFinite(v.sd))) {
      const remedy = `give the standard uncertainty in ${unit}, 0 if exact`;
      bad(`${field}/sd`, `uncertainty ${v.sd} is not a number of at least 0`, remedy);
    }
  };
  const allWithin = (field: "sugarsGPer100Ml" | "acidsGPer100Ml", known: readonly string[], range: Range) => {
    for (const [kind, v] of Object.entries(ingredient[field])) {
      const at = `${field}/${kind}`;
      if (!known.includes(kind)) bad(at, `"${kind}" is not known here`, `use one of ${known.join(", ")}`);
      within(v, at, range);
    }
  };
  within(ingredient.abvPercent, "abvPercent", COMPOSITION.abvPercent);
  allWithin("sugarsGPer100Ml", SUGAR_IDS, COMPOSITION.sugarGPer100Ml);
  allWithin("acidsGPer100Ml", ACID_IDS, COMPOSITION.acidGPer100Ml);
  within(ingredient.otherSolidsGPer100Ml, "otherSolidsGPer100Ml", COMPOSITION.otherSolidsGPer100Ml);
  within(ingredient.densityGPerMl, "densityGPerMl", COMPOSITION.densityGPerMl);
  issues.throwAny();
}
