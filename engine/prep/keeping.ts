import { ALLERGEN_IDS } from "../ids.ts";
import type { AllergenId, CautionId, Ingredient, Role } from "../types.ts";
import type { Composition, Keeping, SteepedId, StorageId } from "./types.ts";

/** What decides how long a prep keeps, and what must be said of it. */
export interface PrepFacts {
  composition: Composition;
  parts: readonly Ingredient[];
  steeped: readonly SteepedId[];
  storage: StorageId;
  simmered: boolean;
  ph: number | null;
}

/**
 * Days a prep is used within, on the safe side. Where a source gives a number it is named; the rest is common
 * practice without a published source. Your food code and your own hygiene plan come first.
 */
const RULES = {
  "raw-egg": { days: 1, storage: "fridge", source: "bar-convention" },
  dairy: { days: 3, storage: "fridge", source: "bar-convention" },
  "fat-or-oil": { days: 7, storage: "fridge", source: "fda-garlic-oil" },
  "fresh-citrus": { days: 1, storage: "fridge", source: "bar-convention" },
  juice: { days: 3, storage: "fridge", source: "bar-convention" },
  "low-acid": { days: 7, storage: "fridge", source: "fda-food-code-time" },
  "thin-syrup": { days: 7, storage: "fridge", source: "fda-food-code-time" },
  "rich-syrup": { days: 28, storage: "fridge", source: "bar-convention" },
  "wine-strength": { days: 14, storage: "fridge", source: "bar-convention" },
  "spirit-strength": { days: 90, storage: "shelf", source: "bar-convention" },
  "acid-solution": { days: 28, storage: "fridge", source: "bar-convention" },
} as const satisfies Record<string, Pick<Keeping, "days" | "storage" | "source">>;

export type KeepingReason = keyof typeof RULES;

/** From here up alcohol keeps a liquid (common practice); below it only slows things down. */
const SPIRIT_STRENGTH = 20;
const WINE_STRENGTH = 10;
/** Solids, % by mass, from which a sugar syrup is called rich and keeps longer (common practice). */
const RICH_BRIX = 65;
/** 21 CFR 114.3: low-acid is above pH 4.6 with a water activity above 0.85; alcoholic beverages are left out. */
const LOW_ACID_PH = 4.6;
/** Acid, g/100 mL, above which a prep without juice is an acid solution. */
const ACID_SOLUTION = 2;

const WARMTH: Readonly<Record<StorageId, number>> = { freezer: 0, fridge: 1, shelf: 2 };

/** How long, and why: the shortest of what applies. */
export function keepingOf(facts: PrepFacts): Keeping {
  const because = reasons(facts).reduce((a, b) => (RULES[b].days < RULES[a].days ? b : a));
  const rule = RULES[because];
  return { because, ...rule, tooWarm: WARMTH[facts.storage] > WARMTH[rule.storage] };
}

function reasons({ composition, parts, steeped, ph }: PrepFacts): KeepingReason[] {
  const abv = composition.abvPercent.value;
  const all: KeepingReason[] = [];
  const has = (...roles: Role[]) => parts.some((p) => roles.includes(p.role));
  const isRaw = parts.some((p) => p.cautions?.includes("raw-egg")) || has("egg");
  if (isRaw || steeped.includes("raw-egg")) all.push("raw-egg");
  if (has("dairy") || steeped.includes("milk")) all.push("dairy");
  if (abv >= SPIRIT_STRENGTH) return [...all, "spirit-strength"];
  if (steeped.includes("fat-or-oil")) all.push("fat-or-oil");
  const rich = composition.solidsPercent.value >= RICH_BRIX;
  if (has("sour-juice") && !has("acid") && !rich) all.push("fresh-citrus");
  else if (has("sour-juice", "sweet-juice")) all.push("juice");
  if (steeped.includes("low-acid-plants") || (ph !== null && ph > LOW_ACID_PH && abv < WINE_STRENGTH)) {
    all.push("low-acid");
  }
  if (abv >= WINE_STRENGTH) all.push("wine-strength");
  else if (composition.acidGPer100Ml.value >= ACID_SOLUTION && all.length === 0) all.push("acid-solution");
  else all.push(rich ? "rich-syrup" : "thin-syrup");
  return all;
}

const STEEPED_CAUTIONS: Readonly<Record<SteepedId, readonly CautionId[]>> = {
  "spice-or-herb": ["infusion"],
  "fruit-or-peel": ["infusion"],
  cassia: ["infusion", "coumarin"],
  tonka: ["infusion", "coumarin"],
  cinchona: ["infusion", "quinine"],
  "activated-charcoal": ["charcoal"],
  nuts: ["nuts"],
  "low-acid-plants": ["infusion", "low-acid"],
  "fat-or-oil": ["infusion", "low-acid"],
  milk: ["milk"],
  "raw-egg": ["raw-egg"],
};

/** Every caution of what goes into one vessel, and `more`. */
export function cautionsOf(parts: readonly Ingredient[], ...more: CautionId[]): CautionId[] {
  return [...new Set([...parts.flatMap(({ cautions }) => cautions ?? []), ...more])];
}

/** Sugar, % by mass, of a simmered prep from which its burns deserve a word. */
const HOT_SUGAR_BRIX = 30;

/** Every caution a prep carries: its parts', what was steeped, what was done, what it came to. */
export function cautionsOfPrep(facts: PrepFacts): CautionId[] {
  const { composition, parts, steeped, simmered, ph } = facts;
  const ids = new Set(cautionsOf(parts, ...steeped.flatMap((s) => STEEPED_CAUTIONS[s])));
  if (simmered && composition.solidsPercent.value >= HOT_SUGAR_BRIX) ids.add("hot-sugar");
  const abv = composition.abvPercent.value;
  if (abv >= 0.5) ids.add("alcohol").add("batching");
  else if (ph !== null && ph > LOW_ACID_PH) ids.add("low-acid");
  return [...ids];
}

/** The allergens that go with a list of cautions: but for egg, a caution about one has its name. */
export function allergensOf(cautions: readonly CautionId[]): AllergenId[] {
  const named = new Set<string>(cautions.map((id) => (id === "raw-egg" ? "egg" : id)));
  return [...named].flatMap((id) => ALLERGEN_IDS.find((allergen) => allergen === id) ?? []);
}
