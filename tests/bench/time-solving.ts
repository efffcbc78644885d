import highsLoader from "highs";
import { LadderSearch } from "../../engine/solve/levels.ts";
import { solve } from "../../engine/solve/solve.ts";
import { toLpText } from "../engine/solve/highs-model.ts";
import { linearInstance, seeded, toSearchProblem } from "../engine/solve/linear-instance.ts";
import { type Options, randomRequest } from "../engine/solve/random-request.ts";

// One variant, one size, in a process of its own: node … <variant> <ingredients> <step in mL> [target].
// Prints the milliseconds of each instance as JSON, after a warm-up on other instances.

const WARM_UP = 6;
const INSTANCES = 25;

const [variant, size, step, target] = process.argv.slice(2);
const n = Number(size);
const stepMl = Number(step);
const linear = (k: number) => linearInstance(n, seeded(700_000 + 1000 * n + k), stepMl);
const highs = variant === "highs" ? await highsLoader() : null;

/** Everything an instance needs is made outside the clock: each returns the thing to time. */
const VARIANTS: Record<string, (k: number) => () => unknown> = {
  /** HiGHS on the linear problem, proved (no gap). It takes its problem as text. */
  highs: (k) => {
    const { text } = toLpText(linear(k));
    return () => highs!.solve(text, { mip_rel_gap: 0, mip_abs_gap: 1e-6, output_flag: false }).Status;
  },
  /** The exact search on the equal linear problem, its rows made inside the clock. */
  search: (k) => {
    const instance = linear(k);
    return () => {
      const problem = toSearchProblem(instance);
      return problem.accept(new Float64Array(problem.size)) || new LadderSearch(problem).fewest();
    };
  },
  /** The whole solver on the real problem: proposals, continuous optimum, certificate. */
  solve: (k) => {
    const additions = Math.floor(n / 3);
    const request = randomRequest(800_000 + 1000 * n + k, {
      lines: n - additions,
      additions,
      stepMl,
      dilution: "regression",
      target: target as Options["target"],
    });
    return () => solve(request).status;
  },
};

const make = VARIANTS[variant ?? ""];
if (!make || !(n > 0) || !(stepMl > 0)) throw new Error(`bad arguments: ${process.argv.slice(2).join(" ")}`);
for (let k = 0; k < WARM_UP; k += 1) make(INSTANCES + k)();
const ms: number[] = [];
for (let k = 0; k < INSTANCES; k += 1) {
  const run = make(k);
  const start = process.hrtime.bigint();
  run();
  ms.push(Number(process.hrtime.bigint() - start) / 1e6);
}
console.log(JSON.stringify({ ms }));
