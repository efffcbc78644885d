import { keepingWords } from "../prep/words.ts";
import type { BatchPlan, FreezerCheck } from "./plan.ts";

/** What to know of a batch, in sentences. */
export function batchWords(plan: BatchPlan): string[] {
  const late = plan.lines.filter(({ when }) => when === "last").map(({ name }) => name);
  const fresh = plan.lines.filter(({ when }) => when === "serve").map(({ name }) => name);
  return [
    `${Number(plan.serves.toFixed(1))} serves of ${plan.portionMl.toFixed(0)} mL, ${(plan.batchMl / 1000).toFixed(2)} L at ${plan.batchAbvPercent.toFixed(1)} % vol.`,
    ...(plan.waterMl.pourMl > 0
      ? [
          `${plan.waterMl.pourMl.toFixed(0)} mL of water stand for the ice: pour it cold, over no more ice than you want melted.`,
        ]
      : []),
    ...(late.length > 0 ? [`Last, on the day: ${late.join(", ")}.`] : []),
    ...(fresh.length > 0 ? [`With each serve: ${fresh.join(", ")}.`] : []),
    ...(plan.freezer ? [freezerWords(plan.freezer)] : []),
    keepingWords(plan.keeping),
  ];
}

function freezerWords({ state, freezerTempC, freezingC, frozenShare }: FreezerCheck): string {
  const [at, freezes] = [freezerTempC, freezingC.value].map((t) => t.toFixed(0).replace("-", "−"));
  switch (state) {
    case "pours":
      return `At ${at} °C it pours: it would freeze at ${freezes} °C.`;
    case "may-freeze":
      return `At ${at} °C it may turn to slush: it freezes at ${freezes} °C, give or take two.`;
    case "freezes":
      return `At ${at} °C about ${Math.round(100 * frozenShare)} % of its water is ice: it freezes at ${freezes} °C. Keep it warmer, or leave the water out.`;
  }
}
