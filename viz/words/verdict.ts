import { AXES } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import { joinWords, upperFirst } from "../../engine/wording.ts";

/** How one axis stands against the target, in words and numbers. */
export interface AxisVerdict {
  state: "low" | "high" | "ok";
  /** Axis units to the edge of the target; 0 when fine. */
  by: number;
  /** "acid is 0.31 g/100 mL under". */
  text: string;
}

/** The readout's sentence and its parts. */
export interface Verdict {
  inside: boolean;
  /** "Short on acid and a touch weak." */
  headline: string;
  /** "Acid is 0.31 g/100 mL under the nearest edge of Sour range. Sugar is fine." */
  detail: string;
  axes: readonly [AxisVerdict, AxisVerdict, AxisVerdict];
}

const LOW = ["dry", "short on acid", "weak"] as const;
const HIGH = ["too sweet", "too sharp", "too strong"] as const;
const SMALL_LOW = ["a touch dry", "a touch short on acid", "a touch weak"] as const;
const SMALL_HIGH = ["a touch sweet", "a touch sharp", "a touch strong"] as const;
const BIG_LOW = ["very dry", "far short on acid", "far too weak"] as const;
const BIG_HIGH = ["far too sweet", "far too sharp", "far too strong"] as const;
const NOUN = ["sugar", "acid", "alcohol"] as const;
export const DECIMALS = [1, 2, 1] as const;

/** Below this share of an axis scale a difference is not worth a word. */
const WORTH_A_WORD = 0.05;
const SMALL = 0.5;
const BIG = 2;

/** A number of an axis, with the decimals that axis deserves. */
export function axisNumber(axis: 0 | 1 | 2, value: number): string {
  return value.toFixed(DECIMALS[axis]);
}

/** A change along an axis: "+1.2", "−0.03", or "0" when it rounds to nothing. */
export function axisChange(axis: 0 | 1 | 2, change: number): string {
  const size = axisNumber(axis, Math.abs(change));
  return Number(size) === 0 ? "0" : `${change < 0 ? "−" : "+"}${size}`;
}

/** "acid is 0.31 g/100 mL under"; a gap too small for the axis's usual decimals gets more, so it never reads 0. */
function axisGap(axis: 0 | 1 | 2, gap: number): string {
  const size = Math.abs(gap);
  const usual = size.toFixed(DECIMALS[axis]);
  const text = Number(usual) === 0 ? size.toPrecision(1) : usual;
  return `${NOUN[axis]} is ${text} ${axis === 2 ? "% vol" : "g/100 mL"} ${gap < 0 ? "under" : "over"}`;
}

/**
 * Say where a point stands against a target, plainly.
 *
 * `nearest` is the nearest point of the target (the point itself when inside); the axes it differs
 * on are the ones named. `signedDistance` is in axis-scale units, negative inside.
 */
export function verdictOf(
  point: Vec3,
  nearest: Vec3,
  inside: boolean,
  signedDistance: number,
  targetLabel: string,
): Verdict {
  const axes = AXES.map((axis, i) => {
    const k = i as 0 | 1 | 2;
    const gap = point[k] - nearest[k];
    if (inside || Math.abs(gap) / axis.scale < WORTH_A_WORD) return { state: "ok", by: 0, text: "" } as const;
    const by = Math.abs(gap);
    return {
      state: gap < 0 ? "low" : "high",
      by,
      text: axisGap(k, gap),
    } as const;
  }) as unknown as readonly [AxisVerdict, AxisVerdict, AxisVerdict];

  if (inside) {
    const near = signedDistance > -0.15;
    return {
      inside,
      headline: near ? "In range, but only just." : "In range.",
      detail: near
        ? `Close to the edge of ${targetLabel}: a sharper lemon or a slow pour could take it out.`
        : `It sits inside ${targetLabel}.`,
      axes,
    };
  }
  const off = axes.flatMap((axis, i) => (axis.state === "ok" ? [] : [{ axis, k: i as 0 | 1 | 2 }]));
  if (off.length === 0) {
    const k = ([0, 1, 2] as const).reduce((a, b) =>
      Math.abs(point[b] - nearest[b]) / AXES[b].scale > Math.abs(point[a] - nearest[a]) / AXES[a].scale
        ? b
        : a,
    );
    const gap = point[k] - nearest[k];
    return {
      inside,
      headline: "A hair outside.",
      detail: `${upperFirst(axisGap(k, gap))} the nearest edge of ${targetLabel}: less than anyone can taste.`,
      axes,
    };
  }
  off.sort((a, b) => b.axis.by / AXES[b.k].scale - a.axis.by / AXES[a.k].scale);
  const words = off.map(({ axis, k }) => {
    const size = axis.by / AXES[k].scale;
    if (axis.state === "low") return (size < SMALL ? SMALL_LOW : size > BIG ? BIG_LOW : LOW)[k];
    return (size < SMALL ? SMALL_HIGH : size > BIG ? BIG_HIGH : HIGH)[k];
  });
  const fine = NOUN.filter((_, k) => axes[k]?.state === "ok");
  return {
    inside,
    headline: `${upperFirst(joinWords(words))}.`,
    detail: `${upperFirst(joinWords(off.map(({ axis }) => axis.text)))} the nearest edge of ${targetLabel}.${
      fine.length > 0 ? ` ${upperFirst(joinWords(fine))} ${fine.length > 1 ? "are" : "is"} fine.` : ""
    }`,
    axes,
  };
}
