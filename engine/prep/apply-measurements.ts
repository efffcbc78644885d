import { fail, requireInRange, under } from "../errors.ts";
import { coefficientsOf, titratableAcidityGPer100Ml, totalSugarGPer100Ml } from "../mix/coefficients.ts";
import { citricEquivalentPerG } from "../physics/acids.ts";
import type { AcidId, Ingredient, SourcedValue } from "../types.ts";
import {
  abvFromDistillate,
  acidityFromTitration,
  densityFromHydrometer,
  own,
  strengthFromBoth,
  sugarFromBrix,
  sugarFromDensity,
  USUAL_SD,
} from "./measure.ts";
import type { PrepMeasurement, Reading, Replaced } from "./types.ts";

type Kind = PrepMeasurement["kind"];

/** Below this strength, % vol, a density and a Brix are not asked to find the alcohol too. */
const NO_ALCOHOL = 0.5;

/**
 * A batch's ingredient with what was measured in place of the table's figures, each with its own uncertainty.
 *
 * Strength comes first, then acid, then sugar, because each later one leans on the earlier. A total of sugar or
 * acid scales its kinds in proportion. Density and refractometer together give strength and sugar where no
 * strength was measured. pH is recorded by `compilePreps` and is no axis.
 *
 * @throws EngineError pointing into /measured
 */
export function applyMeasurements(
  ingredient: Ingredient,
  measured: readonly PrepMeasurement[],
): { ingredient: Ingredient; replaced: Replaced[] } {
  let at = ingredient;
  const replaced: Replaced[] = [];
  const put = (quantity: Replaced["quantity"], after: SourcedValue, by: Kind, next: Ingredient) => {
    replaced.push({ quantity, before: figureOf(at, quantity), after, by });
    at = next;
  };
  const each = <K extends Kind>(kind: K, read: (m: Reading<K>) => void) =>
    measured.forEach((m, i) => {
      if (m.kind === kind) under(`/measured/${i}`, () => read(m as Reading<K>));
    });
  const setAbv = (after: SourcedValue, by: Kind) =>
    put("abv", after, by, followed(at, { ...at, abvPercent: after }));
  const setSugar = (after: SourcedValue, by: Kind) => put("sugar", after, by, withSugar(at, after));
  const setDensity = (after: SourcedValue, by: Kind) =>
    put("density", after, by, { ...at, densityGPerMl: after });

  each("label-strength", (m) => {
    requireInRange(m.abvPercent, [0, 100], "/abvPercent", "copy the strength from the label", {
      unit: "% vol",
    });
    setAbv(own(m.abvPercent, m.sd ?? USUAL_SD.labelPercent), "label-strength");
  });
  each("distilled-density", (m) => setAbv(abvFromDistillate(m), "distilled-density"));
  each("titration", (m) => {
    const after = acidityFromTitration(m);
    put("acid", after, "titration", withAcid(at, after));
  });
  each("weighed-volume", (m) => {
    if (!(m.massG > 0 && m.volumeMl > 0)) {
      fail("/massG", "both the weight and the volume must be above 0", "weigh a measured volume at 20 °C");
    }
    const value = m.massG / m.volumeMl;
    setDensity(own(value, m.sd ?? USUAL_SD.weighedShare * value), "weighed-volume");
  });
  each("hydrometer", (m) => {
    const density = densityFromHydrometer(m, at.abvPercent.value);
    setDensity(density, "hydrometer");
    const strengthKnown = replaced.some((r) => r.quantity === "abv") || at.abvPercent.value < NO_ALCOHOL;
    const brix = measured.find((other) => other.kind === "refractometer");
    if (strengthKnown || brix === undefined) {
      setSugar(sugarFromDensity(at, density), "hydrometer");
      return;
    }
    const both = strengthFromBoth(at, density, brix);
    setAbv(both.abvPercent, "hydrometer");
    setSugar(both.sugarGPer100Ml, "refractometer");
  });
  each("refractometer", (m) => {
    if (replaced.some((r) => r.by === "refractometer")) return;
    const after = sugarFromBrix(at, m).sugarGPer100Ml;
    const other = replaced.find((r) => r.quantity === "sugar");
    setSugar(other ? weighted(after, other.after) : after, "refractometer");
  });
  const weighed = replaced.findLast(({ quantity }) => quantity === "density");
  return { ingredient: weighed ? { ...at, densityGPerMl: weighed.after } : at, replaced };
}

/** Mean of two measurements of one thing, by their precision. */
function weighted(a: SourcedValue, b: SourcedValue): SourcedValue {
  const [p, q] = [1 / a.sd ** 2, 1 / b.sd ** 2];
  return own((p * a.value + q * b.value) / (p + q), 1 / Math.sqrt(p + q));
}

function figureOf(i: Ingredient, quantity: Replaced["quantity"]): SourcedValue {
  const total = (value: number, kinds: readonly (SourcedValue | undefined)[]): SourcedValue => ({
    value,
    sd: Math.hypot(...kinds.map((v) => v?.sd ?? 0)),
    source: kinds[0]?.source ?? i.abvPercent.source,
  });
  switch (quantity) {
    case "abv":
      return i.abvPercent;
    case "density":
      return i.densityGPerMl ?? total(coefficientsOf(i).massG, []);
    case "sugar":
      return total(totalSugarGPer100Ml(i.sugarsGPer100Ml), Object.values(i.sugarsGPer100Ml));
    case "acid":
      return total(titratableAcidityGPer100Ml(i.acidsGPer100Ml), Object.values(i.acidsGPer100Ml));
  }
}

function withSugar(i: Ingredient, after: SourcedValue): Ingredient {
  const total = totalSugarGPer100Ml(i.sugarsGPer100Ml);
  const kinds = shared(i.sugarsGPer100Ml, total, after, "sucrose", () => 1);
  return followed(i, { ...i, sugarsGPer100Ml: kinds });
}

function withAcid(i: Ingredient, after: SourcedValue): Ingredient {
  const total = titratableAcidityGPer100Ml(i.acidsGPer100Ml);
  const kinds = shared(i.acidsGPer100Ml, total, after, "citric", (id: AcidId) => citricEquivalentPerG(id));
  return followed(i, { ...i, acidsGPer100Ml: kinds });
}

/** A new total over the old kinds; the largest carries the whole doubt, so that the total's is the instrument's. */
function shared<Id extends string>(
  kinds: Partial<Record<Id, SourcedValue>>,
  total: number,
  after: SourcedValue,
  alone: Id,
  unitsPerG: (id: Id) => number,
): Partial<Record<Id, SourcedValue>> {
  const ids = Object.keys(kinds) as Id[];
  const old = (id: Id) => kinds[id]?.value ?? 0;
  if (!(total > 0)) return { [alone]: after } as Partial<Record<Id, SourcedValue>>;
  const largest = ids.reduce((a, b) => (old(b) > old(a) ? b : a));
  const entries = ids.map((id): [Id, SourcedValue] => [
    id,
    { ...after, value: (old(id) * after.value) / total, sd: id === largest ? after.sd / unitsPerG(id) : 0 },
  ]);
  return Object.fromEntries(entries) as Partial<Record<Id, SourcedValue>>;
}

/** The density moves as the mixing rule says, keeping whatever it was off by. */
function followed(before: Ingredient, after: Ingredient): Ingredient {
  const density = before.densityGPerMl;
  if (density === undefined) return after;
  const byRule = (i: Ingredient) => coefficientsOf({ ...i, densityGPerMl: undefined }).massG;
  return {
    ...after,
    densityGPerMl: { ...density, value: density.value + byRule(after) - byRule(before) },
  };
}
