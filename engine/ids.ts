import type {
  AcidId,
  AllergenId,
  AxisName,
  CautionId,
  DoubtKind,
  EraId,
  IceConditions,
  KeepId,
  LadderId,
  LimitRole,
  MeasureId,
  Method,
  MoveKind,
  Role,
  RoundState,
  ServingIce,
  SolveStatus,
  Source,
  SpecLine,
  SugarId,
  UnitId,
} from "./types.ts";

/*
 * The closed vocabularies of types.ts as values, for whatever has to list or check them: schemas, loaders,
 * codecs, menus. The order is the order in which they are listed to people. Each list is checked against
 * its union both ways at compile time: `satisfies` refuses a stray id, `complete` a missing one.
 */

/** The list itself; a type error names the ids of `Union` that it lacks. */
function complete<Union extends string>() {
  return <const List extends readonly Union[]>(
    list: List &
      ([Exclude<Union, List[number]>] extends [never] ? unknown : { lacks: Exclude<Union, List[number]> }),
  ): List => list;
}

/** Units a spec line may use. */
export const UNIT_IDS = complete<UnitId>()([
  "ml",
  "cl",
  "oz",
  "imperial-oz",
  "tsp",
  "tbsp",
  "barspoon",
  "dash",
  "drop",
  "part",
  "g",
  "piece",
]);

/** Ways of mixing and cooling a drink. */
export const METHOD_IDS = complete<Method>()([
  "shaken",
  "stirred",
  "built",
  "thrown",
  "blended",
  "crushed",
  "carbonated",
  "none",
]);

/** Ice in the glass a drink is served in. */
export const SERVING_ICE_IDS = complete<ServingIce>()(["none", "cubes", "rock", "crushed"]);

/** Sugars the sugar axis sums, in grams. */
export const SUGAR_IDS = complete<SugarId>()(["sucrose", "glucose", "fructose", "maltose", "lactose"]);

/** Acids the acid axis adds by milliequivalents. */
export const ACID_IDS = complete<AcidId>()([
  "citric",
  "malic",
  "tartaric",
  "lactic",
  "acetic",
  "phosphoric",
  "other",
]);

/** What an ingredient does in a drink. */
export const ROLE_IDS = complete<Role>()([
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
]);

/** Where a reference spec's proportions come from. */
export const ERA_IDS = complete<EraId>()(["list", "modern", "early"]);

/** Keys of the caution texts in reference-data. */
export const CAUTION_IDS = complete<CautionId>()([
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
]);

/** Declared allergens that a bar's pantry can hold. */
export const ALLERGEN_IDS = complete<AllergenId>()([
  "egg",
  "milk",
  "nuts",
  "sulphites",
  "gluten",
  "soy",
  "celery",
  "fish",
]);

/** How good a source is, best first. */
export const EVIDENCE_IDS = complete<Source["evidence"]>()([
  "read",
  "quoted",
  "computed",
  "memory",
  "definition",
  "convention",
  "estimate",
]);

/** When a line goes in: over the ice, or added after it. */
export const STAGE_IDS = complete<NonNullable<SpecLine["stage"]>>()(["mix", "top"]);

/** What the ice balance rests on; each can be set by the user. */
export const ICE_CONDITION_IDS = complete<keyof IceConditions>()([
  "shelfTempC",
  "fridgeTempC",
  "iceTempC",
  "adherentWaterShare",
  "iceMassG",
  "vesselMassG",
  "vesselHeatCapacityJPerGK",
  "vesselTempC",
  "approach",
]);

/** Pour ladders known by name. */
export const NAMED_LADDER_IDS = complete<Exclude<LadderId, "own">>()(["us-jigger", "metric-jigger", "scale"]);

/** Pour ladders, the user's own steps last. */
export const LADDER_IDS = complete<LadderId>()([...NAMED_LADDER_IDS, "own"]);

/** What a change keeps to, in the order that it is listed. */
export const KEEP_IDS = complete<KeepId>()([
  "holds",
  "size",
  "accents",
  "mains",
  "order",
  "base",
  "own-kind",
  "few",
]);

/** What counts as the smallest change; the first is the default. */
export const MEASURE_IDS = complete<MeasureId>()([
  "fewest-then-volume",
  "volume",
  "relative",
  "drift",
  "cost",
]);

/** How a solve can end. Clients hold these: the list only grows, at its end. */
export const SOLVE_STATUS_IDS = complete<SolveStatus>()([
  "already_inside",
  "optimal",
  "infeasible",
  "limit_reached",
  "no_solution_found",
]);

/** What a limit of the solver is about. */
export const LIMIT_ROLE_IDS = complete<LimitRole>()([
  "target",
  "drift",
  "glass",
  "share",
  "order",
  "poured",
  "strength",
]);

/** What a doubt about a drink can be about. */
export const DOUBT_KIND_IDS = complete<DoubtKind>()([
  "abv",
  "sugar",
  "acid",
  "solids",
  "piece",
  "density",
  "unit",
  "pour",
  "dilution",
]);

/** The axes by name, in their order. */
export const AXIS_IDS = complete<AxisName>()(["sugar", "acid", "abv"]);

/** Ways in which one ingredient of a spec can change. */
export const MOVE_KIND_IDS = complete<MoveKind>()([
  "pour",
  "add",
  "drop",
  "swap",
  "syrup",
  "method",
  "acid",
  "scale",
]);

/** Where a round can stand; the first is where it starts. */
export const ROUND_STATE_IDS = complete<RoundState>()(["open", "kept", "rejected", "final"]);
