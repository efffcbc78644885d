/**
 * Shared shapes of the engine. Types only: no logic, no imports.
 *
 * Conventions: volumes are mL at 20 °C as poured; "per 100 mL" means per 100 mL of the
 * substance named; sugar is the sum of the sugars in grams; acid is titratable acidity
 * as anhydrous citric acid, converted by milliequivalents; alcohol is % vol at 20 °C.
 */

// ---------- amounts ----------

/** Units a spec line may use. `part` needs a part size; `piece` needs the ingredient's piece size. */
export type UnitId =
  | "ml"
  | "cl"
  | "oz"
  | "imperial-oz"
  | "tsp"
  | "tbsp"
  | "barspoon"
  | "dash"
  | "drop"
  | "part"
  | "g"
  | "piece";

/** Sizes of the units that no standard defines, in mL, with their standard uncertainty. */
export interface UnitSettings {
  barspoonMl: number;
  barspoonSdMl: number;
  dashMl: number;
  dashSdMl: number;
  dropMl: number;
  dropSdMl: number;
  /** Size of one "part" in mL. */
  partMl: number;
}

export type LadderId = "us-jigger" | "metric-jigger" | "scale" | "own";

/**
 * The amounts the user's tools can measure. `rungsMl` semantics: an amount is on the ladder
 * if it is a whole multiple of `stepMl`, or, below `fineBelowMl`, a whole multiple of `fineStepMl`
 * (bar spoons, dashes). A scale ladder steps in grams and is converted through density.
 */
export interface PourLadder {
  id: LadderId;
  name: string;
  stepMl: number;
  fineStepMl?: number;
  fineBelowMl?: number;
  /** For scale ladders: the step in grams; `stepMl` is then ignored. */
  stepG?: number;
  displayUnit: UnitId;
}

// ---------- pantry ----------

export type SugarId = "sucrose" | "glucose" | "fructose" | "maltose" | "lactose";
export type AcidId = "citric" | "malic" | "tartaric" | "lactic" | "acetic" | "phosphoric" | "other";

/** A number that says where it came from. `sd` is the standard uncertainty in the same unit. */
export interface SourcedValue {
  readonly value: number;
  readonly sd: number;
  /** Key into the source table. */
  readonly source: string;
  /** True when the value was recalled and not read in the source. */
  readonly memory?: boolean;
  readonly note?: string;
}

/** What an ingredient does in a drink; a swap stays within a role unless the user says otherwise. */
export type Role =
  | "spirit"
  | "liqueur"
  | "fortified-wine"
  | "wine"
  | "bitters"
  | "sour-juice"
  | "sweet-juice"
  | "syrup"
  | "sugar"
  | "acid"
  | "egg"
  | "dairy"
  | "tea-coffee"
  | "lengthener"
  | "other";

/** Declared allergens that a bar's pantry can hold (Reg. (EU) 1169/2011, Annex II). */
export type AllergenId = "egg" | "milk" | "nuts" | "sulphites" | "gluten" | "soy" | "celery" | "fish";

/** Keys of the caution texts in reference-data. */
export type CautionId =
  | "alcohol"
  | "raw-egg"
  | "milk"
  | "nuts"
  | "sulphites"
  | "grapefruit-medicines"
  | "honey-infants"
  | "strong-acid"
  | "quinine"
  | "infusion"
  | "gluten"
  | "soy"
  | "celery"
  | "fish"
  | "coumarin"
  | "charcoal"
  | "low-acid"
  | "hot-sugar"
  | "batching"
  | "curdling"
  | "closed-fizz";

/**
 * Read-only throughout: what follows from an ingredient is worked out once and kept with it. An edited one is
 * a new one.
 */
