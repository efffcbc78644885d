import { AXES } from "../../engine/axes.ts";

/*
 * What an answer leaves out unless asked, and how far its numbers are written out. Half of the bytes of an
 * exploration were digits that no jigger, scale or titration can see. Leaving out, rounding and writing are one
 * walk over the answer: copying it first and writing the copy took twice as long as placing the drink.
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
  ["leaves", "proof"],
]);

/** What the caller sent or will send back, and what is checked to the last digit, is written out whole. */
const EXACT: ReadonlySet<string> = new Set([
  ...["spec", "reading", "made", "target", "ladder", "intent"],
  ...["refutation", "refutations", "rows", "ranges", "leaves"],
]);

/** Texts, and entries of the catalogue, which never change. */
const PLAIN: ReadonlySet<string> = new Set(["cautions", "provenance", "assumptions", "warnings"]);

/** A number as text. */
type Write = (x: number) => string;

/** As JSON has it: what is no number is null. */
const asIs: Write = (x) => (Number.isFinite(x) ? String(x) : "null");

/** Beyond this a whole number is no longer a small integer of the runtime. */
const MOST_SMALL = 2 ** 30;

/** Three digits as text, and as the last ones of a fraction, where zeros at the end are not written. */
const THREE = Array.from({ length: 1000 }, (_, i) => String(i).padStart(3, "0"));
const LAST_THREE = THREE.map((digits) => digits.replace(/0+$/, ""));

/**
 * So many decimals, six at most. Digits are looked up three at a time: that takes a fraction of the time in which
 * the shortest decimal of a double is found, and gives the same text.
 */
function to(decimals: number): Write {
  const scale = 10 ** decimals;
  const toSix = 10 ** (6 - decimals);
  return (x) => {
    const steps = Math.round(x * scale);
    const size = Math.abs(steps);
    if (!(size < MOST_SMALL)) return asIs(steps / scale);
    const whole = Math.floor(size / scale);
    const millionths = (size - whole * scale) * toSix;
    const text = steps < 0 ? `-${whole}` : `${whole}`;
    if (millionths === 0) return text;
    const first = Math.floor(millionths / 1000);
    const last = millionths - first * 1000;
    return last === 0 ? `${text}.${LAST_THREE[first]!}` : `${text}.${THREE[first]!}${LAST_THREE[last]!}`;
  };
}

const BY_DECIMALS = [0, 1, 2, 3, 4, 5, 6].map(to);

/** Five significant figures; what is smaller than a hundredth or larger than ten thousand is rare. */
const fiveFigures: Write = (x) => {
  const size = Math.abs(x);
  if (size >= 0.01 && size < 10_000) {
    const decimals = size < 0.1 ? 6 : size < 1 ? 5 : size < 10 ? 4 : size < 100 ? 3 : size < 1000 ? 2 : 1;
    return BY_DECIMALS[decimals]!(x);
  }
  return x === 0 ? "0" : asIs(Number(x.toPrecision(5)));
};

/**
 * By the end of a field's name, which is its unit. Each step is a tenth of the smallest uncertainty a placed
 * drink has, or less: sugar 0.02 g/100 mL, acid 0.002, alcohol 0.02 % vol (a single weighed spirit), 0.2 mL.
 */
const BY_UNIT: readonly (readonly [RegExp, Write])[] = [
  [/^sugarGPer100Ml$/, to(3)],
  [/^acidGPer100Ml$/, to(4)],
  [/^abvPercent$/, to(3)],
  [/(?:Ml|^ml)$/, to(2)],
  [/(?:[a-z]G|SdC|TempC|Percent)$/, to(2)],
  [/Kcal$/, to(1)],
  [/^(?:chance|probability|share$|score$)/, to(4)],
];
const USUAL = fiveFigures;

/** Vectors in axis order, rounded axis by axis: four decimals for acid, three for sugar and alcohol. */
const ON_AXES: readonly Write[] = AXES.map(({ decimals }) => to(decimals + 2));
const VECTORS: ReadonlySet<string> = new Set(["vector", "share", "driftVector", "delta", "points"]);

/** What becomes of a field, by its name. */
interface Plan {
  /** The name as it is written. */
  key: string;
  belongs: IncludeId | undefined;
  isExact: boolean;
  isPlain: boolean;
  isVector: boolean;
  number: Write;
}

const plans = new Map<string, Plan>();

function planOf(name: string): Plan {
  let plan = plans.get(name);
  if (plan === undefined) {
    plan = {
      key: `${JSON.stringify(name)}:`,
      belongs: PART.get(name),
      isExact: EXACT.has(name),
      isPlain: PLAIN.has(name),
      isVector: VECTORS.has(name),
      number: BY_UNIT.find(([end]) => end.test(name))?.[1] ?? USUAL,
    };
    plans.set(name, plan);
  }
  return plan;
}

/** Nothing in it that JSON escapes. */
const UNESCAPED = /^[ !#-[\]-\ud7ff\ue000-\uffff]*$/;

const quoted = (text: string): string => (UNESCAPED.test(text) ? `"${text}"` : JSON.stringify(text));

const WRITTEN = new WeakMap<object, string>();

/** An entry of the catalogue, written once. */
function kept(entry: object): string {
  let text = WRITTEN.get(entry);
  if (text === undefined) {
    text = JSON.stringify(entry);
    WRITTEN.set(entry, text);
  }
  return text;
}

/** `value` is nothing that JSON has no word for. */
function written(value: unknown, plan: Plan, include: readonly IncludeId[]): string {
  if (typeof value === "number") return plan.number(value);
  if (typeof value === "string") return quoted(value);
  if (typeof value !== "object" || value === null) return String(value);
  if (Array.isArray(value)) return list(value, plan, include);
  return plan.isPlain ? kept(value) : fields(value as Record<string, unknown>, include);
}

function list(values: readonly unknown[], plan: Plan, include: readonly IncludeId[]): string {
  const onAxes = plan.isVector && typeof values[0] === "number";
  let text = "";
  for (let i = 0; i < values.length; i++) {
    if (i > 0) text += ",";
    text += onAxes ? ON_AXES[i]!(values[i] as number) : written(values[i], plan, include);
  }
  return `[${text}]`;
}

function fields(value: Readonly<Record<string, unknown>>, include: readonly IncludeId[]): string {
  let text = "";
  for (const name in value) {
    const field = value[name];
    if (field === undefined) continue;
    const plan = planOf(name);
    if (plan.belongs !== undefined && !include.includes(plan.belongs)) continue;
    if (text !== "") text += ",";
    text += plan.key + (plan.isExact ? JSON.stringify(field) : written(field, plan, include));
  }
  return `{${text}}`;
}

/** The answer as it is sent: without the parts not asked for, each number as long as it means something. */
export function leanJson(answer: object, include: readonly IncludeId[] = []): string {
  return fields(answer as Record<string, unknown>, include);
}
