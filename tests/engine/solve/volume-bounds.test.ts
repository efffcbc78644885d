import { describe, expect, test } from "vitest";
import { createMixModel } from "../../../engine/dilution/model.ts";
import { type VolumeBounds, VolumeEnclosure } from "../../../engine/solve/volume-bounds.ts";
import type { DilutionChoice } from "../../../engine/types.ts";
import { seeded } from "./linear-instance.ts";
import { SHELF } from "./random-request.ts";

const items = SHELF.map((ingredient) => ({
  ingredient,
  stage: ingredient.addAfterDilution ? ("top" as const) : ("mix" as const),
}));
const n = items.length;

function bounds(): VolumeBounds {
  return { upper: new Float64Array(n), upper0: 0, lower: new Float64Array(n), lower0: 0 };
}

const at = (b: VolumeBounds, which: "upper" | "lower", x: number[]) =>
  x.reduce((sum, ml, i) => sum + b[which][i]! * ml, which === "upper" ? b.upper0 : b.lower0);

describe("linear bounds on the finished volume", () => {
  test.each<[string, DilutionChoice | undefined, number, number]>([
    ["regression", undefined, 0.02, 1e-9],
    ["constant", { model: "measured", waterMl: 30 }, 0.02, 1e-9],
    ["a cold shelf", { model: "energy", conditions: { shelfTempC: -18, iceTempC: -10 } }, 0.2, 1e-9],
    ["little ice", { model: "energy", conditions: { iceMassG: 40, shelfTempC: 30 } }, 0.6, 1e-9],
    ["usual ice", { model: "energy" }, 0.2, 1e-9],
  ])("hold for random pours in random boxes and cells: %s", (_name, dilution, loosest, slack) => {
    const random = seeded(5);
    let widest = 0;
    for (let round = 0; round < 150; round += 1) {
      const used = items.map(() => random() < 0.5);
      used[round % n] = true;
      const low = items.map((_, i) => (used[i] ? 20 * random() : 0));
      const high = low.map((ml, i) => (used[i] ? ml + 60 * random() * (round % 3 === 0 ? 0.2 : 1) : 0));
      const model = createMixModel(items, "shaken", dilution, high);
      const enclosure = new VolumeEnclosure(model);
      const [e1, e2] = enclosure.strengthRange(low, high);
      const width = Math.min(enclosure.cellWidth(0.002), e2 - e1);
      const from = e1 + (e2 - e1 - width) * random();
      const b = bounds();
      enclosure.enclose([from, from + width], low, high, b);
      for (let k = 0; k < 200; k += 1) {
        const x = low.map((ml, i) => ml + (high[i]! - ml) * (k % 2 ? random() : Math.round(random())));
        const poured = x.reduce((s, ml, i) => s + enclosure.mixPour[i]! * ml, 0);
        if (!(x.some((ml) => ml > 0) && poured > 0)) continue;
        const e = x.reduce((s, ml, i) => s + enclosure.mixEthanol[i]! * ml, 0) / poured;
        expect(e).toBeGreaterThanOrEqual(e1 - 1e-9);
        expect(e).toBeLessThanOrEqual(e2 + 1e-9);
        if (e < from || e > from + width) continue;
        const v = model.finish(x).finishedVolumeMl;
        expect(at(b, "upper", x)).toBeGreaterThanOrEqual(v - slack * v);
        expect(at(b, "lower", x)).toBeLessThanOrEqual(v + slack * v);
        widest = Math.max(widest, (at(b, "upper", x) - at(b, "lower", x)) / v);
      }
    }
    expect(widest).toBeGreaterThan(0);
    expect(widest).toBeLessThan(loosest);
  });

  test("shrink to the true volume with the box", () => {
    const model = createMixModel(items, "shaken");
    const middle = items.map((_, i) => 5 + i);
    const gaps = [8, 2, 0.5].map((half) => {
      const low = middle.map((ml) => Math.max(0, ml - half));
      const high = middle.map((ml) => ml + half);
      const enclosure = new VolumeEnclosure(model);
      const b = bounds();
      enclosure.enclose(enclosure.strengthRange(low, high), low, high, b);
      return at(b, "upper", middle) - at(b, "lower", middle);
    });
    expect(gaps[1]!).toBeLessThan(gaps[0]! / 2);
    expect(gaps[2]!).toBeLessThan(gaps[1]! / 2);
  });

  test("pure water and a line topped after the ice", () => {
    const water = items.filter(({ stage }) => stage === "top");
    const model = createMixModel(water, "built");
    const enclosure = new VolumeEnclosure(model);
    expect(enclosure.strengthRange([0], [200])).toEqual([0, 0]);
    const b = { upper: new Float64Array(1), upper0: 0, lower: new Float64Array(1), lower0: 0 };
    enclosure.enclose([0, 0], [0], [200], b);
    const v = model.finish([150]).finishedVolumeMl;
    expect(150 * b.upper[0]!).toBeGreaterThanOrEqual(v);
    expect(150 * b.lower[0]!).toBeLessThanOrEqual(v);
    expect(150 * (b.upper[0]! - b.lower[0]!)).toBeLessThan(0.2);
  });
});
