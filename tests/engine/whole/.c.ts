import { readFileSync } from "node:fs";
import { solve } from "../../../engine/solve/solve.ts";
import { ask, PANTRY } from "./arbitrary-request.ts";
import { Judge } from "./invariants.ts";

const d = JSON.parse(readFileSync(process.argv[2]!, "utf8"));
const PR = new Map([...PANTRY.keys()].map((id, k) => [id, k % 7 === 0 ? 0 : 5 + ((k * 37) % 90)]));
d.request.pantry = PANTRY;
d.request.prices = PR;
const r = solve(ask(d));
console.log(
  r.status,
  r.limit,
  r.certificate.bound,
  r.certificate.gap,
  r.proposals.map((p) => [p.moves.map((m) => m.text).join("; "), p.volumeChangedMl]),
  r.certificate.nodes,
  r.certificate.relaxations,
  r.certificate.assumptions,
);
console.log(
  r.continuous?.volumeChangedMl,
  r.continuous?.kkt,
  r.infeasible?.text,
  JSON.stringify(r.infeasible?.nearest),
);
