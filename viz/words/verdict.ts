import { AXES, toVec } from "../../engine/axes.ts";
import { gaugeBands } from "../../engine/targets/chord.ts";
import type { CompiledTarget } from "../../engine/targets/compile-target.ts";
import { MEMBERSHIP_TOLERANCE } from "../../engine/tolerances.ts";
import type { Membership, Vec3 } from "../../engine/types.ts";
import { joinWords, upperFirst } from "../../engine/wording.ts";
import { AXES3, AXIS_NAME, AXIS_UNIT, type Axis, gapNumber } from "./axis.ts";

/** How one axis stands against the target, in words and numbers. */
export interface AxisVerdict {
  state: "low" | "high" | "ok";
  /** Axis units to the edge of the target; 0 when fine. */
  by: number;
  /** "0.2 under", "in range", "fine". */
  note: string;
}

/** Where a drink stands, in words first. */
export interface Verdict {
  inside: boolean;
  /** "Short on acid and a touch weak." */
  headline: string;
  /** The headline as it stands within a sentence: "in range", "too sweet". */
  standing: string;
  /** "Acid is 0.31 g/100 mL under the nearest edge of the Sour range. Sugar is fine." */
  detail: string;
  axes: readonly [AxisVerdict, AxisVerdict, AxisVerdict];
}

const LOW = ["dry", "short on acid", "weak"] as const;
const HIGH = ["too sweet", "too sharp", "too strong"] as const;
const SMALL_LOW = ["a touch dry", "a touch short on acid", "a touch weak"] as const;
const SMALL_HIGH = ["a touch sweet", "a touch sharp", "a touch strong"] as const;
const BIG_LOW = ["very dry", "far short on acid", "far too weak"] as const;
const BIG_HIGH = ["far too sweet", "far too sharp", "far too strong"] as const;

/** Below this share of an axis scale a difference is not worth a word. */
const WORTH_A_WORD = 0.05;
const SMALL = 0.5;
const BIG = 2;
/** Within this factor two gaps are the same to who reads them. */
const NEARLY = 1.02;
/** Nearer to the edge than this, in axis-scale units, a drink is in range only just. */
const JUST_INSIDE = 0.15;

const shareOfScale = (axis: Axis, gap: number) => Math.abs(gap) / AXES[axis].scale;

const underOrOver = (gap: number) => (gap < 0 ? "under" : "over");

/** "acid is 0.31 g/100 mL under". */
function gapWords(axis: Axis, gap: number): string {
  return `${AXIS_NAME[axis]} is ${gapNumber(axis, gap)} ${AXIS_UNIT[axis]} ${underOrOver(gap)}`;
}

function axisVerdict(axis: Axis, gap: number, inside: boolean): AxisVerdict {
  if (inside) return { state: "ok", by: 0, note: "in range" };
  if (shareOfScale(axis, gap) < WORTH_A_WORD) return { state: "ok", by: 0, note: "fine" };
  return {
    state: gap < 0 ? "low" : "high",
    by: Math.abs(gap),
    note: `${gapNumber(axis, gap)} ${underOrOver(gap)}`,
  };
}

function tasteWords(axis: Axis, { state, by }: AxisVerdict): string {
  const size = shareOfScale(axis, by);
  if (state === "low") return (size < SMALL ? SMALL_LOW : size > BIG ? BIG_LOW : LOW)[axis];
  return (size < SMALL ? SMALL_HIGH : size > BIG ? BIG_HIGH : HIGH)[axis];
}

/**
 * The axes that are to be named. The way to the nearest edge of a leaning range also moves axes on which nothing is
 * out, as an Old Fashioned's acid: they are left out as long as another is. A ratio is out by both of its axes.
 */
function namedAxes(
  point: Vec3,
  [low, high]: readonly [Vec3, Vec3],
  { violations }: Membership,
): readonly Axis[] {
  const out = AXES3.filter((axis) => {
    const beyond = Math.max(low[axis] - point[axis], point[axis] - high[axis]);
    return beyond > MEMBERSHIP_TOLERANCE * AXES[axis].scale;
  });
  const isByAxis = violations.every(({ measure }) => measure !== "ratio" && measure !== "face");
  return isByAxis && out.length > 0 ? out : AXES3;
}

