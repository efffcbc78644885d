import { expect, test } from "vitest";
import { solveWithChance } from "../../../engine/explore/chance.ts";
import { solve } from "../../../engine/solve/solve.ts";
import type { Spec } from "../../../engine/types.ts";
import { demoRequest } from "../explore/demo-request.ts";
import { randomRequest } from "./random-request.ts";

/** A clock that stands still and then, after so many looks, shows that all time is gone. */
function struckAfter(looks: number): () => number {
  // The first look starts the time.
  let left = looks + 1;
  return () => {
    left -= 1;
    return left < 0 ? 1e9 : 0;
  };
}

test("whenever the time runs out, the bound and the gap are numbers and true", () => {
  const seen = { cut: 0, infeasible: 0 };
  for (let s = 0; s < 40; s += 1) {
    const request = randomRequest(7_000 + s, { lines: 5, additions: 2, stepMl: 5 });
    const exact = solve(request);
    const best = exact.proposals[0];
    // The clock strikes at the first look, the second, and so on to the last; later ones in longer strides.
    for (let looks = 0; ; looks += 1 + Math.floor(looks / 4)) {
      const now = struckAfter(looks);
      const result = solve({ ...request, now, timeBudgetMs: 1 });
      const { bound, gap, proved } = result.certificate;
      expect(Number.isFinite(gap), `seed ${s}, look ${looks}`).toBe(true);
      if (bound !== null) {
        expect(Number.isFinite(bound.volumeMl), `seed ${s}, look ${looks}`).toBe(true);
        if (best) expect(bound.touched).toBeLessThanOrEqual(best.touched);
        if (best && bound.touched === best.touched) {
          expect(bound.volumeMl).toBeLessThanOrEqual(best.volumeChangedMl + 1e-6);
        }
      }
      if (proved) expect(result.status).toBe(exact.status);
      else {
        seen.cut += 1;
        // Cut short, an answer that nothing does it would be a guess.
        expect(["limit_reached", "no_solution_found"]).toContain(result.status);
        if (exact.status === "infeasible") seen.infeasible += 1;
      }
      if (now() === 0) break;
    }
  }
  expect(seen.cut).toBeGreaterThan(20);
  expect(seen.infeasible).toBeGreaterThan(0);
});

test("a method whose water does not bend with strength gives a margin that is a number", () => {
  // Found by fuzzing: the peak of a curve without curvature was 0/0, and rows of NaN stalled the simplex.
  const spec: Spec = {
    name: "Trace (invented)",
    method: "carbonated",
    lines: [
      { ingredient: "vodka", amount: 0.1, unit: "oz" },
      { ingredient: "vodka", amount: 0.1, unit: "oz" },
    ],
  };
  const request = demoRequest(spec, {
    additions: ["saline-20", "maraschino"],
    minProbability: 0.5 + Number.EPSILON / 2,
  });
  const { certificate, status } = solveWithChance(request);
  expect(status).toBe("infeasible");
  expect(certificate).toMatchObject({ proved: true, gap: 0 });
  for (const looks of [0, 1, 2, 5, 20]) {
    const cut = solveWithChance({ ...request, now: struckAfter(looks), timeBudgetMs: 1 });
    expect(["infeasible", "no_solution_found"]).toContain(cut.status);
    expect(cut.certificate.proved).toBe(cut.status === "infeasible");
    expect(Number.isFinite(cut.certificate.gap)).toBe(true);
  }
});
