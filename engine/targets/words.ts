import { AXES, AXIS_INDICES, type AxisIndex } from "../axes.ts";
import type { EraId, Vec3 } from "../types.ts";
import type { Limit } from "./parts.ts";

/** A size with `digits` decimals, or with its first significant digit when that would read as zero. */
export function formatGap(size: number, digits: number): string {
  const fixed = size.toFixed(digits);
  if (Number(fixed) !== 0 || size === 0) return fixed;
  return size < 1e-6 ? "a trace" : String(Number(size.toPrecision(1)).toFixed(7)).replace(/0+$/, "");
}

/** A limit as a person would write it: at most four significant digits, no trailing zeros. */
export function formatNumber(x: number): string {
  return String(Number(x.toPrecision(4)) + 0).replace("-", "−");
}

/** A gap on one axis, in its unit: "0.31", "3.4 %". */
export function formatAxisGap(axis: AxisIndex, size: number): string {
  return `${formatGap(size, AXES[axis].decimals)}${axis === 2 ? " %" : ""}`;
}

const SIDES = { floor: "at least", ceiling: "at most" };

/** "sugar at least 6 g/100 mL", "sugar:acid ratio at most 10". */
export function limitLabel({ of, side, value }: Limit): string {
  const bound = `${SIDES[side]} ${formatNumber(value)}`;
  return of === "ratio" ? `sugar:acid ratio ${bound}` : `${AXES[of].name} ${bound} ${AXES[of].unit}`;
}

/** "sugar − 8·acid ≤ 1". */
export function planeLabel(normal: Vec3, offset: number): string {
  let text = "";
  for (const axis of AXIS_INDICES) {
    const weight = normal[axis];
    if (weight === 0) continue;
    const size = Math.abs(weight);
    const sign = weight < 0 ? (text === "" ? "−" : " − ") : text === "" ? "" : " + ";
    text += `${sign}${size === 1 ? "" : `${formatNumber(size)}·`}${AXES[axis].name}`;
  }
  return `${text} ≤ ${formatNumber(offset)}`;
}

/** How a family's region was made, in a phrase. */
export function familyMethod(hasBand: boolean): string {
  const ellipsoid = "prediction ellipsoid of a normal model, its scatter pulled toward that usual among bars";
  return hasBand ? `${ellipsoid}, cut by a band of sugar to acid` : ellipsoid;
}

/** What a family's region is meant to hold and how sure that is. */
export function familyNote(
  n: number,
  coverage: number,
  radius: number,
  band: readonly [number, number] | null,
): string {
  const share = `${formatNumber(coverage * 100)} %`;
  const size = `radius ${formatNumber(Number(radius.toPrecision(2)))} standard deviations`;
  const ratio = band ? `, sugar to acid ${formatGap(band[0], 1)} to ${formatGap(band[1], 1)}` : "";
  const few = n < 8 ? " So few drinks say little: take the edge as a hint." : "";
  return `n = ${n}; meant to hold the next such drink with ${share} chance or more: ${size}${ratio}.${few}`;
}

/** Why a family has no region. */
export function tooFew(n: number, least: number): string {
  return `${n} reference drinks; a region needs at least ${least}`;
}

const ERA_WORDS: Record<EraId, string> = {
  list: "as the official list has it",
  modern: "as bars pour it today",
  early: "as older books have it",
};

/** "Sour", "Sour, as bars pour it today". */
export function familyName(name: string, era: EraId | null): string {
  return era === null ? name : `${name}, ${ERA_WORDS[era]}`;
}

/** "the range near Daiquiri". */
export function nearName(drink: string): string {
  return `the range near ${drink}`;
}

/** What being near one classic means. */
export function nearMeaning(drink: string): string {
  return `About where ${drink} sits: within half the spread of its family, and what its spec leaves open.`;
}

/** How a region about one drink was made, in a phrase. */
export const NEAR_METHOD = "normal scatter of half its family's spread about the drink's own point";

/** What a published band is. */
export const BAND_MEANING = "One author's published band.";

/** What to know of a band: its own note, and how many of our references of its kind it holds. */
export function bandNote(note: string | undefined, inside: number, of: number): string {
  const share =
    of === 0
      ? "we hold no reference of its kind"
      : `${inside} of our ${of} references of its kind lie inside`;
  return note === undefined ? share : `${note}; ${share}`;
}
