import { signal } from "@preact/signals";
import { expect, test } from "vitest";
import type { Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { NO_NOTES, type PageData } from "../../viz/data/client.ts";
import { benchAround, openingWork } from "../../viz/state/opening.ts";
import { createStore } from "../../viz/state/store.ts";

const data: PageData = { ...loadReferenceData(), sources: signal([]), notes: signal(NO_NOTES) };
const sour = (limeMl: number): Spec => ({
  name: "One of ours",
  method: "shaken",
  lines: [
    { ingredient: "rum-aged", amount: 60, unit: "ml" },
    { ingredient: "juice-lime", amount: limeMl, unit: "ml" },
    { ingredient: "syrup-simple-1-1", amount: 22.5, unit: "ml" },
  ],
});

/** A store, and what it puts off until a frame is painted. */
function opened() {
  const { work } = openingWork(data, {
    decoded: { view: {}, bench: null, problems: [] },
    linked: false,
    bench: null,
    benches: [benchAround(sour(15), "Bench")],
    settings: {},
  });
  const waiting: (() => void)[] = [];
  const store = createStore(data, work, { afterPaint: (act) => waiting.push(act) });
  const paint = () => {
    for (const act of waiting.splice(0)) act();
  };
  return { store, waiting, paint, acid: () => store.placement.value?.point.acidGPer100Ml ?? 0 };
}

test("a step of a hand shows at once, and the drink is placed once its frame is painted", () => {
  const { store, waiting, paint, acid } = opened();
  const before = acid();
  store.edit({ spec: sour(18) }, "step");
  store.edit({ spec: sour(21) }, "step");
  expect(store.spec.value.lines[1]?.amount).toBe(21);
  expect([acid(), waiting.length]).toEqual([before, 1]);
  paint();
  expect(acid()).toBeCloseTo(store.placeSpec(sour(21)).value!.point.acidGPer100Ml, 12);
});

test("any other change is placed with it, whatever still waits", () => {
  const { store, paint, acid } = opened();
  const acidOf = (spec: Spec) => store.placeSpec(spec).value!.point.acidGPer100Ml;
  store.edit({ spec: sour(18) }, "step");
  store.undo();
  expect(acid()).toBeCloseTo(acidOf(sour(15)), 12);
  store.edit({ spec: sour(30) });
  expect(acid()).toBeCloseTo(acidOf(sour(30)), 12);
  paint();
  expect(acid()).toBeCloseTo(acidOf(sour(30)), 12);
});
