/** The independent checker of certificates (tests/engine/solve/checker.ts) has to catch a certificate that lies. */
import { expect, test } from "vitest";
import { type SolveRequest, solve } from "../../../engine/solve/solve.ts";
import type { SolveCertificate } from "../../../engine/types.ts";
import { allPours, checkRefutations } from "../solve/checker.ts";
import { randomRequest } from "../solve/random-request.ts";

interface Case {
  request: SolveRequest;
  certificate: SolveCertificate;
  movable: string[];
  touched: number;
  winner: string[];
}

/** Proved answers that touch two or more: their certificates rule out one. */
function cases(count: number): Case[] {
  const found: Case[] = [];
  for (let seed = 90_000; found.length < count; seed += 1) {
    const request = randomRequest(seed, { lines: 3, additions: 1, stepMl: 5 });
    const { status, certificate, proposals } = solve(request);
    if (status !== "optimal" || proposals[0]!.touched < 2) continue;
    const { ids, pours } = allPours(request);
    found.push({
      request,
      certificate,
      movable: ids.filter((_, i) => pours[i]!.length > 1),
      touched: proposals[0]!.touched,
      winner: proposals[0]!.moves.map((m) => m.ingredient),
    });
  }
  return found;
}

const CASES = cases(60);
const copy = (c: SolveCertificate): SolveCertificate => JSON.parse(JSON.stringify(c)) as SolveCertificate;

test("true certificates pass", () => {
  for (const { certificate, movable, touched } of CASES) {
    for (let k = 1; k < touched; k += 1)
      expect(() => checkRefutations(certificate, movable, k)).not.toThrow();
  }
});

test("no multipliers can rule out the ingredients that do it, whatever the certificate claims", () => {
  for (const { certificate, movable, touched, winner } of CASES) {
    for (const covers of ["all", [winner]] as const) {
      const forged = copy(certificate);
      forged.refutations = forged.refutations
        .filter((r) => r.multipliers.length > 0)
        .map((r) => ({ ...r, touched: 99, covers: covers === "all" ? "all" : [[...winner]] }));
      expect(() => checkRefutations(forged, movable, touched)).toThrow("nothing refutes");
    }
  }
});

test("a negative multiplier is seen", () => {
  for (const { certificate, movable, touched } of CASES) {
    const forged = copy(certificate);
    const first = forged.refutations.find((r) => r.multipliers.length > 0);
    if (!first) continue;
    first.multipliers[0]!.value *= -1;
    expect(() => checkRefutations(forged, movable, touched - 1)).toThrow("negative multiplier");
  }
});

test("a multiplier changed in size, a limit moved, a row or a refutation left out: the check fails", () => {
  const attacks: Record<string, (c: SolveCertificate) => void> = {
    "largest multiplier gone": (c) => {
      for (const r of c.refutations) {
        const largest = Math.max(...r.multipliers.map((m) => m.value));
        for (const m of r.multipliers) if (m.value === largest) m.value = 0;
      }
    },
    "limits loosened": (c) => {
      for (const row of c.rows!) row.limit = Math.abs(row.limit) + 1000;
    },
    "no refutations": (c) => {
      c.refutations = [];
    },
    "wider ranges": (c) => {
      for (const r of c.ranges!) {
        r.minMl -= 1e4;
        r.maxMl += 1e4;
      }
    },
  };
  for (const [name, attack] of Object.entries(attacks)) {
    let [tried, caught] = [0, 0];
    for (const { certificate, movable, touched } of CASES) {
      // Sets emptied by trying their pours need no multiplier: leave those certificates out.
      if (certificate.refutations.some((r) => r.multipliers.length === 0)) continue;
      const forged = copy(certificate);
      attack(forged);
      tried += 1;
      try {
        checkRefutations(forged, movable, touched - 1);
      } catch {
        caught += 1;
      }
    }
    expect(tried, name).toBeGreaterThan(20);
    // A refutation may stand without its largest multiplier; the other attacks leave nothing standing.
    expect(caught / tried, name).toBeGreaterThan(name === "largest multiplier gone" ? 0.8 : 0.999);
  }
});
