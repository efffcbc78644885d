import { LADDERS, nearestRung } from "../../../engine/amounts/ladder.ts";
import { createCatalogue } from "../../../engine/catalogue.ts";
import { createMixModel } from "../../../engine/dilution/model.ts";
import { priorOfTarget } from "../../../engine/taste/prior.ts";
import type { Spec, Vec3 } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

// The bar of the simulated tables: a rum sour of three bottles and water, shaken, poured with the metric jigger.

const data = loadReferenceData();
const catalogue = createCatalogue(data);
const sour = catalogue.view().region("family:sour");

export const pantry = catalogue.pantry;
export const ladder = LADDERS["metric-jigger"];
export const prior = priorOfTarget(sour.target);

/** Rum, lime, syrup, water. */
export type Pours = readonly [number, number, number, number];
export const BOTTLES = ["rum-white", "juice-lime", "syrup-simple-1-1", "water"] as const;
/** Most of each that anybody pours, mL; and the least rum. */
export const MOST_ML: Pours = [75, 60, 60, 30];
export const LEAST_RUM_ML = 30;

const model = createMixModel(
  BOTTLES.map((id) => ({ ingredient: pantry.get(id)!, stage: "mix" as const })),
  "shaken",
);

/** Where the finished drink sits, on the real engine. */
export function finish(pours: Pours): Vec3 {
  return model.finish(pours).point;
}

/** The nearest amounts the jigger has, within what anybody pours. */
export function poured(amounts: readonly number[]): Pours {
  const at = (i: 0 | 1 | 2 | 3) =>
    Math.min(MOST_ML[i], Math.max(i === 0 ? LEAST_RUM_ML : 0, nearestRung(amounts[i]!, ladder)));
  return [at(0), at(1), at(2), at(3)];
}

export function specOf(pours: Pours): Spec {
  const lines = BOTTLES.map((ingredient, i) => ({ ingredient, amount: pours[i]!, unit: "ml" as const }));
  return { name: "Simulated sour", method: "shaken", lines: lines.filter((line) => line.amount > 0) };
}

export function poursOf(spec: Spec): Pours {
  const of = (id: string) => spec.lines.find((line) => line.ingredient === id)?.amount ?? 0;
  return [of(BOTTLES[0]), of(BOTTLES[1]), of(BOTTLES[2]), of(BOTTLES[3])];
}

/** Distance in spreads of the family: each axis over the classics' standard deviation. */
export function spreadsApart(a: Vec3, b: Vec3): number {
  return Math.hypot(...[0, 1, 2].map((k) => (a[k as 0] - b[k as 0]) / prior.spread[k as 0]));
}

const everyDrink: Vec3[] = [];
for (let rum = LEAST_RUM_ML; rum <= MOST_ML[0]; rum += ladder.stepMl) {
  for (let lime = 0; lime <= MOST_ML[1]; lime += ladder.stepMl) {
    for (let syrup = 0; syrup <= MOST_ML[2]; syrup += ladder.stepMl) {
      for (let water = 0; water <= MOST_ML[3]; water += ladder.stepMl) {
        everyDrink.push(finish([rum, lime, syrup, water]));
      }
    }
  }
}

/** Distance from a point to the nearest drink this bar can pour, spreads. */
export function reach(point: Vec3): number {
  const [s, a, v] = prior.spread;
  let least = Infinity;
  for (const d of everyDrink) {
    const square = ((d[0] - point[0]) / s) ** 2 + ((d[1] - point[1]) / a) ** 2 + ((d[2] - point[2]) / v) ** 2;
    if (square < least) least = square;
  }
  return Math.sqrt(least);
}
