import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { solve } from "../../../engine/solve/solve.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const ms: number[] = [];
const st: Record<string, number> = {};
for (const measure of ["fewest-then-volume", "volume"] as const)
  for (const d of data.drinks) {
    if (!["shaken", "stirred", "built"].includes(d.spec.method)) continue;
    for (const band of data.bands.slice(0, 3)) {
      const t = performance.now();
      const r = solve({
        spec: { ...d.spec, dilution: { model: "energy" } },
        pantry,
        target: band.target,
        ladder: LADDERS["metric-jigger"],
        measure,
        nodeLimit: 5000,
      });
      if (r.status === "already_inside") continue;
      ms.push(performance.now() - t);
      if (ms.at(-1)! > 1500)
        console.log(
          d.id,
          band.id,
          measure,
          ms.at(-1),
          r.status,
          r.certificate.nodes,
          r.certificate.relaxations,
          r.certificate.evaluations,
        );
      st[measure + r.status] = (st[measure + r.status] ?? 0) + 1;
    }
  }
ms.sort((a, b) => a - b);
console.log(
  st,
  "median",
  ms[ms.length >> 1]!.toFixed(0),
  "p90",
  ms[Math.floor(ms.length * 0.9)]!.toFixed(0),
  "max",
  ms.at(-1)!.toFixed(0),
  "total",
  ms.reduce((a, b) => a + b, 0).toFixed(0),
);
