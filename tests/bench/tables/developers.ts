import { mean } from "d3";
import { MARK_OF } from "../../../engine/taste/types.ts";
import { ladder, type Pours, poured } from "./bar.ts";
import type { Developer, Past } from "./play.ts";

/** Mean mark on sweet, sour, strong. */
function complaints(past: readonly Past[]): [number, number, number] {
  const { said } = past.at(-1)!;
  const of = (name: "sweet" | "sour" | "strong") => mean(said, (s) => s[name]!)!;
  return [of(MARK_OF.sugar), of(MARK_OF.acid), of(MARK_OF.abv)];
}

/** A mean mark below this is one taster's slip: nobody changes a drink for it. */
const A_COMPLAINT = 0.3;
/** Most liquid of one round before ice, mL: whoever adds without end scales the drink back. */
const GLASSFUL_ML = 130;

/**
 * A skilled developer: answers every complaint at once, in proportion to how loud it is, with steps that
 * halve whenever a complaint turns round; keeps in mind what falls between two marks of the jigger; weakens
 * with water and strengthens by leaving it out first. The sizes are the best of 768 sets tried on tables of
 * their own: ours to beat, not to flatter us.
 */
export function skilled(): Developer {
  const stepMl = { sweet: 5, sour: 5, strong: 10 };
  const names = ["sweet", "sour", "strong"] as const;
  const lastSign = [0, 0, 0];
  let inMind: number[] | null = null;
  return (past) => {
    inMind ??= [...past.at(-1)!.pours];
    const amounts = inMind;
    complaints(past).forEach((loud, k) => {
      if (Math.abs(loud) < A_COMPLAINT) return;
      const name = names[k]!;
      const sign = -Math.sign(loud);
      if (lastSign[k] === -sign) stepMl[name] = Math.max(ladder.stepMl / 2, stepMl[name] / 2);
      lastSign[k] = sign;
      const change = stepMl[name] * Math.abs(loud);
      if (name === "sweet") amounts[2]! += sign * change;
      else if (name === "sour") amounts[1]! += sign * change;
      else if (sign < 0) amounts[3]! += change;
      else {
        const left = Math.min(amounts[3]!, change);
        amounts[3]! -= left;
        amounts[0]! += change - left;
      }
    });
    for (let i = 0; i < 4; i++) amounts[i] = Math.max(i === 0 ? 20 : 0, amounts[i]!);
    const sum = amounts.reduce((a, b) => a + b, 0);
    if (sum > GLASSFUL_ML) inMind = amounts.map((ml) => (ml * GLASSFUL_ML) / sum);
    return poured(inMind);
  };
}

/** One change at a time, after the loudest complaint, by steps that halve when it turns round. */
export function oneAtATime(): Developer {
  const stepMl = [10, 10, 15];
  const lastSign = [0, 0, 0];
  return (past) => {
    const { pours } = past.at(-1)!;
    const loud = complaints(past);
    const k = [0, 1, 2].reduce((a, b) => (Math.abs(loud[b]!) > Math.abs(loud[a]!) ? b : a));
    if (Math.abs(loud[k]!) < A_COMPLAINT) return pours;
    const sign = -Math.sign(loud[k]!);
    if (lastSign[k] === -sign) stepMl[k] = Math.max(ladder.stepMl, stepMl[k]! / 2);
    lastSign[k] = sign;
    const next: [number, number, number, number] = [...pours];
    // Too weak: first the water goes, then rum is added.
    const at = k === 0 ? 2 : k === 1 ? 1 : sign > 0 && pours[3] > 0 ? 3 : 0;
    next[at] = pours[at]! + (at === 3 ? -sign : sign) * stepMl[k]!;
    return poured(next as Pours);
  };
}
