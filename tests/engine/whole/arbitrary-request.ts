/** Anything a hostile or careless caller may ask, over the real pantry. */
import fc from "fast-check";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { AXIS_SCALE, toVec } from "../../../engine/axes.ts";
import { METHODS } from "../../../engine/dilution/methods.ts";
import { place } from "../../../engine/place/place.ts";
import type { SolveRequest } from "../../../engine/solve/solve.ts";
import type {
  DilutionChoice,
  MeasureId,
  Method,
  Pantry,
  PourLadder,
  Spec,
  SpecLine,
  TargetSpec,
  UnitId,
  Vec3,
} from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { anyTarget } from "../targets/arbitrary-targets.ts";

const data = loadReferenceData();
export const PANTRY: Pantry = new Map(data.pantry.map((i) => [i.id, i]));
const IDS = [...PANTRY.keys()];
const PRICES = new Map(IDS.map((id, k) => [id, k % 7 === 0 ? 0 : 5 + ((k * 37) % 90)]));

/** Spread evenly over [min, max], ends included. */
const number = (min: number, max: number) =>
  fc.integer({ min: 0, max: 1e6 }).map((i) => min + ((max - min) * i) / 1e6);
/** Left out `absent` times for each time it is there. */
const maybe = <T>(arbitrary: fc.Arbitrary<T>, absent = 1): fc.Arbitrary<T | undefined> =>
  fc.oneof({ weight: absent, arbitrary: fc.constant(undefined) }, { weight: 1, arbitrary });
const method = fc.constantFrom(...(Object.keys(METHODS) as Method[]));
const id = fc.constantFrom(...IDS);

/** Amounts of every unit that make between nothing and a large glass, some of them silly. */
const AMOUNTS: [UnitId, fc.Arbitrary<number>][] = [
  ["ml", fc.oneof(number(0, 90), fc.constantFrom(0, 2.5, 15, 22.5, 30, 45, 60, 1e-7, 5000))],
  ["cl", number(0, 9)],
  ["oz", fc.constantFrom(0, 0.25, 0.5, 2 / 3, 0.75, 1, 1.5, 2)],
  ["imperial-oz", number(0, 3)],
  ["tsp", number(0, 6)],
  ["tbsp", number(0, 4)],
  ["barspoon", fc.constantFrom(0.5, 1, 2, 3)],
  ["dash", fc.integer({ min: 0, max: 6 })],
  ["drop", fc.integer({ min: 0, max: 20 })],
  ["part", fc.constantFrom(0, 0.5, 1, 2, 3)],
  ["g", number(0, 60)],
  ["piece", fc.constantFrom(0.5, 1, 2)],
];
const line: fc.Arbitrary<SpecLine> = fc
  .tuple(
    id,
    fc
      .oneof({ weight: 3, arbitrary: fc.constant(AMOUNTS[0]!) }, fc.constantFrom(...AMOUNTS))
      .chain(([unit, amount]) => amount.map((a) => ({ unit, amount: a }))),
    maybe(fc.constantFrom("mix" as const, "top" as const), 5),
  )
  .map(([ingredient, { unit, amount }, stage]) => ({
    ingredient,
    amount,
    unit: unit === "piece" && !PANTRY.get(ingredient)!.pieceMl ? "ml" : unit,
    ...(stage && { stage }),
  }));

const calibration = maybe(
  fc.record({ factor: number(0.3, 2), sd: number(0, 0.4), n: fc.integer({ min: 1, max: 9 }) }),
  3,
);

const conditions = fc.record(
  {
    shelfTempC: number(-30, 80),
    fridgeTempC: number(-30, 80),
    iceTempC: fc.oneof(fc.constant(0), number(-40, 0)),
    adherentWaterShare: number(0, 0.3),
    iceMassG: fc.oneof(fc.constantFrom(0, 5, 20, 1000, 5000), number(0, 400)),
    vesselMassG: fc.oneof(fc.constantFrom(0, 5000), number(0, 600)),
    vesselHeatCapacityJPerGK: number(0, 5),
    vesselTempC: number(-40, 60),
    approach: fc.oneof(fc.constantFrom(0, 1), number(0, 1)),
  },
  { requiredKeys: [] },
);