export interface Ingredient {
  readonly id: string;
  readonly name: string;
  readonly role: Role;
  /** Lower-case words people write for it. */
  readonly aliases: readonly string[];
  readonly abvPercent: SourcedValue;
  readonly sugarsGPer100Ml: Readonly<Partial<Record<SugarId, SourcedValue>>>;
  readonly acidsGPer100Ml: Readonly<Partial<Record<AcidId, SourcedValue>>>;
  /** Density at 20 °C. Absent: computed by the mixing rule from the composition, water filling the rest. */
  readonly densityGPerMl?: SourcedValue;
  /** Protein, fat, fibre, minerals: mass that is neither ethanol, sugar, acid nor water. */
  readonly otherSolidsGPer100Ml?: SourcedValue;
  /** Charge of the potassium, sodium, calcium and magnesium that buffer it, meq/L: for its pH. */
  readonly cationsMeqPerL?: SourcedValue;
  /** Fizzy or delicate: goes in after the shake and takes no melt water. */
  readonly addAfterDilution?: boolean;
  /** Volume of one piece in mL (an egg white, the juice of a lime). */
  readonly pieceMl?: SourcedValue;
  /** Juice of one wedge as bars cut it, mL. */
  readonly wedgeMl?: SourcedValue;
  /** In any bar's reach, so that it may be suggested. */
  readonly staple?: boolean;
  /** Stands for a name that leaves its kind open ("sugar syrup"): its doubt is that of the spec, not of the bottle. */
  readonly unstated?: boolean;
  /** Sets or splits when it meets acid. */
  readonly curdles?: boolean;
  /** For syrups and thinned honey: the base and its strength, so a strength change can be proposed. */
  readonly syrup?: Readonly<{ family: string; ratio: string }>;
  readonly cautions?: readonly CautionId[];
  /** Other sources' figures that disagree, shown beside the one used. */
  readonly disagreements?: readonly Readonly<{
    quantity: string;
    value: number;
    sd: number;
    unit: string;
    source: string;
    note?: string;
  }>[];
  readonly note?: string;
  /** Set for ingredients the user made or edited. */
  readonly own?: boolean;
}

export type Pantry = ReadonlyMap<string, Ingredient>;

// ---------- spec ----------

export type Method =
  | "shaken"
  | "stirred"
  | "built"
  | "thrown"
  | "blended"
  | "crushed"
  | "carbonated"
  | "none";

export interface SpecLine {
  /** Pantry id. */
  ingredient: string;
  amount: number;
  unit: UnitId;
  /** Overrides the pantry's habit: mixed with ice, or added after. */
  stage?: "mix" | "top";
  /**
   * Standard uncertainty of the amount, percent of it, where words gave it and no measure did ("a splash",
   * "20–25 mL", filled to the wash line). Absent: the hand's own pouring error.
   */
  amountSdPercent?: number;
}

/** How the water from ice is found. Default: `{ model: "regression" }`. */
export type DilutionChoice =
  | { model: "regression"; calibration?: Calibration }
  /** The same curve, corrected for your ice, temperatures, vessel and size. */
  | { model: "energy"; conditions?: Partial<IceConditions>; calibration?: Calibration }
  /** The user measured the glass; exactly one of the three is given. */
  | { model: "measured"; finishedVolumeMl?: number; finishedMassG?: number; waterMl?: number; sdMl?: number };

/** Learned from the user's measured rounds: multiplies the model's water. */
export interface Calibration {
  factor: number;
  sd: number;
  /** How many measured rounds it came from. */
  n: number;
}

export interface IceConditions {
  /** What stands on the shelf: spirits, liqueurs, bitters, sugar. */
  shelfTempC: number;
  /** What is kept cold: juice, syrup, wine, egg, dairy, lengtheners. */
  fridgeTempC: number;
  iceTempC: number;
  /** Water already on the ice, as a share of ice mass (0–0.3). */
  adherentWaterShare: number;
  iceMassG: number;
  vesselMassG: number;
  vesselHeatCapacityJPerGK: number;
  vesselTempC: number;
  /** 1 = full equilibrium (shaking 12–15 s); stirring reaches less. */
  approach: number;
}

/** Ice in the glass a drink is served in. */
export type ServingIce = "none" | "cubes" | "rock" | "crushed";

export interface Spec {
  name: string;
  method: Method;
  lines: SpecLine[];
  dilution?: DilutionChoice;
  glass?: string;
  /** Absent: as is usual for the method and the glass. */
  servedOn?: ServingIce;
}

// ---------- place ----------

/** Where a finished drink sits. */
export interface Point {
  sugarGPer100Ml: number;
  acidGPer100Ml: number;
  abvPercent: number;
}

/** An axis by name, where a number would say too little. */
export type AxisName = "sugar" | "acid" | "abv";

/** Axis order everywhere a vector or matrix appears: sugar, acid, ABV. */
export type Vec3 = readonly [number, number, number];
export type Mat3 = readonly [Vec3, Vec3, Vec3];

export interface DilutionEstimate {
  /** Water added / volume poured into the mix stage. */
  ratio: number;
  ratioSd: number;
  waterMl: number;
  source: string;
}

