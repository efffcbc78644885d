import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { solve } from "../../../engine/solve/solve.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const pantry = new Map(data.pantry.map((i) => [i.id, i]));
const d = data.drinks.find((d) => d.id === "navy-grog")!;
for (const band of data.bands.filter((b) => /stirred|shaken/.test(b.id)))
  for (let k = 0; k < 3; k++) {
    const t = performance.now();
    const r = solve({
      spec: { ...d.spec, dilution: { model: "energy" } },
      pantry,
      target: band.target,
      ladder: LADDERS["metric-jigger"],
      measure: "volume",
    });
    console.log(band.id, r.status, r.certificate.nodes, performance.now() - t);
  }