const dilution: fc.Arbitrary<DilutionChoice> = fc.oneof(
  calibration.map((c): DilutionChoice => ({ model: "regression", ...(c && { calibration: c }) })),
  fc.tuple(maybe(conditions), calibration).map(
    ([c, k]): DilutionChoice => ({
      model: "energy",
      ...(c && { conditions: c }),
      ...(k && { calibration: k }),
    }),
  ),
  fc
    .tuple(
      fc.constantFrom("finishedVolumeMl", "finishedMassG", "waterMl"),
      number(0, 300),
      maybe(number(0, 10)),
    )
    .map(
      ([key, value, sdMl]): DilutionChoice => ({
        model: "measured",
        [key]: value,
        ...(sdMl !== undefined && { sdMl }),
      }),
    ),
);

const bareSpec = fc.oneof(
  fc
    .record({ method, lines: fc.array(line, { minLength: 1, maxLength: 12 }) })
    .map((s): Spec => ({ name: "random", ...s })),
  { weight: 2, arbitrary: fc.constantFrom(...data.drinks).map((d): Spec => d.spec) },
);

/** A spec as people and machines send them: duplicates, nothing poured of some, topped spirits, any dilution. */
export const anySpec: fc.Arbitrary<Spec> = fc
  .tuple(bareSpec, maybe(method, 3), maybe(dilution))
  .map(([spec, m, d]) => ({ ...spec, ...(m && { method: m }), ...(d && { dilution: d }) }));

/** Besides the plausible: slivers, everything, and places no drink is. */
const oddTarget: fc.Arbitrary<TargetSpec> = fc.oneof(
  fc.tuple(number(0, 16), number(0, 1.6), number(0, 40), fc.constantFrom(1e-9, 1e-6, 1e-3, 0.05)).map(
    ([s, a, v, w]): TargetSpec => ({
      kind: "box",
      sugarGPer100Ml: [s, s + w],
      acidGPer100Ml: [a, a + w],
      abvPercent: [v, v + w],
    }),
  ),
  fc.constant<TargetSpec>({ kind: "box", abvPercent: [0, 100] }),
  fc.constant<TargetSpec>({ kind: "box", sugarGPer100Ml: [90, 120] }),
  fc.constant<TargetSpec>({ kind: "half-space", normal: [0, 0, -1], offset: -94 }),
  fc.tuple(number(2, 14), number(0.2, 1.4), number(5, 35), fc.constantFrom(1e-3, 0.02, 40)).map(
    ([s, a, v, radius]): TargetSpec => ({
      kind: "ellipsoid",
      mean: [s, a, v],
      covariance: [
        [AXIS_SCALE[0] ** 2, 0, 0],
        [0, AXIS_SCALE[1] ** 2, 0],
        [0, 0, AXIS_SCALE[2] ** 2],
      ],
      radius,
    }),
  ),
  fc.constantFrom(...data.bands).map((b): TargetSpec => b.target),
);

const ladder: fc.Arbitrary<PourLadder> = fc.oneof(
  fc.constantFrom(...Object.values(LADDERS)),
  fc
    .tuple(fc.constantFrom(0.1, 0.5, 1, 2.5, 7, 30, 500), maybe(fc.constantFrom(0.05, 1, 5)), fc.boolean())
    .map(
      ([stepMl, fineStepMl, grams]): PourLadder => ({
        id: "own",
        name: "own",
        stepMl,
        ...(fineStepMl && { fineStepMl, fineBelowMl: 4 * stepMl }),
        ...(grams && { stepG: stepMl }),
        displayUnit: "ml",
      }),
    ),
);

const measure = fc.constantFrom<MeasureId>("fewest-then-volume", "volume", "relative", "drift", "cost");

/** A region `size` axis steps about the drink that this spec makes when its lines are scaled. */
function around(spec: Spec, factors: number[], size: number, curved: boolean): TargetSpec | null {
  const lines = spec.lines.map((l, i) => ({ ...l, amount: l.amount * factors[i % factors.length]! }));
  let middle: Vec3;
  try {
    middle = toVec(place({ ...spec, lines, dilution: { model: "regression" } }, PANTRY).point);
  } catch {
    return null;
  }
  const [s, a, e] = AXIS_SCALE.map((x) => x * size) as [number, number, number];
  return curved
    ? {
        kind: "ellipsoid",
        mean: middle,
        covariance: [
          [s * s, 0, 0],
          [0, a * a, 0],
          [0, 0, e * e],
        ],
        radius: 1,
      }
    : {
        kind: "box",
        sugarGPer100Ml: [middle[0] - s, middle[0] + s],
        acidGPer100Ml: [middle[1] - a, middle[1] + a],
        abvPercent: [middle[2] - e, middle[2] + e],
      };
}