const standing = (words: string) => ({ standing: words, headline: `${upperFirst(words)}.` });

/**
 * Say where a point stands against a target, plainly: the gaps are those to the nearest point of the target, on the
 * axes that are to be named.
 */
export function verdictOf(
  target: Pick<CompiledTarget, "membership" | "boundingBox">,
  point: Vec3,
  targetLabel: string,
): Verdict {
  const membership = target.membership(point);
  const { inside, signedDistance } = membership;
  const nearest = toVec(membership.nearest);
  const named = inside ? [] : namedAxes(point, target.boundingBox, membership);
  const gap = (axis: Axis) => (named.includes(axis) ? point[axis] - nearest[axis] : 0);
  const judge = (axis: Axis) => axisVerdict(axis, gap(axis), inside);
  const axes = [judge(0), judge(1), judge(2)] as const;
  if (inside) {
    const near = signedDistance > -JUST_INSIDE;
    return {
      inside,
      ...standing(near ? "in range, but only just" : "in range"),
      detail: near
        ? `Close to the edge of ${targetLabel}: a sharper lemon or a slow pour could take it out.`
        : `It sits inside ${targetLabel}.`,
      axes,
    };
  }
  const off = AXES3.filter((axis) => axes[axis].state !== "ok").sort(
    (a, b) => shareOfScale(b, axes[b].by) - shareOfScale(a, axes[a].by),
  );
  if (off.length === 0) {
    const most = AXES3.reduce((a, b) => (shareOfScale(b, gap(b)) > shareOfScale(a, gap(a)) ? b : a));
    return {
      inside,
      ...standing("a hair outside"),
      detail: `${upperFirst(gapWords(most, gap(most)))} the nearest edge of ${targetLabel}: less than anyone can taste.`,
      axes,
    };
  }
  const fine = AXIS_NAME.filter((_, k) => axes[k as Axis].state === "ok");
  return {
    inside,
    ...standing(joinWords(off.map((axis) => tasteWords(axis, axes[axis])))),
    detail: `${upperFirst(joinWords(off.map((axis) => gapWords(axis, gap(axis)))))} the nearest edge of ${targetLabel}.${
      fine.length > 0 ? ` ${upperFirst(joinWords(fine))} ${fine.length > 1 ? "are" : "is"} fine.` : ""
    }`,
    axes,
  };
}

/**
 * Why the nearest edge is the one named: what each axis alone would take. `alone` holds, for each axis, the
 * change that brings the drink in with the others held; null where that axis alone cannot.
 */
export function edgeWords(
  { inside, axes }: Verdict,
  alone: readonly [number | null, number | null, number | null],
): string {
  const off = AXES3.filter((axis) => axes[axis].state !== "ok");
  if (inside || off.length === 0) return "";
  const byOne = off.map((axis) => {
    const change = alone[axis];
    if (change === null) return `${AXIS_NAME[axis]} alone cannot bring it in`;
    return `${AXIS_NAME[axis]} alone would need ${change < 0 ? "" : "+"}${change < 0 ? "−" : ""}${gapNumber(axis, change)}`;
  });
  const [first] = off;
  // What only leans along is not named, and then the one that is has further to go by itself.
  const isEnough = off.length === 1 && Math.abs(alone[first!] ?? Infinity) < axes[first!].by * NEARLY;
  return isEnough
    ? "The gap is measured to the drink in range that is nearest, and one axis is enough to reach it."
    : `The gaps are measured to the one drink in range that is nearest, where all of them close together; ${joinWords(byOne)}.`;
}

/**
 * The stretches of the three axes that are in range, as the verdict of a point has them: on an axis that is fine the
 * stretch holds the point.
 */
export function bandsOf(
  target: CompiledTarget,
  point: Vec3,
  { axes }: Verdict = verdictOf(target, point, ""),
): ([number, number] | null)[] {
  const bands = gaugeBands(target, point, toVec(target.membership(point).nearest));
  return AXES3.map((axis) => {
    const band = bands[axis];
    if (band === null || axes[axis].state !== "ok") return band;
    return [Math.min(band[0], point[axis]), Math.max(band[1], point[axis])];
  });
}
