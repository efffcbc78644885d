import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { toVec } from "../../../engine/axes.ts";
import { place } from "../../../engine/place/place.ts";
import { type SolveRequest, solve } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { judge } from "./checker.ts";
import { PANTRY, randomRequest } from "./random-request.ts";

const seeds = fc.integer({ min: 0, max: 1_000_000 });
const requests = fc
  .record({ seed: seeds, lines: fc.integer({ min: 3, max: 5 }), additions: fc.integer({ min: 0, max: 3 }) })
  .map(({ seed, lines, additions }) => randomRequest(seed, { lines, additions, stepMl: 2.5 }));

function freeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !(value instanceof Map)) {
    Object.freeze(value);
    for (const inner of Object.values(value)) freeze(inner);
  }
  return value;
}

describe("what a proposal promises", () => {
  test("placed by itself it is inside the target, where it says it is", () => {
    let proposals = 0;
    fc.assert(
      fc.property(requests, (request) => {
        const target = compileTarget(request.target);
        for (const proposal of solve(request).proposals) {
          proposals += 1;
          const placed = place(proposal.spec, PANTRY);
          expect(target.contains(toVec(placed.point), 1e-7)).toBe(true);
          toVec(proposal.after).forEach((v, k) => {
            expect(toVec(placed.point)[k]).toBeCloseTo(v, 8);
          });
          expect(placed.finishedVolumeMl).toBeCloseTo(proposal.finishedVolumeMl, 8);
          expect(placed.sd).toEqual(proposal.afterSd);
        }
      }),
      { numRuns: 150, seed: 1 },
    );
    expect(proposals).toBeGreaterThan(100);
  });

  test("its moves lead from the old spec to the new one, and its curve from the old point to the new", () => {
    fc.assert(
      fc.property(requests, (request) => {
        const { proposals } = solve(request);
        const shown = new Set<string>();
        for (const p of proposals) {
          expect(p.moves).toHaveLength(p.touched);
          expect(p.moves.reduce((s, m) => s + Math.abs(m.deltaMl), 0)).toBeCloseTo(p.volumeChangedMl, 9);
          for (const m of p.moves) {
            expect(m.toMl - m.fromMl).toBeCloseTo(m.deltaMl, 9);
            expect(m.text).toMatch(/[a-z]/);
            const line = p.spec.lines.find((l) => l.ingredient === m.ingredient);
            if (m.kind === "drop") expect(line).toBeUndefined();
            else expect(line!.amount).toBeCloseTo(m.toAmount, 9);
          }
          expect(p.path).toHaveLength(p.touched);
          const first = p.path[0]!.points[0]!;
          const last = p.path.at(-1)!.points.at(-1)!;
          toVec(p.before).forEach((v, k) => {
            expect(first[k]).toBeCloseTo(v, 9);
          });
          toVec(p.after).forEach((v, k) => {
            expect(last[k]).toBeCloseTo(v, 9);
          });
          for (let i = 1; i < p.path.length; i += 1) {
            expect(p.path[i]!.points[0]).toEqual(p.path[i - 1]!.points.at(-1));
          }
          const set = p.moves
            .map((m) => m.ingredient)
            .sort()
            .join("+");
          expect(shown.has(set)).toBe(false);
          shown.add(set);
        }
      }),
      { numRuns: 100, seed: 2 },
    );
  });

  test("nothing that leaves is NaN or infinite", () => {
    const check = (value: unknown, at: string): void => {
      if (typeof value === "number") expect(Number.isFinite(value), at).toBe(true);
      else if (Array.isArray(value)) for (const [i, v] of value.entries()) check(v, `${at}/${i}`);
      else if (typeof value === "object" && value !== null) {
        for (const [k, v] of Object.entries(value)) check(v, `${at}/${k}`);
      }
    };
    fc.assert(
      fc.property(requests, (request) => check(solve(request), "")),
      { numRuns: 100, seed: 3 },
    );
  });
});