/** Why one figure for the water is to be trusted over the other, or neither. */
export type TrustReason =
  /** The finished drink was measured. */
  | "measured"
  /** No ice is used, or every line goes in after it. */
  | "no-ice"
  /** A usual drink by a method with a published curve. */
  | "usual-drink"
  /** The user's own measured rounds scale the model. */
  | "calibrated"
  /** The user gave conditions of their own. */
  | "own-conditions"
  /** Much smaller or larger than what the curve was read on. */
  | "unusual-size"
  /** Weaker or stronger before ice than what the curve was read on. */
  | "outside-curve"
  /** No published curve for the method. */
  | "no-published-curve"
  /** The heat would melt more ice than there is, or none at all. */
  | "ice-runs-out"
  | "ice-stays-whole";

export interface DilutionReport {
  used: "regression" | "energy" | "measured" | "none";
  ratio: number;
  ratioSd: number;
  waterMl: number;
  /** Of the finished drink, toppings included; null where it cannot be said. */
  finalTempC: number | null;
  finalTempSdC: number | null;
  /** The method's curve. */
  regression: DilutionEstimate | null;
  /** The curve corrected for the ice, temperatures, vessel and size; null where the method has no heat balance. */
  energy: DilutionEstimate | null;
  /** Which to rely on; "measure": neither is good enough, weigh or measure the finished drink. */
  trust: "regression" | "energy" | "measured" | "none" | "measure";
  because: TrustReason;
  /** The same in words. */
  reason: string;
}

export interface LinePlacement {
  ingredient: string;
  name: string;
  volumeMl: number;
  massG: number;
  shareOfFinishedPercent: number;
  sugarG: number;
  acidG: number;
  ethanolMl: number;
  /** Shares of the drink's total, percent (0 when the total is 0). */
  sugarSharePercent: number;
  acidSharePercent: number;
  ethanolSharePercent: number;
  cost: number | null;
}

/** What a doubt is about: a quantity of an ingredient, the size of a unit, the hand, or the water from ice. */
export type DoubtKind =
  | "abv"
  | "sugar"
  | "acid"
  | "solids"
  | "piece"
  | "density"
  | "unit"
  | "pour"
  | "dilution";

/** Where a doubt comes from. */
export interface DoubtSource {
  kind: DoubtKind;
  /** Whose, for all but units, pours and the water from ice. */
  ingredient?: string;
  /** Of the kind "unit". */
  unit?: UnitId;
}

/** One independent doubt and how much of each axis's variance it carries. */
export interface DoubtShare extends DoubtSource {
  /** One a source, e.g. "juice-lemon:acid", "dilution", "unit:dash"; what it is about is in the fields. */
  id: string;
  label: string;
  /** Variance contributed per axis (sugar, acid, ABV), in squared axis units. */
  variance: Vec3;
  /**
   * The same with the covariances between axes (diagonal = `variance`); over all doubts these sum to the
   * point's covariance. Absent: the axes are taken as unrelated within this doubt, and results say so.
   */
  covariance?: Mat3;
}

export interface Placement {
  point: Point;
  sd: Point;
  covariance: Mat3;
  /** sugar / acid; null when there is no acid. */
  sugarAcidRatio: number | null;
  /** Sum of the pours in mL: what the jigger says. */
  initialVolumeMl: number;
  initialAbvPercent: number;
  finishedVolumeMl: number;
  finishedVolumeSdMl: number;
  finishedMassG: number;
  dilution: DilutionReport;
  washLine: {
    glass: string;
    name: string;
    capacityMl: number;
    fillPercent: number;
    /** Room that the ice it is served on takes below the surface. */
    iceMl: number;
    verdict: string;
  } | null;
  energyKcal: number;
  ethanolG: number;
  standardDrinks: { us: number; uk: number; au: number };
  lines: LinePlacement[];
  doubts: DoubtShare[];
  cost: number | null;
  cautions: CautionId[];
  warnings: string[];
}

// ---------- targets ----------

export type Interval = readonly [number | null, number | null];

export type TargetSpec =
  | { kind: "box"; name?: string; sugarGPer100Ml?: Interval; acidGPer100Ml?: Interval; abvPercent?: Interval }
  | { kind: "ellipsoid"; name?: string; mean: Vec3; covariance: Mat3; radius: number }
  | { kind: "ratio"; name?: string; min: number | null; max: number | null }
  /** normal · (sugar, acid, ABV) ≤ offset */
  | { kind: "half-space"; name?: string; normal: Vec3; offset: number }
  | { kind: "intersection"; name?: string; parts: TargetSpec[] };

