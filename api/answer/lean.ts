import { AXES } from "../../engine/axes.ts";

/*
 * What an answer leaves out unless asked, and how far its numbers are written out. Half of the bytes of an
 * exploration were digits that no jigger, scale or titration can see.
 */

/** Parts sent only when a request names them in `include`. */
export const INCLUDE_IDS = ["doubts", "kin", "models", "paths", "placements", "proof"] as const;
export type IncludeId = (typeof INCLUDE_IDS)[number];

/** Which part a field belongs to, wherever it stands. */
const PART: ReadonlyMap<string, IncludeId> = new Map([
  ["doubts", "doubts"],
  ["regression", "models"],
  ["energy", "models"],
  ["path", "paths"],
  ["refutations", "proof"],
  ["rows", "proof"],
  ["ranges", "proof"],
]);

/** What the caller sent or will send back, and what is checked to the last digit, is written out whole. */
const EXACT: ReadonlySet<string> = new Set([
  ...["spec", "reading", "made", "target", "ladder", "intent"],
  ...["refutation", "refutations", "rows", "ranges"],
]);

/** Strings throughout: not worth a walk. */
const PLAIN: ReadonlySet<string> = new Set(["cautions", "provenance", "assumptions", "warnings"]);

type Round = (x: number) => number;

const to = (decimals: number): Round => {
  const scale = 10 ** decimals;
  return (x) => Math.round(x * scale) / scale;
};

/** Significant figures, without going through text as `toPrecision` does. */
const figures =
  (n: number): Round =>
  (x) => {
    if (x === 0) return 0;
    const spare = n - 1 - Math.floor(Math.log10(Math.abs(x)));
    const scale = 10 ** Math.abs(spare);
    return spare >= 0 ? Math.round(x * scale) / scale : Math.round(x / scale) * scale;
  };

/**
 * By the end of a field's name, which is its unit. Each step is a tenth of the smallest uncertainty a placed
 * drink has, or less: sugar 0.02 g/100 mL, acid 0.002, alcohol 0.02 % vol (a single weighed spirit), 0.2 mL.
 */
const BY_UNIT: readonly (readonly [RegExp, Round])[] = [
  [/^sugarGPer100Ml$/, to(3)],
  [/^acidGPer100Ml$/, to(4)],
  [/^abvPercent$/, to(3)],
  [/(?:Ml|^ml)$/, to(2)],
  [/(?:[a-z]G|SdC|TempC|Percent)$/, to(2)],
  [/Kcal$/, to(1)],
  [/^(?:chance|probability|share$|score$)/, to(4)],
];
const USUAL = figures(5);

/** Vectors in axis order, rounded axis by axis: four decimals for acid, three for sugar and alcohol. */
const ON_AXES: readonly Round[] = AXES.map(({ decimals }) => to(decimals + 2));
const VECTORS: ReadonlySet<string> = new Set(["vector", "share", "driftVector", "delta", "points"]);

/** What becomes of a field, by its name. */
interface Plan {
  belongs: IncludeId | undefined;
  isExact: boolean;
  isPlain: boolean;
  isVector: boolean;
  round: Round;
}

const plans = new Map<string, Plan>();

function planOf(name: string): Plan {
  let plan = plans.get(name);
  if (plan === undefined) {
    plan = {
      belongs: PART.get(name),
      isExact: EXACT.has(name),
      isPlain: PLAIN.has(name),
      isVector: VECTORS.has(name),
      round: BY_UNIT.find(([end]) => end.test(name))?.[1] ?? USUAL,
    };
    plans.set(name, plan);
  }
  return plan;
}

function rounded(value: unknown, plan: Plan, include: readonly IncludeId[]): unknown {
  if (typeof value === "number") return plan.round(value);
  if (typeof value !== "object" || value === null || plan.isPlain) return value;
  if (!Array.isArray(value)) return fields(value as Record<string, unknown>, include);
  if (plan.isVector && typeof value[0] === "number") return value.map((x: number, i) => ON_AXES[i]!(x));
  return value.map((item) => rounded(item, plan, include));
}

function fields(value: Readonly<Record<string, unknown>>, include: readonly IncludeId[]) {
  const sent: Record<string, unknown> = {};
  for (const name in value) {
    const plan = planOf(name);
    if (plan.belongs !== undefined && !include.includes(plan.belongs)) continue;
    sent[name] = plan.isExact ? value[name] : rounded(value[name], plan, include);
  }
  return sent;
}

/** The answer as it is sent: without the parts not asked for, each number as long as it means something. */
export function lean(answer: object, include: readonly IncludeId[] = []): unknown {
  return fields(answer as Record<string, unknown>, include);
}
