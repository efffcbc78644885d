import { signal } from "@preact/signals";
import { expect, test } from "vitest";
import { MOST } from "../../engine/limits.ts";
import type { Round, Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { NO_NOTES, type PageData } from "../../viz/data/client.ts";
import { benchAround, openingWork } from "../../viz/state/opening.ts";
import { createStore } from "../../viz/state/store.ts";

const data: PageData = { ...loadReferenceData(), sources: signal([]), notes: signal(NO_NOTES) };
const pour = (method: Spec["method"], ml: Record<string, number>): Spec => ({
  name: "One of ours",
  method,
  lines: Object.entries(ml).map(([ingredient, amount]) => ({ ingredient, amount, unit: "ml" })),
});
const fizz = pour("built", { gin: 45, "juice-lemon": 25, "syrup-simple-1-1": 20, "soda-water": 90 });
const punch = pour("shaken", {
  "rum-aged": 60,
  "juice-lime": 15,
  "juice-pineapple": 60,
  "syrup-simple-1-1": 7,
});

const opened = (spec: Spec | null, target: string) =>
  openingWork(data, {
    decoded: { view: {}, bench: null, problems: [] },
    linked: false,
    bench: null,
    benches: [{ ...benchAround(spec, "Bench"), target }],
    settings: {},
  }).work;

test("a bench that names no target opens on the range of the family its drink is likeliest of", () => {
  expect(opened(fizz, "").target).toEqual([{ kind: "family", family: "fizz", coverage: 0.9 }]);
  expect(opened(fizz, "family:daisy").target).toEqual([{ kind: "family", family: "daisy", coverage: 0.9 }]);
  expect(opened(null, "").target).toHaveLength(1);
  expect(opened(pour("shaken", { ghost: 1 }), "").target).toHaveLength(1);
});

test("a drink measured against a family it is hardly of is told so", () => {
  const store = createStore(data, opened(punch, ""));
  expect(store.work.value.target).toMatchObject([{ family: "punch" }]);
  expect(store.misfit.value).toBeNull();
  store.edit({ target: [{ kind: "family", family: "sour", coverage: 0.9 }] });
  expect(store.misfit.value?.likelier.family).toBe("punch");
});

test("near a classic is a target, named by it", () => {
  const store = createStore(data, opened(punch, ""));
  store.edit({ target: [{ kind: "near", drink: "daiquiri-modern" }] });
  expect(store.target.value).toMatchObject({ label: "the range near Daiquiri, syrup build", families: [] });
  expect(store.verdict.value?.inside).toBe(false);
  store.edit({ target: [{ kind: "near", drink: "ghost" }] });
  expect(store.chosen.value.problem).toContain("near:ghost");
});

test("a round or a bench that could not be read back is refused, and said", () => {
  const store = createStore(data, opened(fizz, ""));
  const [bench] = store.work.value.benches;
  const [round] = bench!.rounds;
  const many = Array.from({ length: MOST.rounds + 1 }, (_, i) => ({ ...round!, id: `r${i}` }));
  const lines = Array.from({ length: MOST.lines + 1 }, () => fizz.lines[0]!);
  const grown = (rounds: Round[]) => store.edit({ benches: [{ ...bench!, rounds }] });
  expect(grown(many)).toBe(false);
  expect(store.notice.value?.text).toContain(`keeps ${MOST.rounds} rounds`);
  expect(grown([...bench!.rounds, { ...round!, id: "big", spec: { ...fizz, lines } }])).toBe(false);
  expect(store.notice.value?.text).toContain(`keeps ${MOST.lines} ingredients`);
  expect(grown(many.slice(0, MOST.rounds))).toBe(true);
});