/** normal · point ≤ offset, in axis units, with the words for being outside it. */
export interface HalfSpace {
  id: string;
  normal: Vec3;
  offset: number;
  label: string;
}

export interface FaceViolation {
  /** e.g. "acid-floor". */
  face: string;
  /** What is short or over: an axis, the sugar:acid ratio, or some other face of the target. */
  measure: AxisName | "ratio" | "face";
  side: "short" | "over";
  /** Amount outside, in the face's own unit, > 0. */
  by: number;
  unit: string;
  /** e.g. "acid 0.31 short". */
  text: string;
}

export interface Membership {
  inside: boolean;
  /** In axis-scale units (see axes.ts): negative inside, positive outside. */
  signedDistance: number;
  violations: FaceViolation[];
  /** The nearest point of the region (the point itself when inside). */
  nearest: Point;
  /** For ellipsoids: Mahalanobis distance; else null. */
  mahalanobis: number | null;
  text: string;
}

// ---------- solve ----------

export interface Bound {
  ingredient: string;
  minMl?: number;
  maxMl?: number;
}

export interface CharacterRule {
  /** Keep at least this share of the finished glass, in percent. */
  ingredient: string;
  minSharePercent?: number;
  /** Or: this ingredient's volume must stay at least that of `atLeastAsMuchAs`. */
  atLeastAsMuchAs?: string;
}

/** A habit of the trade that a change keeps to unless it is let go; the sentences are in explore/keeps-words.ts. */
export type KeepId = "holds" | "size" | "accents" | "mains" | "order" | "base" | "own-kind" | "few";

export type MeasureId = "fewest-then-volume" | "volume" | "relative" | "drift" | "cost";

export type SolveStatus = "already_inside" | "optimal" | "infeasible" | "limit_reached" | "no_solution_found";

export type MoveKind = "pour" | "add" | "drop" | "swap" | "syrup" | "method" | "acid" | "scale";

export interface Move {
  kind: MoveKind;
  ingredient: string;
  /** For swaps and syrup changes: what it replaces. */
  replaces?: string;
  fromMl: number;
  toMl: number;
  deltaMl: number;
  fromAmount: number;
  toAmount: number;
  unit: UnitId;
  /** In the user's unit: "lime juice ¾ → 1 oz (+¼ oz)". */
  text: string;
}

export interface Proposal {
  id: string;
  /** Named by what it does: "More lime", "Thin the syrup and add lime". */
  name: string;
  moves: Move[];
  spec: Spec;
  before: Point;
  after: Point;
  afterSd: Point;
  touched: number;
  volumeChangedMl: number;
  /** Chance that the real drink is inside, from the covariance; null when not computed. */
  probabilityInside: number | null;
  /** Axis-scale distance to the target's middle. */
  centreDistance: number;
  driftFromFirst: number | null;
  costChange: number | null;
  finishedVolumeMl: number;
  why: string;
  /** True curve traced move by move: one polyline per move, starting at `before`. */
  path: { ingredient: string; points: Vec3[] }[];
  /** Which trade-offs it is best at. */
  bestAt: string[];
}

/** What a limit of the solver is about. */
export type LimitRole = "target" | "drift" | "glass" | "share" | "order" | "poured" | "strength";

/** A row that refutations combine: Σ value·Δ ≤ limit, Δ the change of each ingredient in mL. */
export interface CertificateRow {
  row: string;
  /** The part of the relaxation it holds in, from 0. */
  cell: number;
  role: LimitRole;
  label: string;
  coefficients: { ingredient: string; value: number }[];
  limit: number;
}

/** A multiplier that refutes families of subsets; checkable without the solver. */
export interface Refutation {
  touched: number;
  /** The part of the relaxation it refutes them in, from 0; a set is out when it is refuted in each. */
  cell: number;
  /** Sets of touched ingredients this covers; "all" = every set of that size. */
  covers: "all" | string[][];
  /** Non-negative multiplier per relaxed row. */
  multipliers: { row: string; value: number }[];
  text: string;
}

export interface SolveCertificate {
  nodes: number;
  relaxations: number;
  evaluations: number;
  /** Lower bound on the measure, and the gap to the returned proposal (0 = proved). */
  bound: { touched: number; volumeMl: number } | null;
  gap: number;
  proved: boolean;
  refutations: Refutation[];
  /** Into how many parts the relaxation was cut; together they hold every drink. */
  cells: number;
  /** The rows the refutations combine. */
  rows?: CertificateRow[];
  /** Range of each Δ in mL; with `rows`, all a checker needs. */
  ranges?: { ingredient: string; minMl: number; maxMl: number }[];
  tolerance: number;
  assumptions: string[];
}

