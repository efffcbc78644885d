import type { AllergenId, CautionId, Ingredient, Role } from "../types.ts";
import type { Composition, Keeping, KeepingReason, PrepMeasurement, SteepedId, StorageId } from "./types.ts";

/** What decides how long a prep keeps, and what must be said of it. */
export interface PrepFacts {
  composition: Composition;
  parts: readonly Ingredient[];
  steeped: readonly SteepedId[];
  storage: StorageId;
  simmered: boolean;
  ph: number | null;
}

interface Rule {
  because: KeepingReason;
  days: number;
  storage: StorageId;
  source: string;
}

/**
 * Days a prep is used within, on the safe side. Where a source gives a number it is named; the rest is common
 * practice without a published source. Your food code and your own hygiene plan come first.
 */
const RULES: Readonly<Record<KeepingReason, Rule>> = {
  "raw-egg": { because: "raw-egg", days: 1, storage: "fridge", source: "bar-convention" },
  dairy: { because: "dairy", days: 3, storage: "fridge", source: "bar-convention" },
  "fat-or-oil": { because: "fat-or-oil", days: 7, storage: "fridge", source: "fda-garlic-oil" },
  "fresh-citrus": { because: "fresh-citrus", days: 1, storage: "fridge", source: "bar-convention" },
  juice: { because: "juice", days: 3, storage: "fridge", source: "bar-convention" },
  "low-acid": { because: "low-acid", days: 7, storage: "fridge", source: "fda-food-code-time" },
  "thin-syrup": { because: "thin-syrup", days: 7, storage: "fridge", source: "fda-food-code-time" },
  "rich-syrup": { because: "rich-syrup", days: 28, storage: "fridge", source: "bar-convention" },
  "wine-strength": { because: "wine-strength", days: 14, storage: "fridge", source: "bar-convention" },
  "spirit-strength": { because: "spirit-strength", days: 90, storage: "shelf", source: "bar-convention" },
  "acid-solution": { because: "acid-solution", days: 28, storage: "fridge", source: "bar-convention" },
};

/** From here up alcohol keeps a liquid (common practice); below it only slows things down. */
const SPIRIT_STRENGTH = 20;
const WINE_STRENGTH = 10;
/** Solids, % by mass, from which a sugar syrup is called rich and keeps longer (common practice). */
const RICH_BRIX = 65;
/** 21 CFR 114.3: low-acid is above pH 4.6 with a water activity above 0.85; alcoholic beverages are left out. */
const LOW_ACID_PH = 4.6;
/** Acid, g/100 mL, above which a prep without juice is an acid solution. */
const ACID_SOLUTION = 2;

const CITRUS: ReadonlySet<Role> = new Set<Role>(["sour-juice"]);
const JUICES: ReadonlySet<Role> = new Set<Role>(["sour-juice", "sweet-juice"]);
const WARMTH: Readonly<Record<StorageId, number>> = { freezer: 0, fridge: 1, shelf: 2 };

/** How long, and why: the shortest of what applies. */
export function keepingOf(facts: PrepFacts): Keeping {
  const rule = reasons(facts)
    .map((reason) => RULES[reason])
    .reduce((a, b) => (b.days < a.days ? b : a));
  return { ...rule, tooWarm: WARMTH[facts.storage] > WARMTH[rule.storage] };
}

function reasons({ composition, parts, steeped, ph }: PrepFacts): KeepingReason[] {
  const abv = composition.abvPercent.value;
  const all: KeepingReason[] = [];
  const has = (id: CautionId) => parts.some((p) => p.cautions?.includes(id));
  if (has("raw-egg") || steeped.includes("raw-egg") || parts.some((p) => p.role === "egg"))
    all.push("raw-egg");
  if (parts.some((p) => p.role === "dairy") || steeped.includes("milk")) all.push("dairy");
  if (abv >= SPIRIT_STRENGTH) return [...all, "spirit-strength"];
  if (steeped.includes("fat-or-oil")) all.push("fat-or-oil");
  const adjusted = parts.some((p) => p.role === "acid");
  const rich = composition.solidsPercent.value >= RICH_BRIX;
  if (parts.some((p) => JUICES.has(p.role))) {
    const fresh = parts.some((p) => CITRUS.has(p.role)) && !adjusted && !rich;
    all.push(fresh ? "fresh-citrus" : "juice");
  }
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

/** Sugar, % by mass, of a simmered prep from which its burns deserve a word. */
const HOT_SUGAR_BRIX = 30;

/** Every caution a prep carries: its parts', what was steeped, what was done, what it came to. */
export function cautionsOfPrep(facts: PrepFacts): CautionId[] {
  const { composition, parts, steeped, simmered, ph } = facts;
  const ids = new Set<CautionId>(parts.flatMap((p) => p.cautions ?? []));
  for (const s of steeped) for (const id of STEEPED_CAUTIONS[s]) ids.add(id);
  if (simmered && composition.solidsPercent.value >= HOT_SUGAR_BRIX) ids.add("hot-sugar");
  const abv = composition.abvPercent.value;
  if (abv >= 0.5) ids.add("alcohol").add("batching");
  else if (ph !== null && ph > LOW_ACID_PH) ids.add("low-acid");
  return [...ids];
}

const ALLERGENS: Partial<Record<CautionId, AllergenId>> = {
  "raw-egg": "egg",
  milk: "milk",
  nuts: "nuts",
  sulphites: "sulphites",
  gluten: "gluten",
  soy: "soy",
  celery: "celery",
  fish: "fish",
};

/** The allergens that go with a list of cautions. */
export function allergensOf(cautions: readonly CautionId[]): AllergenId[] {
  return [...new Set(cautions.flatMap((id) => ALLERGENS[id] ?? []))];
}

/** The pH a batch was measured at, if it was. */
export function measuredPh(measured: readonly PrepMeasurement[]) {
  return measured.find((m) => m.kind === "ph") ?? null;
}
