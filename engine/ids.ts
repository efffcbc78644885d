import { ICE_CONDITIONS } from "./limits.ts";

/*
 * The closed vocabularies, each written once: types.ts takes its unions from these lists, and schemas, loaders,
 * codecs and menus list or check by them. The order is the order in which they are listed to people.
 */

/** Units whose size a standard defines. */
const STANDARD_UNIT_IDS = ["ml", "cl", "oz", "imperial-oz", "tsp", "tbsp"] as const;

/** Units whose size is the house's own. */
export const HOUSE_UNIT_IDS = ["barspoon", "dash", "drop", "part"] as const;

/** Units a spec line may use. */
export const UNIT_IDS = [...STANDARD_UNIT_IDS, ...HOUSE_UNIT_IDS, "g", "piece"] as const;

/** Ways of mixing and cooling a drink. */
export const METHOD_IDS = [
  "shaken",
  "stirred",
  "built",
  "thrown",
  "blended",
  "crushed",
  "carbonated",
  "none",
] as const;

/** Ice in the glass a drink is served in. */
export const SERVING_ICE_IDS = ["none", "cubes", "rock", "crushed"] as const;

/** Sugars the sugar axis sums, in grams. */
export const SUGAR_IDS = ["sucrose", "glucose", "fructose", "maltose", "lactose"] as const;

/** Acids the acid axis adds by milliequivalents. */
export const ACID_IDS = ["citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "other"] as const;

/** What an ingredient does in a drink. */
export const ROLE_IDS = [
  "spirit",
  "liqueur",
  "fortified-wine",
  "wine",
  "bitters",
  "sour-juice",
  "sweet-juice",
  "syrup",
  "sugar",
  "acid",
  "egg",
  "dairy",
  "tea-coffee",
  "lengthener",
  "other",
] as const;

/** Where a reference spec's proportions come from. */
export const ERA_IDS = ["list", "modern", "early"] as const;

/** Keys of the caution texts in reference-data. */
export const CAUTION_IDS = [
  "alcohol",
  "raw-egg",
  "milk",
  "nuts",
  "sulphites",
  "grapefruit-medicines",
  "honey-infants",
  "strong-acid",
  "quinine",
  "infusion",
  "gluten",
  "soy",
  "celery",
  "fish",
  "coumarin",
  "charcoal",
  "low-acid",
  "hot-sugar",
  "batching",
  "curdling",
  "closed-fizz",
] as const;

/** Declared allergens that a bar's pantry can hold. */
export const ALLERGEN_IDS = ["egg", "milk", "nuts", "sulphites", "gluten", "soy", "celery", "fish"] as const;

/** How good a source is, best first. */
export const EVIDENCE_IDS = [
  "read",
  "quoted",
  "computed",
  "memory",
  "definition",
  "convention",
  "estimate",
] as const;

/** When a line goes in: over the ice, or added after it. */
export const STAGE_IDS = ["mix", "top"] as const;

/** What the ice balance rests on; each can be set by the user. */
export const ICE_CONDITION_IDS = Object.keys(ICE_CONDITIONS) as readonly (keyof typeof ICE_CONDITIONS)[];

/** Pour ladders known by name. */
export const NAMED_LADDER_IDS = ["us-jigger", "metric-jigger", "scale"] as const;

/** Pour ladders, the user's own steps last. */
export const LADDER_IDS = [...NAMED_LADDER_IDS, "own"] as const;

/** What a change keeps to, in the order that it is listed. */
export const KEEP_IDS = ["holds", "size", "accents", "mains", "order", "base", "own-kind", "few"] as const;

/** What counts as the smallest change; the first is the default. */
export const MEASURE_IDS = ["fewest-then-volume", "volume", "relative", "drift", "cost"] as const;

/** How a solve can end. Clients hold these: the list only grows, at its end. */
export const SOLVE_STATUS_IDS = [
  "already_inside",
  "optimal",
  "infeasible",
  "limit_reached",
  "no_solution_found",
] as const;

/** What a limit of the solver is about. */
export const LIMIT_ROLE_IDS = ["target", "drift", "glass", "share", "order", "poured", "strength"] as const;

/** What a doubt about a drink can be about. */
export const DOUBT_KIND_IDS = [
  "abv",
  "sugar",
  "acid",
  "solids",
  "piece",
  "density",
  "unit",
  "pour",
  "dilution",
] as const;

/** The axes by name, in their order. */
export const AXIS_IDS = ["sugar", "acid", "abv"] as const;

/** Ways in which one ingredient of a spec can change. */
export const MOVE_KIND_IDS = ["pour", "add", "drop", "swap", "syrup", "method", "acid", "scale"] as const;

/** Where a round can stand; the first is where it starts. */
export const ROUND_STATE_IDS = ["open", "kept", "rejected", "final"] as const;

/** What is steeped in a prep and strained out. */
export const STEEPED_IDS = [
  "spice-or-herb",
  "fruit-or-peel",
  "cassia",
  "tonka",
  "cinchona",
  "activated-charcoal",
  "nuts",
  "low-acid-plants",
  "fat-or-oil",
  "milk",
  "raw-egg",
] as const;

/** Where a prep stands. */
export const STORAGE_IDS = ["fridge", "freezer", "shelf"] as const;
