import { createMixModel } from "../../../engine/dilution/model.ts";
import { VolumeEnclosure } from "../../../engine/solve/volume-bounds.ts";
import { seeded } from "../solve/linear-instance.ts";
import { SHELF } from "../solve/random-request.ts";

const items = SHELF.map((ingredient) => ({
  ingredient,
  stage: ingredient.addAfterDilution ? ("top" as const) : ("mix" as const),
}));
const n = items.length;
const random = seeded(5);
let tot = 0,
  bad = 0;
const hist: any[] = [];
for (let round = 0; round < 1500; round += 1) {
  const used = items.map(() => random() < 0.5);
  used[round % n] = true;
  const low = items.map((_, i) => (used[i] ? 20 * random() : 0));
  const high = low.map((ml, i) => (used[i] ? ml + 60 * random() * (round % 3 === 0 ? 0.2 : 1) : 0));
  const model = createMixModel(items, "shaken", { model: "energy" }, high);
  const en: any = new VolumeEnclosure(model);
  const [e1, e2] = en.strengthRange(low, high);
  const width = Math.min(en.cellWidth(0.002), e2 - e1);
  const from = e1 + (e2 - e1 - width) * random();
  const b = { upper: new Float64Array(n), upper0: 0, lower: new Float64Array(n), lower0: 0 };
  const bands = en.mixBands(low, high);
  const band = bands[Math.floor(bands.length * random())]!;
  en.enclose([from, from + width], band, low, high, b);
  for (let k = 0; k < 200; k++) {
    const x = low.map((ml, i) => ml + (high[i]! - ml) * (k % 2 ? random() : Math.round(random())));
    const P = x.reduce((s, ml, i) => s + en.mixPour[i]! * ml, 0);
    if (!(P > 0)) continue;
    const e = x.reduce((s, ml, i) => s + en.mixEthanol[i]! * ml, 0) / P;
    if (e < from || e > from + width || P < band[0] || P > band[1]) continue;
    const f = model.finish(x);
    const v = f.finishedVolumeMl;
    tot++;
    const fit = en.a2 * e * e * P + x.reduce((s, ml, i) => s + en.waterPerMl[i]! * ml, 0);
    const up = x.reduce((s, ml, i) => s + b.upper[i]! * ml, b.upper0),
      dn = x.reduce((s, ml, i) => s + b.lower[i]! * ml, b.lower0);
    if (up < v || dn > v) {
      bad++;
      hist.push(
        [
          Math.max(v - up, dn - v).toFixed(3),
          "P",
          P.toFixed(0),
          "band",
          band.map((z: number) => z.toFixed(0)),
          "e",
          e.toFixed(3),
          from.toFixed(3),
          width.toFixed(3),
          "W",
          f.waterMl.toFixed(2),
          "fit",
          fit.toFixed(2),
          "0:",
          en.down0.toFixed(2),
          en.up0.toFixed(2),
          "dims",
          used.filter(Boolean).length,
        ].join(" "),
      );
    }
  }
}
console.log(tot, bad);
console.log(hist.slice(0, 25).join("\n"));
