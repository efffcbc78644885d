import { UNITS } from "../amounts/units.ts";
import type { DoubtKind, DoubtShare } from "../types.ts";
import { lowerFirst } from "../wording.ts";

/** How a bar settles a doubt, by its kind; kinds left out it cannot. `what` is an ingredient, or a unit's plural. */
const ACTIONS: Partial<Record<DoubtKind, (what: string) => string>> = {
  dilution: () => "Measure the finished drink (its volume or its mass)",
  pour: () => "Weigh your pours",
  unit: (units) => `Count how many of your ${units} fill 10 mL`,
  acid: (name) => `Titrate your ${name}`,
  sugar: (name) => `Take a refractometer reading of your ${name}`,
  abv: (name) => `Check the strength of your ${name}`,
  piece: (name) => `Measure what one ${name} gives`,
  density: (name) => `Weigh a known volume of your ${name}`,
};

/** Whether a bar has a way to settle this doubt. */
export function canBeMeasured({ kind }: DoubtShare): boolean {
  return ACTIONS[kind] !== undefined;
}

/** What to measure, what share of the doubt that is, and the chances that say so. */
export function adviceText(
  { kind, label, unit }: DoubtShare,
  name: string,
  share: number,
  chances: { chanceNow: number; chanceMeasured: number; chancePoured: number },
): string {
  const percent = (x: number) => `${Math.round(100 * x)} %`;
  const action = ACTIONS[kind]?.(unit ? UNITS[unit].plural : ingredientWords(name)) ?? label;
  return (
    `${action}: it is ${percent(share)} of the doubt. ` +
    `Measured, and the pour corrected for what you find, this drink is in range with ${percent(chances.chanceMeasured)} chance ` +
    `(now ${percent(chances.chanceNow)}); pouring for the middle without measuring gives ${percent(chances.chancePoured)}.`
  );
}

/** "Pineapple juice, fresh" → "fresh pineapple juice". */
function ingredientWords(name: string): string {
  const [what, kind] = lowerFirst(name).split(/, (.*)/);
  return [kind, what].filter(Boolean).join(" ");
}
