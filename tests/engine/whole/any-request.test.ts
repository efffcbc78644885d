/**
 * The whole engine asked anything: random specs of the real pantry, targets, ladders, limits and clocks.
 * WHOLE_RUNS sets the number of requests, WHOLE_SEED where they start (long hunts are run by hand).
 */
import fc from "fast-check";
import { expect, test } from "vitest";
import { place } from "../../../engine/place/place.ts";
import { type SolveResult, solve } from "../../../engine/solve/solve.ts";
import { anyRequest, anySpec, ask, type Drawn, PANTRY } from "./arbitrary-request.ts";
import {
  checkBySampling,
  checkError,
  checkFinite,
  checkJson,
  checkResult,
  freeze,
  must,
  near,
  reversed,
} from "./invariants.ts";

const RUNS = Number(process.env.WHOLE_RUNS ?? 250);
const SEED = Number(process.env.WHOLE_SEED ?? 20_261_125);
const TIMEOUT = 60_000 + 400 * RUNS;

/** Same question, lines in another order: the same status, value and distance. */
function checkReversed(drawn: Drawn, result: SolveResult): void {
  if (result.limit !== undefined || drawn.clockStepMs !== null) return;
  const other = solve(reversed(drawn.request));
  if (other.limit !== undefined) return;
  must(other.status === result.status, `lines reversed: ${other.status}, not ${result.status}`);
  const [a, b] = [result.certificate.bound, other.certificate.bound];
  if (a && b) {
    must(
      a.touched === b.touched && near(a.volumeMl, b.volumeMl, 1e-6),
      `reversed: ${a.volumeMl}, ${b.volumeMl}`,
    );
  }
  if (result.infeasible) {
    const [d, e] = [result, other].map((r) => r.infeasible!.nearest.membership.signedDistance);
    must(Math.abs(d! - e!) < 2e-3, `lines reversed: the nearest drink is ${d} or ${e} away`);
  }
}

test(
  "no request breaks what must hold of every answer",
  () => {
    const seen = new Map<string, number>();
    const count = (what: string) => seen.set(what, (seen.get(what) ?? 0) + 1);
    let turn = 0;
    fc.assert(
      fc.property(anyRequest(2_000), (drawn) => {
        turn += 1;
        let result: SolveResult;
        try {
          result = solve(freeze(ask(drawn)));
        } catch (error) {
          checkError(error);
          count("refused");
          return;
        }
        count(result.status);
        checkResult(drawn.request, result);
        checkBySampling(drawn.request, result, 120, turn);
        if (turn % 3 === 0) checkReversed(drawn, result);
        if (turn % 5 === 0)
          must(JSON.stringify(solve(ask(drawn))) === JSON.stringify(result), "asked twice, two answers");
      }),
      { numRuns: RUNS, seed: SEED, endOnFailure: true },
    );
    // The fuzz means something only if it reaches every kind of answer.
    for (const kind of ["refused", "already_inside", "optimal", "infeasible", "limit_reached"]) {
      expect(seen.get(kind) ?? 0, kind).toBeGreaterThan(2);
    }
  },
  TIMEOUT,
);

test(
  "no spec breaks what must hold of every placement",
  () => {
    const fields = /^\/(lines|dilution|glass|method|pantry)(\/|$)/;
    let placed = 0;
    fc.assert(
      fc.property(anySpec, (spec) => {
        let p: ReturnType<typeof place>;
        try {
          p = place(freeze(spec), PANTRY);
        } catch (error) {
          checkError(error, fields);
          return;
        }
        placed += 1;
        checkFinite(p);
        checkJson(p);
        for (const k of [0, 1, 2] as const) {
          must(p.covariance[k][k] >= 0, "a negative variance");
          for (const j of [0, 1, 2] as const) {
            const most = Math.sqrt(p.covariance[k][k] * p.covariance[j][j]);
            must(Math.abs(p.covariance[k][j]) <= most * (1 + 1e-9) + 1e-18, "a correlation beyond 1");
          }
          const parts = p.doubts.reduce((sum, d) => sum + d.variance[k], 0);
          must(near(parts, p.covariance[k][k]), `doubts sum to ${parts}, not ${p.covariance[k][k]}`);
        }
        const sum = (of: (l: (typeof p.lines)[number]) => number) => p.lines.reduce((s, l) => s + of(l), 0);
        must(
          near(
            sum((l) => l.volumeMl),
            p.initialVolumeMl,
          ),
          "pours",
        );
        must(
          near(sum((l) => l.massG) + 0.99820123 * p.dilution.waterMl, p.finishedMassG),
          "mass is not conserved",
        );
        const { sugarGPer100Ml, acidGPer100Ml, abvPercent } = p.point;
        const inGlass = (per100: number) => (per100 * p.finishedVolumeMl) / 100;
        must(
          near(
            sum((l) => l.sugarG),
            inGlass(sugarGPer100Ml),
          ),
          "sugar is not conserved",
        );
        must(
          near(
            sum((l) => l.acidG),
            inGlass(acidGPer100Ml),
          ),
          "acid is not conserved",
        );
        must(
          near(
            sum((l) => l.ethanolMl),
            inGlass(abvPercent),
          ),
          "ethanol is not conserved",
        );
        must(
          p.finishedVolumeMl > 0.9 * (p.initialVolumeMl + p.dilution.waterMl) - 0.7 * p.initialVolumeMl,
          "volume",
        );
        must(abvPercent >= 0 && abvPercent <= 100 && p.dilution.waterMl >= 0, "out of nature");

        const turned = place({ ...spec, lines: [...spec.lines].reverse() }, PANTRY);
        must(near(turned.finishedVolumeMl, p.finishedVolumeMl), "lines reversed: another volume");
        must(near(turned.point.abvPercent, abvPercent), "lines reversed: another strength");
        if (spec.dilution?.model === "energy" || spec.dilution?.model === "measured") return;
        const twice = place(
          { ...spec, lines: spec.lines.map((l) => ({ ...l, amount: 2 * l.amount })) },
          PANTRY,
        );
        must(near(twice.finishedVolumeMl, 2 * p.finishedVolumeMl), "twice the drink is not twice the volume");
        must(near(twice.point.sugarGPer100Ml, sugarGPer100Ml), "twice the drink is another drink");
      }),
      { numRuns: 8 * RUNS, seed: SEED, endOnFailure: true },
    );
    expect(placed).toBeGreaterThan(4 * RUNS);
  },
  TIMEOUT,
);