/** What one limit costs, per unit of it. */
export interface Multiplier {
  row: string;
  value: number;
  /** What the limit is about; "amount" is an ingredient's own range. */
  role: LimitRole | "amount";
  /** Of a target or drift face that lies across one axis. */
  axis?: AxisName;
  /** Of a target or drift face: it touches a curved edge. */
  isCurved?: boolean;
  /** Of an amount: whose, and the end of its range that it stands at. */
  ingredient?: string;
  side?: "least" | "most";
  unit: string;
  text: string;
}

export interface ContinuousOptimum {
  amountsMl: { ingredient: string; ml: number }[];
  point: Point;
  volumeChangedMl: number;
  multipliers: Multiplier[];
  kkt: { stationarity: number; primal: number; dual: number; complementarity: number };
}

// ---------- reference data shapes (filled by reference-data/load.ts) ----------

/** Where a number comes from. `evidence` says how good it is. */
export interface Source {
  id: string;
  citation: string;
  /** read = we read the number there; quoted = read in a text quoting it; computed = from read formulas; memory = recalled; convention = common practice; estimate = ours. */
  evidence: "read" | "quoted" | "computed" | "memory" | "convention" | "estimate";
  note?: string;
}

/** Where a spec's proportions come from: an official list, bars of today, or older books. */
export type EraId = "list" | "modern" | "early";

export interface ReferenceDrink {
  id: string;
  name: string;
  /** The first is what the drink is; others it may stand for as well. */
  families: string[];
  era: EraId;
  spec: Spec;
  source: string;
  memory?: boolean;
  note?: string;
}

export interface Family {
  id: string;
  name: string;
  /** One plain sentence. */
  meaning: string;
  /** Sugar and acid go together here, so that the family's region keeps their ratio too. */
  ratio: boolean;
}

/** A drink that common practice calls balanced: what regions are judged by, never made from. */
export interface BalancedDrink {
  id: string;
  family: string;
  spec: Spec;
}

export interface PublishedBand {
  id: string;
  name: string;
  /** Whose drinks it speaks of: those of a method, or more closely of a family. */
  method: Method;
  family?: string;
  target: TargetSpec;
  source: string;
  memory?: boolean;
  note?: string;
}

export interface Glass {
  id: string;
  name: string;
  /** To the wash line: the height a finished drink should reach, below the rim. */
  washLineMl: number;
  brimMl: number;
  /** Ice it usually holds when a drink is served on it, mL of ice; 0 for glasses served without. */
  iceMl: number;
  source: string;
}

export interface Caution {
  id: CautionId;
  title: string;
  text: string;
  source: string;
}

export interface ReferenceData {
  pantry: Ingredient[];
  drinks: ReferenceDrink[];
  families: Family[];
  balanced: BalancedDrink[];
  bands: PublishedBand[];
  glasses: Glass[];
  sources: Source[];
  cautions: Caution[];
  demo: Bench;
}

// ---------- bench ----------

/** Where a round stands. `open`: still being judged. */
export type RoundState = "open" | "kept" | "rejected" | "final";

export interface Round {
  id: string;
  number: number;
  /** Round this one was changed from; null for the first. */
  parent: string | null;
  label: string;
  spec: Spec;
  notes?: string;
  /** What was wrong, in the taster's words: "thin", "fruit lost". */
  faults?: string[];
  abandoned?: boolean;
  /** Where it stands; absent: open. */
  state?: RoundState;
}

export interface Bench {
  id: string;
  name: string;
  rounds: Round[];
  /** Id of the round being worked on. */
  current: string;
  target: string;
  invented?: boolean;
  story?: string;
}

// ---------- trail ----------

export interface TrailChange {
  ingredient: string;
  kind: MoveKind;
  fromMl: number;
  toMl: number;
  text: string;
  /** Shapley share of the step per axis; shares of a step sum to its vector. */
  share: Vec3;
}

export interface TrailStep {
  from: string;
  to: string;
  vector: Vec3;
  lengthScaled: number;
  changes: TrailChange[];
  text: string;
}

export interface TrailRound {
  id: string;
  number: number;
  parent: string | null;
  placement: Placement;
  /** Axis-scale distance from the first round. */
  drift: number;
  driftVector: Vec3;
}

export interface Trail {
  rounds: TrailRound[];
  steps: TrailStep[];
}
