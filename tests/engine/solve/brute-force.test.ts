/** Optimality and certificates against a judge that tries every pour and only adds and multiplies. */
import { describe, expect, test } from "vitest";
import { solve } from "../../../engine/solve/solve.ts";
import { allPours, bruteForce, checkLeaves, checkRefutations, judge } from "./checker.ts";
import { type Options, randomRequest, SHELF } from "./random-request.ts";

function verify(seed: number, options: Options): { kind: string; tried: number; compact: number } {
  const request = randomRequest(seed, options);
  const result = solve(request);
  const truth = bruteForce(request);
  const at = `seed ${seed}`;
  if (truth.fewest === null) {
    expect(result.status, at).toBe("infeasible");
    expect(result.infeasible, at).toBeDefined();
  } else if (truth.fewest.touched === 0) {
    expect(result.status, at).toBe("already_inside");
    return { kind: "inside", tried: 0, compact: 0 };
  } else {
    expect(result.status, at).toBe("optimal");
    const [best] = result.proposals;
    expect(best!.touched, at).toBe(truth.fewest.touched);
    expect(best!.volumeChangedMl, at).toBeCloseTo(truth.fewest.volume, 6);
    expect(result.certificate.proved, at).toBe(true);
    expect(result.certificate.gap, at).toBe(0);
    expect(result.certificate.bound!.volumeMl, at).toBeCloseTo(best!.volumeChangedMl, 6);
    // Every proposal is the least for the ingredients it touches.
    const { ids } = allPours(request);
    for (const proposal of result.proposals) {
      const touched = new Set(proposal.moves.map((m) => m.ingredient));
      const key = ids.filter((id) => touched.has(id)).join("+");
      expect(proposal.volumeChangedMl, `${at} ${key}`).toBeCloseTo(truth.bySet.get(key)!, 6);
    }
    // The continuous optimum bounds every pour from below and satisfies its own conditions.
    expect(result.continuous, at).not.toBeNull();
    expect(result.continuous!.volumeChangedMl, at).toBeLessThanOrEqual(truth.least + 1e-6);
    for (const residual of Object.values(result.continuous!.kkt)) expect(residual, at).toBeLessThan(1e-6);
  }
  // Why fewer fail: each smaller set is refuted by arithmetic, or by trying its pours (which truth.bySet did).
  const { pours, ids } = allPours(request);
  const movable = ids.filter((_, i) => pours[i]!.length > 1);
  const top = truth.fewest ? truth.fewest.touched - 1 : movable.length;
  let tried = 0;
  for (let k = 1; k <= top; k += 1) tried += checkRefutations(result.certificate, movable, k).length;
  const compact = result.certificate.refutations.filter((r) => r.multipliers.length > 0).length;
  return { kind: truth.fewest ? `touched ${truth.fewest.touched}` : "infeasible", tried, compact };
}

function run(from: number, count: number, options: Options) {
  const kinds = new Map<string, number>();
  let compact = 0;
  for (let s = from; s < from + count; s += 1) {
    const { kind, compact: c } = verify(s, options);
    kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
    compact += c;
  }
  return { kinds, compact };
}

describe("the solver against trying every pour", () => {
  test("1500 drinks of three ingredients, every kind of target, dilution and limit", () => {
    const { kinds, compact } = run(1_000, 1_500, { lines: 3, additions: 0, stepMl: 5 });
    for (const kind of ["infeasible", "inside", "touched 1", "touched 2", "touched 3"]) {
      expect(kinds.get(kind) ?? 0, kind).toBeGreaterThan(40);
    }
    expect(compact).toBeGreaterThan(1_000);
  }, 240_000);

  test("600 drinks of four, one an addition", () => {
    const { kinds } = run(10_000, 600, { lines: 3, additions: 1, stepMl: 10 });
    expect(kinds.get("touched 2") ?? 0).toBeGreaterThan(50);
    expect(kinds.get("touched 3") ?? 0).toBeGreaterThan(10);
  }, 240_000);

  test("60 drinks of five", () => {
    const { kinds } = run(20_000, 60, { lines: 3, additions: 2, stepMl: 10 });
    expect(kinds.size).toBeGreaterThan(2);
  }, 240_000);

  test("40 drinks diluted by the corrected curve", () => {
    const { kinds } = run(30_000, 40, { lines: 3, additions: 0, stepMl: 10, dilution: "energy" });
    expect(kinds.size).toBeGreaterThan(2);
  }, 240_000);
});

describe("other measures against trying every pour", () => {
  test("least volume, any number touched", () => {
    for (let s = 0; s < 300; s += 1) {
      const request = randomRequest(40_000 + s, { lines: 3, additions: s % 2, stepMl: s % 2 ? 10 : 5 });
      const result = solve({ ...request, measure: "volume" });
      const { least, fewest } = bruteForce(request);
      if (fewest === null) expect(result.status).toBe("infeasible");
      else if (fewest.touched > 0) {
        expect(result.proposals[0]!.volumeChangedMl, `seed ${s}`).toBeCloseTo(least, 6);
      }
    }
  }, 240_000);

  test("at most two touched", () => {
    for (let s = 0; s < 200; s += 1) {
      const request = { ...randomRequest(50_000 + s, { lines: 3, additions: 1, stepMl: 10 }), maxTouched: 2 };
      const { bySet } = bruteForce(request);
      const allowed = [...bySet].filter(([set]) => set.split("+").length <= 2);
      if (bySet.has("")) continue;
      for (const measure of ["fewest-then-volume", "volume"] as const) {
        const result = solve({ ...request, measure });
        expect(result.status, `seed ${s}`).toBe(allowed.length > 0 ? "optimal" : "infeasible");
        if (measure === "volume" && allowed.length > 0) {
          const least = Math.min(...allowed.map(([, volume]) => volume));
          expect(result.proposals[0]!.volumeChangedMl, `seed ${s}`).toBeCloseTo(least, 6);
        }
      }
    }
  }, 240_000);
});

