import { scaledDistance, toVec } from "../../engine/axes.ts";
import type { Method, Placement, Spec, SpecLine } from "../../engine/types.ts";
import type { Store } from "../state/store.ts";
import { LESSON_WORDS } from "./words.ts";

/** One lesson: a question answered by moving something, judged by the engine. */
export interface Lesson {
  n: number;
  title: string;
  question: string;
  task: string;
  told: string;
  start: Spec;
  /** Whether what is on the bench answers it; `before` is where the drink began. */
  answered(store: Store, before: Placement): boolean;
}

const oz = (ingredient: string, amount: number): SpecLine => ({ ingredient, amount, unit: "oz" });
const spec = (name: string, method: Method, lines: SpecLine[]): Spec => ({ name, method, lines });
const amountOf = (store: Store, ingredient: string) =>
  store.placement.value?.lines.find((line) => line.ingredient === ingredient)?.volumeMl ?? 0;

/** Closer than this, in axis-scale units, nobody could tell two drinks apart by these three. */
const SAME = 0.1;

const JUDGED: readonly Pick<Lesson, "start" | "answered">[] = [
  {
    // What melt water does.
    start: spec("Plain sour, no ice", "none", [
      oz("rum-white", 2),
      oz("juice-lime", 0.75),
      oz("syrup-simple-1-1", 0.75),
    ]),
    answered: ({ placement, spec: now }, before) =>
      (placement.value?.dilution.ratio ?? 0) > 0.15 &&
      now.value.lines.length === before.lines.length &&
      Math.abs((placement.value?.initialVolumeMl ?? 0) - before.initialVolumeMl) < 1,
  },
  {
    // Sugar and acid mask each other; the ratio alone is not enough.
    start: spec("Right ratio, wrong drink", "shaken", [
      oz("rum-white", 2),
      oz("juice-lime", 0.375),
      oz("syrup-simple-1-1", 0.375),
    ]),
    answered: ({ placement, verdict }, before) =>
      verdict.value?.inside === true &&
      Math.abs((placement.value?.sugarAcidRatio ?? 0) - (before.sugarAcidRatio ?? 0)) < 1,
  },
  {
    // Strength and thinness: less of the rest is more strength.
    start: spec("Long and thin", "shaken", [
      oz("gin", 1.5),
      oz("juice-lemon", 1),
      oz("syrup-simple-1-1", 1.25),
    ]),
    answered: (store, before) => {
      const gin = before.lines.find((line) => line.ingredient === "gin")?.volumeMl ?? 0;
      return (
        Math.abs(amountOf(store, "gin") - gin) < 0.5 &&
        (store.placement.value?.point.abvPercent ?? 0) >= before.point.abvPercent + 2
      );
    },
  },
  {
    // A little lemon lifts a sweet, weak juice.
    start: spec("Pineapple, sweet and dull", "shaken", [oz("rum-aged", 1.75), oz("juice-pineapple", 2)]),
    answered: (store, before) => {
      const lemon = amountOf(store, "juice-lemon") + amountOf(store, "juice-lime");
      const point = store.placement.value?.point;
      return (
        lemon > 0 &&
        lemon <= 16 &&
        point !== undefined &&
        point.acidGPer100Ml >= before.point.acidGPer100Ml + 0.15
      );
    },
  },
  {
    // Swap against adjust: a richer syrup wants less of itself.
    start: spec("Thin syrup", "shaken", [
      oz("rum-white", 2),
      oz("juice-lime", 0.75),
      oz("syrup-simple-1-1", 0.75),
    ]),
    answered: (store, before) =>
      amountOf(store, "syrup-simple-2-1") > 0 &&
      amountOf(store, "syrup-simple-1-1") === 0 &&
      Math.abs((store.placement.value?.point.sugarGPer100Ml ?? 0) - before.point.sugarGPer100Ml) < 0.4,
  },
  {
    // What the map cannot see.
    start: spec("One gin sour", "shaken", [
      oz("gin", 2),
      oz("juice-lemon", 0.75),
      oz("syrup-simple-1-1", 0.75),
    ]),
    answered: ({ placement, spec: now }, before) =>
      placement.value !== null &&
      !now.value.lines.some((line) => line.ingredient === "gin") &&
      scaledDistance(toVec(placement.value.point), toVec(before.point)) < 4 * SAME,
  },
  {
    // Reading doubt.
    start: spec("In, but only just", "shaken", [
      oz("rum-white", 2),
      oz("juice-lime", 0.5),
      oz("syrup-simple-1-1", 0.5),
    ]),
    answered: ({ chance, verdict }) => verdict.value?.inside === true && (chance.value ?? 0) >= 0.85,
  },
  {
    // One change at a time.
    start: spec("Two things wrong", "shaken", [
      oz("rum-aged", 2),
      oz("juice-lime", 0.25),
      oz("syrup-simple-1-1", 1.25),
    ]),
    answered: ({ trail, verdict, edited, rounds }) =>
      verdict.value?.inside === true &&
      !edited.value &&
      rounds.value.length >= 3 &&
      (trail.value.value?.steps.every((step) => step.changes.length === 1) ?? false),
  },
];

/** The eight lessons in their order. */
export const LESSONS: readonly Lesson[] = JUDGED.map((judged, i) => ({
  n: i + 1,
  ...LESSON_WORDS[i]!,
  ...judged,
}));