describe("the answer depends on the question alone", () => {
  test("inputs are not changed", () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const request = freeze(randomRequest(seed, { lines: 3, additions: 1, stepMl: 5 }));
        const copy = JSON.stringify(request);
        solve(request);
        expect(JSON.stringify(request)).toBe(copy);
      }),
      { numRuns: 40, seed: 4 },
    );
  });

  test("the order of lines and additions changes neither status nor value", () => {
    fc.assert(
      fc.property(requests, (request) => {
        const turned: SolveRequest = {
          ...request,
          spec: { ...request.spec, lines: [...request.spec.lines].reverse() },
          additions: [...(request.additions ?? [])].reverse(),
        };
        const [a, b] = [solve(request), solve(turned)];
        expect(b.status).toBe(a.status);
        const [p, q] = [a.proposals[0], b.proposals[0]];
        expect(q?.touched).toBe(p?.touched);
        if (p && q) expect(q.volumeChangedMl).toBeCloseTo(p.volumeChangedMl, 6);
      }),
      { numRuns: 100, seed: 5 },
    );
  });

  test("twice the drink on twice the ladder moves twice as much", () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const one = randomRequest(seed, { lines: 3, additions: 1, stepMl: 2.5, dilution: "regression" });
        const two: SolveRequest = {
          ...one,
          spec: { ...one.spec, lines: one.spec.lines.map((l) => ({ ...l, amount: 2 * l.amount })) },
          ladder: { ...one.ladder, stepMl: 2 * one.ladder.stepMl },
          bounds: one.bounds!.map((b) => ({ ...b, minMl: 2 * b.minMl!, maxMl: 2 * b.maxMl! })),
          ...(one.maxFinishedMl !== undefined && { maxFinishedMl: 2 * one.maxFinishedMl }),
        };
        const [a, b] = [solve(one), solve(two)];
        expect(b.status).toBe(a.status);
        if (a.proposals[0]) {
          expect(b.proposals[0]!.touched).toBe(a.proposals[0].touched);
          expect(b.proposals[0]!.volumeChangedMl).toBeCloseTo(2 * a.proposals[0].volumeChangedMl, 6);
        }
      }),
      { numRuns: 100, seed: 6 },
    );
  });

  test("a wider target never needs a larger change, and more additions neither", () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const narrow = randomRequest(seed, { lines: 3, additions: 1, stepMl: 2.5, target: "ellipsoid" });
        if (narrow.target.kind !== "ellipsoid") throw new Error("unexpected target");
        const wide = { ...narrow, target: { ...narrow.target, radius: 1.3 * narrow.target.radius } };
        const fewer = { ...narrow, additions: [] };
        const size = (r: SolveRequest): [number, number] => {
          const { status, proposals } = solve({ ...r, count: 1, character: undefined, bounds: undefined });
          if (status === "already_inside") return [0, 0];
          return proposals[0] ? [proposals[0].touched, proposals[0].volumeChangedMl] : [99, 0];
        };
        const noMore = (a: [number, number], b: [number, number]) =>
          a[0] < b[0] || (a[0] === b[0] && a[1] <= b[1] + 1e-6);
        const base = size(narrow);
        expect(noMore(size(wide), base)).toBe(true);
        expect(noMore(base, size(fewer))).toBe(true);
      }),
      { numRuns: 80, seed: 7 },
    );
  });

  test("the same question twice gives the same answer", () => {
    fc.assert(
      fc.property(requests, (request) => {
        expect(solve(request)).toEqual(solve(request));
      }),
      { numRuns: 40, seed: 8 },
    );
  });
});

test("larger drinks: every proposal passes a judge that does not know the solver", () => {
  let judged = 0;
  for (let s = 0; s < 60; s += 1) {
    const request = randomRequest(700_000 + s, { lines: 5, additions: 5, stepMl: 2.5 });
    const accepts = judge(request);
    const ids = [...request.spec.lines.map((l) => l.ingredient), ...request.additions!];
    for (const p of solve(request).proposals) {
      const x = ids.map((id, i) => {
        const move = p.moves.find((m) => m.ingredient === id);
        return move ? move.toMl : (request.spec.lines[i]?.amount ?? 0);
      });
      expect(accepts(x), `seed ${s} ${p.id}`).toBe(true);
      judged += 1;
    }
  }
  expect(judged).toBeGreaterThan(60);
});

test("three thousand calls: the last answers as the first, and memory does not grow", () => {
  const request = randomRequest(3, { lines: 3, additions: 1, stepMl: 5 });
  const first = solve(request);
  setFlagsFromString("--expose-gc");
  const collect = runInNewContext("gc") as () => void;
  const used = () => {
    collect();
    return process.memoryUsage().heapUsed;
  };
  for (let k = 0; k < 500; k += 1) solve(randomRequest(k, { lines: 3, additions: 1, stepMl: 10 }));
  const before = used();
  for (let k = 0; k < 3_000; k += 1) solve(randomRequest(k % 97, { lines: 3, additions: 1, stepMl: 10 }));
  expect(used() - before).toBeLessThan(3e6);
  expect(solve(request)).toEqual(first);
}, 180_000);
