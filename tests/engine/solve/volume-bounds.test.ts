import { describe, expect, test } from "vitest";
import { createMixModel } from "../../../engine/dilution/model.ts";
import { ethanolWaterVolumeMl } from "../../../engine/physics/ethanol-water.ts";
import { sugarApparentVolumeMl } from "../../../engine/physics/sucrose-water.ts";
import { chord, ETHANOL_VOLUME, SUGAR_VOLUME } from "../../../engine/solve/bent-volume.ts";
import { emptyBounds, type VolumeBounds, VolumeEnclosure } from "../../../engine/solve/volume-bounds.ts";
import type { DilutionChoice } from "../../../engine/types.ts";
import { seeded } from "./linear-instance.ts";
import { SHELF } from "./random-request.ts";

const items = SHELF.map((ingredient) => ({
  ingredient,
  stage: ingredient.addAfterDilution ? ("top" as const) : ("mix" as const),
}));
const n = items.length;

const at = (b: VolumeBounds, which: "upper" | "lower", x: number[]) =>
  x.reduce((sum, ml, i) => sum + b[which].perMl[i]! * ml, b[which].fixed);

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
      const [e1, e2] = enclosure.strengthRange({ low, high });
      const width = Math.min(enclosure.cellWidth(0.002), e2 - e1);
      const from = e1 + (e2 - e1 - width) * random();
      const b = emptyBounds(n);
      enclosure.enclose([from, from + width], { low, high }, b);
      for (let k = 0; k < 200; k += 1) {
        const x = low.map((ml, i) => ml + (high[i]! - ml) * (k % 2 ? random() : Math.round(random())));
        const poured = enclosure.mixPour.at(x);
        if (!(x.some((ml) => ml > 0) && poured > 0)) continue;
        const e = enclosure.mixEthanol.at(x) / poured;
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

  test.each([
    ["ethanol and water", ETHANOL_VOLUME, (p: number) => ethanolWaterVolumeMl(p, 1 - p)],
    ["sugar in water", SUGAR_VOLUME, (w: number) => sugarApparentVolumeMl(w, 1 - w)],
  ])("one share by mass, at 200 points of every interval of the grid and of wider ranges: %s", (_, of, f) => {
    let tightest = Number.POSITIVE_INFINITY;
    for (let k = 0; k < 256; k += 1) {
      for (const width of [0, 1 / 256, 0.1, 1]) {
        const [from, to] = [k / 256, Math.min(1, k / 256 + width)];
        const { slope, low, high } = chord(of, from, to);
        for (let n = 0; n <= 200; n += 1) {
          const t = from + ((to - from) * n) / 200;
          const off = f(t) - slope * t;
          tightest = Math.min(tightest, off - low, high - off);
        }
      }
    }
    // Half of the remainder's allowance for rounding: the bound itself is not to be used up by it.
    expect(tightest).toBeGreaterThan(5e-12);
    // Not by being wide: somewhere the function comes as near to its bound as the argument says it may.
    expect(tightest).toBeLessThan(2e-7);
  });

  test.each<[string, DilutionChoice | undefined]>([
    ["the curve", undefined],
    ["the curve corrected by heat", { model: "energy" }],
    ["where the ice may run out", { model: "energy", conditions: { iceMassG: 40, shelfTempC: 30 } }],
  ])("hold at the pours that press hardest against them, found by climbing: %s", (_, dilution) => {
    const random = seeded(11);
    let closest = Number.POSITIVE_INFINITY;
    for (let round = 0; round < 25; round += 1) {
      const used = items.map((_, i) => random() < 0.4 || i === round % n);
      const low = items.map((_, i) => (used[i] ? 25 * random() : 0));
      const high = low.map((ml, i) => (used[i] ? ml + 50 * random() ** 2 : 0));
      const model = createMixModel(items, "shaken", dilution, high);
      const enclosure = new VolumeEnclosure(model);
      const strengths = enclosure.strengthRange({ low, high });
      const b = emptyBounds(n);
      enclosure.enclose(strengths, { low, high }, b);
      /** Room left to a bound, as a share of the volume. */
      const room = (x: number[], which: "upper" | "lower") => {
        const v = model.finish(x).finishedVolumeMl;
        return (which === "upper" ? at(b, which, x) - v : v - at(b, which, x)) / v;
      };
      for (const which of ["upper", "lower"] as const) {
        let best = low.map((ml, i) => ml + (high[i]! - ml) * random());
        let least = room(best, which);
        for (let step = 0; step < 300; step += 1) {
          const i = Math.floor(random() * n);
          const reach = (high[i]! - low[i]!) * 0.5 ** (step / 30);
          const next = best.map((ml, k) =>
            k === i ? Math.min(high[k]!, Math.max(low[k]!, ml + (2 * random() - 1) * reach)) : ml,
          );
          const there = room(next, which);
          if (there < least) [best, least] = [next, there];
        }
        expect(least, `round ${round}, ${which}`).toBeGreaterThanOrEqual(-1e-12);
        closest = Math.min(closest, least);
      }
    }
    expect(closest).toBeLessThan(1e-4);
  });

  test("shrink to the true volume with the box", () => {
    const model = createMixModel(items, "shaken");
    const middle = items.map((_, i) => 5 + i);
    const gaps = [8, 2, 0.5].map((half) => {
      const low = middle.map((ml) => Math.max(0, ml - half));
      const high = middle.map((ml) => ml + half);
      const enclosure = new VolumeEnclosure(model);
      const b = emptyBounds(n);
      enclosure.enclose(enclosure.strengthRange({ low, high }), { low, high }, b);
      return at(b, "upper", middle) - at(b, "lower", middle);
    });
    expect(gaps[1]!).toBeLessThan(gaps[0]! / 2);
    expect(gaps[2]!).toBeLessThan(gaps[1]! / 2);
  });

  test("pure water and a line topped after the ice", () => {
    const water = items.filter(({ stage }) => stage === "top");
    const model = createMixModel(water, "built");
    const enclosure = new VolumeEnclosure(model);
    const box = { low: [0], high: [200] };
    expect(enclosure.strengthRange(box)).toEqual([0, 0]);
    const b = emptyBounds(1);
    enclosure.enclose([0, 0], box, b);
    const v = model.finish([150]).finishedVolumeMl;
    expect(at(b, "upper", [150])).toBeGreaterThanOrEqual(v);
    expect(at(b, "lower", [150])).toBeLessThanOrEqual(v);
    expect(at(b, "upper", [150]) - at(b, "lower", [150])).toBeLessThan(0.2);
  });
});
