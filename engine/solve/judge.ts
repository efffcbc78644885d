import type { Finished } from "../dilution/model.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import { POUR_TOLERANCE_ML } from "../tolerances.ts";
import { type Constraints, excessOf } from "./constraint.ts";
import { type Question, volumesAfter } from "./question.ts";

/** The true test of changes (mL by variable): the finished drink when everything holds, else null. */
export type Judge = (delta: ArrayLike<number>) => Finished | null;

/** Judge changes by the true model alone: rules, regions and the request's own further test. */
export function createJudge(question: Question, { regions, rules }: Constraints): Judge {
  const { model, request } = question;
  return (delta) => {
    const x = volumesAfter(question, delta);
    if (!isDrink(x)) return null;
    const finished = model.finish(x);
    const { point, finishedVolumeMl: volume } = finished;
    for (const rule of rules) {
      const slack = POUR_TOLERANCE_ML * (1 + Math.abs(rule.volumeFactor)) * volume;
      if (excessOf(rule, x, volume) > slack) return null;
    }
    for (const region of regions) if (!region.contains(point)) return null;
    return request.extraAccept && !request.extraAccept(x, finished) ? null : finished;
  };
}

/** Something is poured that the model can place. */
export function isDrink(x: readonly number[]): boolean {
  return x.some((ml) => ml >= SMALLEST_POUR_ML);
}
