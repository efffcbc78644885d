import { AXES } from "../../engine/axes.ts";
import { ascii, begin, finished, mark, quoted, raw, rounded, whole } from "./ink.ts";

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

/** Decimals that stand for as many as make five significant figures. */
const FIVE_FIGURES = -1;

function number(x: number, decimals: number): void {
  const size = Math.abs(x);
  if (decimals !== FIVE_FIGURES) rounded(x, decimals);
  else if (size >= 1e-6 && size < 10_000) {
    let more = 1;
    for (let least = 1000; size < least; least /= 10) more++;
    rounded(x, more);
  } else whole(Number(x.toPrecision(5)));
}

/**
 * By the end of a field's name, which is its unit. Each step is a tenth of the smallest uncertainty a placed
 * drink has, or less: sugar 0.02 g/100 mL, acid 0.002, alcohol 0.02 % vol (a single weighed spirit), 0.2 mL.
 */
const BY_UNIT: readonly (readonly [RegExp, number])[] = [
  [/^sugarGPer100Ml$/, 3],
  [/^acidGPer100Ml$/, 4],
  [/^abvPercent$/, 3],
  [/(?:Ml|^ml)$/, 2],
  [/(?:[a-z]G|SdC|TempC|Percent)$/, 2],
  [/Kcal$/, 1],
  [/^(?:chance|probability|share$|score$)/, 4],
];

/** Vectors in axis order, rounded axis by axis: four decimals for acid, three for sugar and alcohol. */
const ON_AXES: readonly number[] = AXES.map(({ decimals }) => decimals + 2);
const VECTORS: ReadonlySet<string> = new Set(["vector", "share", "driftVector", "delta", "points"]);

/** What becomes of a field, by its name. */
interface Plan {
  /** The name as it is written behind a brace. */
  first: Uint8Array;
  /** And behind another field. */
  key: Uint8Array;
  name: string;
  /** The field that came behind it last: most answers are alike, and it need not be looked up. */
  after: Plan | null;
  belongs: IncludeId | undefined;
  isExact: boolean;
  isPlain: boolean;
  isVector: boolean;
  decimals: number;
}

const plans = new Map<string, Plan>();

function planOf(name: string): Plan {
  let plan = plans.get(name);
  if (plan === undefined) {
    plan = {
      first: Buffer.from(`{${JSON.stringify(name)}:`),
      key: Buffer.from(`,${JSON.stringify(name)}:`),
      name,
      after: null,
      belongs: PART.get(name),
      isExact: EXACT.has(name),
      isPlain: PLAIN.has(name),
      isVector: VECTORS.has(name),
      decimals: BY_UNIT.find(([end]) => end.test(name))?.[1] ?? FIVE_FIGURES,
    };
    plans.set(name, plan);
  }
  return plan;
}

function planBehind(before: Plan | null, name: string): Plan {
  if (before?.after?.name === name) return before.after;
  const plan = planOf(name);
  if (before) before.after = plan;
  return plan;
}

const WRITTEN = new WeakMap<object, Uint8Array>();

/** An entry of the catalogue, written once. */
function kept(entry: object): Uint8Array {
  let bytes = WRITTEN.get(entry);
  if (bytes === undefined) {
    bytes = Buffer.from(JSON.stringify(entry));
    WRITTEN.set(entry, bytes);
  }
  return bytes;
}

const COMMA = 44;
const LIST = 91;
const LIST_END = 93;
const OBJECT = 123;
const OBJECT_END = 125;

/** The parts asked for; null: everything, and to the last digit. */
type Included = readonly IncludeId[] | null;

/** `value` is nothing that JSON has no word for. */
function write(value: unknown, plan: Plan, include: Included): void {
  if (typeof value === "number") {
    if (include === null) whole(value);
    else number(value, plan.decimals);
  } else if (typeof value === "string") quoted(value);
  else if (typeof value !== "object" || value === null) ascii(String(value));
  else if (Array.isArray(value)) list(value, plan, include);
  else if (plan.isPlain && include !== null) raw(kept(value));
  else fields(value as Record<string, unknown>, include);
}

function list(values: readonly unknown[], plan: Plan, include: Included): void {
  const onAxes = plan.isVector && include !== null && typeof values[0] === "number";
  mark(LIST);
  for (let i = 0; i < values.length; i++) {
    if (i > 0) mark(COMMA);
    if (onAxes) rounded(values[i] as number, ON_AXES[i]!);
    else write(values[i], plan, include);
  }
  mark(LIST_END);
}

function fields(value: Readonly<Record<string, unknown>>, include: Included): void {
  let isFirst = true;
  let before: Plan | null = null;
  for (const name in value) {
    const field = value[name];
    if (field === undefined) continue;
    const plan = planBehind(before, name);
    before = plan;
    if (plan.belongs !== undefined && include !== null && !include.includes(plan.belongs)) continue;
    raw(isFirst ? plan.first : plan.key);
    isFirst = false;
    write(field, plan, plan.isExact ? null : include);
  }
  if (isFirst) mark(OBJECT);
  mark(OBJECT_END);
}

/** The answer as it is sent: without the parts not asked for, each number as long as it means something. */
export function leanJson(answer: object, include: readonly IncludeId[] = []): Buffer<ArrayBuffer> {
  begin();
  fields(answer as Record<string, unknown>, include);
  return finished();
}
