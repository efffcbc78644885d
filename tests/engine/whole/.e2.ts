import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { readProblem } from "../../../engine/solve/problem.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
let s = 1;
const rnd = () => (s = (s * 16807) % 2147483647) / 2147483647;
let tot = 0,
  totBad = 0;
(globalThis as any).DBG = true;
for (const d of data.drinks) {
  if (d.id !== "last-word") continue;
  if (!["shaken", "stirred", "built"].includes(d.spec.method)) continue;
  const t0 = performance.now();
  const pr = readProblem({
    spec: { ...d.spec, dilution: { model: "energy" } },
    pantry,
    target: { kind: "box", abvPercent: [0, 90] },
    ladder: LADDERS["metric-jigger"],
  });
  const ms = performance.now() - t0;
  const p = pr.prepared;
  const hi = pr.variables.map((v) => v.maxMl);
  let n = 0,
    bad = 0,
    gap = 0,
    worst = 0;
  const e: any = pr.enclosure;
  for (let k = 0; k < 1500; k++) {
    const scale = rnd() ** 2;
    const x = hi.map((h, i) =>
      k % 2 ? (rnd() < 0.6 ? p.volumesMl[i]! : h * rnd()) : h * rnd() * scale * (rnd() < 0.3 ? 0 : 1),
    );
    let P = 0,
      E = 0;
    x.forEach((v, i) => {
      P += e.mixPour[i] * v;
      E += e.mixEthanol[i] * v;
    });
    if (P < 0.01) continue;
    const st = E / P;
    const V = p.model.finish(x).finishedVolumeMl;
    for (const c of pr.cells)
      if (st >= c.from && st <= c.to && P >= c.band[0] && P <= c.band[1]) {
        n++;
        const up = x.reduce((t, v, i) => t + c.bounds.upper[i]! * v, c.bounds.upper0),
          dn = x.reduce((t, v, i) => t + c.bounds.lower[i]! * v, c.bounds.lower0);
        if (up < V - 1e-6 || dn > V + 1e-6) {
          if (up < V - 2 || dn > V + 2)
            console.log(
              d.id,
              c.from.toFixed(3),
              c.to.toFixed(3),
              c.band,
              "P",
              P.toFixed(1),
              "e",
              st.toFixed(3),
              "V",
              V.toFixed(1),
              up.toFixed(1),
              dn.toFixed(1),
              pr.model.finish(x).waterMl.toFixed(1),
              x.map((z) => z.toFixed(1)).join(),
            );
          bad++;
          worst = Math.max(worst, V - up, dn - V);
        }
        gap += (up - dn) / V;
      }
  }
  tot += n;
  totBad += bad;
  if (bad || rnd() < 0.1)
    console.log(
      d.id.padEnd(24),
      ms.toFixed(0),
      "ms cells",
      pr.cells.length,
      "n",
      n,
      "bad",
      bad,
      "by",
      worst.toFixed(3),
      "mL; mean gap",
      ((100 * gap) / n).toFixed(1) + "%",
    );
}
console.log(tot, totBad);
