import type { LikelyFamily, Misfit, NearClassic } from "./kin.ts";

/** What an ingredient is to a drink's kind: its role, split where the split makes another kind of drink. */
const PARTS = {
  spirit: "spirit",
  liqueur: "liqueur",
  "dry-aromatised": "dry aromatised or fortified wine",
  "sweet-aromatised": "sweet aromatised or fortified wine",
  "still-wine": "wine",
  "sparkling-wine": "sparkling wine",
  bitters: "bitters",
  sour: "sour juice or acid",
  juice: "sweet juice",
  sugar: "sugar or syrup",
  "egg-white": "egg white",
  egg: "whole egg or yolk",
  cream: "milk or cream",
  coffee: "coffee or tea",
  "sweet-soda": "sweet soda",
  water: "water or soda",
  other: "other things",
};
export type PartId = keyof typeof PARTS;
/** The parts, in the order in which they are listed. */
export const PART_IDS = Object.keys(PARTS) as PartId[];

/** "72 %"; never "0 %" nor "100 %" of what is only likely. */
function percent(p: number): string {
  return `${Math.min(99, Math.max(1, Math.round(100 * p)))} %`;
}

/** What the drink is like, in one sentence. */
export function kinText(families: readonly LikelyFamily[], classic: NearClassic | null): string {
  const [first, second] = families;
  if (!first) return "";
  const maybe =
    second && second.probability >= 0.15 ? `, perhaps ${second.name} (${percent(second.probability)})` : "";
  const near = classic ? `; nearest by what is poured: ${classic.name}` : "";
  return `By what is poured, most like ${first.name} (${percent(first.probability)})${maybe}${near}.`;
}

/** Why another family fits better than the one chosen. */
export function misfitText(chosen: LikelyFamily, likelier: LikelyFamily, part: Misfit["part"]): string {
  const share = `${Math.round(100 * part.share)} % of the pour is ${PARTS[part.id]}`;
  const usual = part.usual < 0.005 ? "none" : `${Math.round(100 * part.usual)} %`;
  return (
    `This is poured more like ${likelier.name} (${percent(likelier.probability)}) than ${chosen.name} ` +
    `(${percent(chosen.probability)}): ${share}, where that family has ${usual}. ` +
    `Try its own range before bending it into ${chosen.name}.`
  );
}
