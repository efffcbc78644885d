import { signal } from "@preact/signals";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import type { Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { saveRound } from "../../viz/bench/bench-edit.ts";
import { NO_NOTES, type PageData } from "../../viz/data/client.ts";
import { LESSONS } from "../../viz/lessons/lessons.ts";
import { benchAround, openingWork } from "../../viz/state/opening.ts";
import { createStore, type Store } from "../../viz/state/store.ts";

const data: PageData = { ...loadReferenceData(), sources: signal([]), notes: signal(NO_NOTES) };

function storeOf(start: Spec): Store {
  const bench = benchAround(start, "Lesson");
  const { work } = openingWork(data, {
    decoded: { view: {}, bench: null, problems: [] },
    linked: false,
    bench: null,
    benches: [bench],
    settings: {},
  });
  return createStore(data, { ...work, target: [{ kind: "family", family: "sour", coverage: 0.9 }] });
}

const pour = (store: Store, amounts: Record<string, number>, more: Partial<Spec> = {}) => {
  const { spec } = store.work.value;
  const lines = spec.lines.map((line) => ({ ...line, amount: amounts[line.ingredient] ?? line.amount }));
  const added = Object.entries(amounts)
    .filter(([id]) => !spec.lines.some((line) => line.ingredient === id))
    .map(([ingredient, amount]) => ({ ingredient, amount, unit: "oz" as const }));
  const kept = [...lines, ...added].filter((line) => line.amount > 0);
  store.edit({ spec: { ...spec, ...more, lines: kept } });
};

/** What a pupil might do, and one thing that must not pass. */
const ANSWERS: { right: (store: Store) => void; wrong: (store: Store) => void }[] = [
  {
    right: (s) => pour(s, {}, { method: "shaken" }),
    wrong: (s) => pour(s, { "rum-white": 1 }, { method: "shaken" }),
  },
  {
    right: (s) => pour(s, { "juice-lime": 0.75, "syrup-simple-1-1": 0.75 }),
    wrong: (s) => pour(s, { "juice-lime": 0.875 }),
  },
  {
    right: (s) => pour(s, { "juice-lemon": 0.75, "syrup-simple-1-1": 0.75 }),
    wrong: (s) => pour(s, { gin: 2.5 }),
  },
  {
    right: (s) => pour(s, { "juice-lemon": 0.25 }),
    wrong: (s) => pour(s, { "juice-lemon": 1.5 }),
  },
  {
    right: (s) => pour(s, { "syrup-simple-1-1": 0, "syrup-simple-2-1": 0.5 }),
    wrong: (s) => pour(s, { "syrup-simple-1-1": 0, "syrup-simple-2-1": 0.75 }),
  },
  {
    right: (s) => pour(s, { gin: 0, "rum-white": 2 }),
    wrong: (s) => pour(s, { gin: 0, "rum-white": 1.25 }),
  },
  {
    right: (s) => pour(s, { "juice-lime": 0.875, "syrup-simple-1-1": 0.75 }),
    wrong: (s) => pour(s, { "juice-lime": 0.5 }),
  },
  {
    right: (s) => {
      pour(s, { "juice-lime": 0.75 });
      saveRound(s, s.work.value.spec, "lime");
      pour(s, { "syrup-simple-1-1": 0.875 });
      saveRound(s, s.work.value.spec, "syrup");
    },
    wrong: (s) => {
      pour(s, { "juice-lime": 0.75, "syrup-simple-1-1": 0.875 });
      saveRound(s, s.work.value.spec, "both");
    },
  },
];

/** The chance is worked out once the hand rests, a quarter of a second at most. */
const rest = () => vi.advanceTimersByTimeAsync(250);

beforeAll(() => {
  vi.useFakeTimers();
});
afterAll(() => {
  vi.useRealTimers();
});

describe.each(LESSONS.map((lesson, i) => ({ lesson, ...ANSWERS[i]! })))(
  "lesson $lesson.n, $lesson.title",
  ({ lesson, right, wrong }) => {
    test("is open at its start, is not passed by what misses its point, and is by what makes it", async () => {
      const store = storeOf(lesson.start);
      const before = store.placement.value!;
      await rest();
      expect(lesson.answered(store, before)).toBe(false);
      wrong(store);
      await rest();
      expect(lesson.answered(store, before)).toBe(false);
      const other = storeOf(lesson.start);
      right(other);
      await rest();
      expect(lesson.answered(other, other.placeSpec(lesson.start).value!)).toBe(true);
    });
  },
);