/** Every choice of pours, one after another. */
function* combinations(lists: readonly (readonly number[])[]): Generator<number[]> {
  const [first, ...rest] = lists;
  if (!first) yield [];
  else for (const head of first) for (const tail of combinations(rest)) yield [head, ...tail];
}

describe("the leaves of a search, by adding and multiplying alone", () => {
  test.each(["volume", "relative", "cost", "drift"] as const)(
    "show that no pour is better: %s",
    (measure) => {
      let shown = 0;
      let searched = 0;
      for (let s = 0; s < 60; s += 1) {
        const options = { lines: 3, additions: s % 2, stepMl: s % 2 ? 10 : 5 };
        const dilution = s % 3 === 0 ? ("energy" as const) : ("regression" as const);
        const request = {
          ...randomRequest(60_000 + s, { ...options, dilution }),
          measure,
          leaves: true,
          // Invented, per litre, some of them far apart.
          prices: new Map(SHELF.map((i, k) => [i.id, 4 + 11 * ((5 * k) % 7)])),
        };
        const { certificate, status } = solve(request);
        if (!certificate.leaves || !certificate.proved) continue;
        searched += 1;
        const { fromMl, pours } = allPours(request);
        const accepts = judge(request);
        const choices = pours.map((list, i) => list.map((ml) => ml - fromMl[i]!));
        const priced = [...combinations(choices)].map((delta) => {
          const cost = delta.reduce((sum, d, i) => sum + certificate.leaves!.weights[i]! * Math.abs(d), 0);
          return { delta, cost, accepted: accepts(delta.map((d, i) => fromMl[i]! + d)) };
        });
        const good = priced.filter((p) => p.accepted);
        const least = Math.min(...good.map((p) => p.cost), Number.POSITIVE_INFINITY);
        expect(status === "infeasible", `seed ${s}`).toBe(good.length === 0);
        // The least drift's leaves are about a ball one step smaller: it is empty.
        const wanted = measure === "drift" ? Number.POSITIVE_INFINITY : least;
        const { shown: proved, toTry } = checkLeaves(certificate, choices, wanted, choices.length);
        shown += proved;
        if (measure === "drift") continue;
        const isIn = (delta: number[], low: number[], high: number[]) =>
          delta.every((d, i) => d >= low[i]! - 1e-9 && d <= high[i]! + 1e-9);
        for (const { delta, cost } of good) {
          // What each leaf rests on is true of the drinks it speaks of: in one cell at least, the pour's own.
          const holds = certificate.leaves.boxes.some(({ leastMl, mostMl, coefficients, limit }) => {
            if (!isIn(delta, leastMl, mostMl)) return false;
            return (
              coefficients === null || coefficients.reduce((t, c, i) => t + c * delta[i]!, 0) <= limit + 1e-9
            );
          });
          expect(holds, `seed ${s}`).toBe(true);
          for (const { low, high } of toTry)
            if (isIn(delta, low, high)) expect(cost).toBeGreaterThan(least - 1e-6);
        }
      }
      expect(searched).toBeGreaterThan(15);
      expect(shown).toBeGreaterThan(100);
    },
    240_000,
  );

  test("a leaf whose numbers are off by a little is found out", () => {
    let found = 0;
    let cases = 0;
    for (let s = 0; s < 30 && cases < 5; s += 1) {
      const options = { lines: 3, additions: 0, stepMl: 5, dilution: "regression" } as const;
      const request = { ...randomRequest(60_000 + s, options), measure: "volume" as const, leaves: true };
      const { certificate, proposals } = solve(request);
      const { leaves } = certificate;
      if (!leaves || !proposals[0] || leaves.boxes.length < 3) continue;
      cases += 1;
      const { fromMl, pours } = allPours(request);
      const choices = pours.map((list, i) => list.map((ml) => ml - fromMl[i]!));
      const check = (boxes: typeof leaves.boxes) =>
        checkLeaves(
          { ...certificate, leaves: { ...leaves, boxes } },
          choices,
          proposals[0]!.volumeChangedMl,
          choices.length,
        );
      check(leaves.boxes);
      expect(() => check(leaves.boxes.slice(1))).toThrow(/hold/);
      const weaker = leaves.boxes.map((leaf) =>
        leaf.coefficients ? { ...leaf, limit: leaf.limit + 60 } : leaf,
      );
      expect(() => check(weaker)).toThrow(/bounded/);
      found += 1;
    }
    expect(found).toBe(5);
  });
});