/** A clock that gains `stepMs` at every look: time budgets without time. */
export const fakeClock = (stepMs: number) => {
  let t = 0;
  return () => {
    t += stepMs;
    return t;
  };
};

export interface Drawn {
  request: SolveRequest;
  /** What the clock gains per look; null without a time budget. */
  clockStepMs: number | null;
}

/** Give a drawn request a fresh clock: the same question can then be asked twice. */
export const ask = ({ request, clockStepMs }: Drawn): SolveRequest =>
  clockStepMs === null ? request : { ...request, now: fakeClock(clockStepMs), timeBudgetMs: 20 };

/** Any request; `nodes` keeps the slowest ones short. */
export const anyRequest = (nodes: number): fc.Arbitrary<Drawn> =>
  fc
    .record({
      spec: anySpec,
      target: fc.oneof({ weight: 2, arbitrary: anyTarget }, oddTarget),
      /** A re-pour of the spec by these factors; the target is put around where it lands. */
      aim: maybe(
        fc.tuple(
          fc.array(number(0, 2.5), { minLength: 4, maxLength: 4 }),
          fc.constantFrom(0.02, 0.2, 0.6),
          fc.boolean(),
        ),
        1,
      ),
      ladder,
      measure: maybe(measure, 3),
      additions: maybe(fc.array(id, { maxLength: 4 })),
      lockPicks: fc.array(fc.integer({ min: 0, max: 15 }), { maxLength: 3 }),
      boundPicks: fc.array(
        fc.tuple(
          fc.integer({ min: 0, max: 15 }),
          maybe(number(0, 20)),
          maybe(fc.oneof(number(0, 200), fc.constant(1500))),
        ),
        { maxLength: 3 },
      ),
      characterPicks: fc.array(
        fc.tuple(fc.integer({ min: 0, max: 15 }), number(0, 60), maybe(fc.integer({ min: 0, max: 15 }))),
        { maxLength: 1 },
      ),
      maxTouched: maybe(fc.integer({ min: 0, max: 5 }), 3),
      maxFinishedMl: maybe(number(20, 300), 4),
      driftBudget: maybe(fc.oneof({ weight: 4, arbitrary: number(0.01, 4) }, fc.constantFrom(1e-6, 1e6)), 4),
      firstRound: maybe(anySpec, 4),
      count: maybe(fc.integer({ min: 1, max: 6 })),
      nodeLimit: fc.oneof(fc.constantFrom(1, 2, 5, 20), fc.integer({ min: 1, max: 500 }), fc.constant(nodes)),
      clockStepMs: fc.oneof({ weight: 4, arbitrary: fc.constant(null) }, fc.constantFrom(0.01, 0.5, 7, 50)),
    })
    .map(({ lockPicks, boundPicks, characterPicks, clockStepMs, aim, ...rest }): Drawn => {
      const here = [...rest.spec.lines.map((l) => l.ingredient), ...(rest.additions ?? [])];
      const pick = (k: number) => here[k % here.length]!;
      const request: SolveRequest = {
        ...Object.fromEntries(Object.entries(rest).filter(([, v]) => v !== undefined)),
        target: (aim && around(rest.spec, ...aim)) ?? rest.target,
        pantry: PANTRY,
        prices: PRICES,
        locks: lockPicks.map(pick),
        bounds: boundPicks.map(([k, minMl, maxMl]) => ({
          ingredient: pick(k),
          ...(minMl !== undefined && { minMl }),
          ...(maxMl !== undefined && { maxMl }),
        })),
        character: characterPicks.map(([k, share, other]) => ({
          ingredient: pick(k),
          ...(other === undefined ? { minSharePercent: share } : { atLeastAsMuchAs: pick(other) }),
        })),
      } as unknown as SolveRequest;
      return { request, clockStepMs };
    });
