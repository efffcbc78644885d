/** The relaxation's one promise: every acceptable drink satisfies all rows of at least one cell. */
import { describe, expect, test } from "vitest";
import { constraintsOf } from "../../../engine/solve/constraint.ts";
import { createJudge } from "../../../engine/solve/judge.ts";
import { readQuestion } from "../../../engine/solve/question.ts";
import { Relaxation } from "../../../engine/solve/relaxation.ts";
import type { SolveRequest } from "../../../engine/solve/request.ts";
import type { RowSet } from "../../../engine/solve/rows.ts";
import { seeded } from "./linear-instance.ts";
import { randomRequest } from "./random-request.ts";

function relaxationOf(request: SolveRequest) {
  const question = readQuestion(request);
  const constraints = constraintsOf(question);
  const judge = createJudge(question, constraints);
  return { question, constraints, judge, relaxation: new Relaxation(question, constraints, judge) };
}

const holds = (rows: RowSet, delta: ArrayLike<number>) =>
  rows.list.every(({ a, b }) => a.reduce((left, c, i) => left + c * delta[i]!, 0) <= b);

/** Random pours within the choices, half of them near the present drink. */
function* somePours(choices: readonly Float64Array[], count: number, seed: number) {
  const random = seeded(seed);
  for (let k = 0; k < count; k += 1) {
    yield Float64Array.from(choices, (c) => (random() < 0.3 ? 0 : c[Math.floor(random() * c.length)]!));
  }
}

const KINDS = ["box", "ellipsoid", "ratio", "half-space", "intersection"] as const;
const DILUTIONS = ["regression", "constant", "energy"] as const;

describe("every acceptable drink", () => {
  test.each(DILUTIONS)("satisfies the rows of a cell, and of a box around it: %s", (dilution) => {
    let accepted = 0;
    for (let seed = 0; seed < 60; seed += 1) {
      const request = randomRequest(300_000 + seed, {
        lines: 4,
        additions: 1,
        stepMl: 2.5,
        dilution,
        target: KINDS[seed % KINDS.length]!,
      });
      const { question, judge, relaxation } = relaxationOf(request);
      const random = seeded(seed);
      for (const delta of somePours(question.choices, 400, seed)) {
        relaxation.cut(delta);
        if (!judge(delta)) continue;
        accepted += 1;
        expect(relaxation.cells.some(({ rows }) => holds(rows, delta))).toBe(true);
        // A box of any width that holds the pour: some cell's rows in it hold too.
        const [below, above] = [random(), random()];
        const lo = question.choices.map((c, i) => delta[i]! + below * (c[0]! - delta[i]!));
        const hi = question.choices.map((c, i) => delta[i]! + above * (c.at(-1)! - delta[i]!));
        const inBox = relaxation.cells.some((_, cell) =>
          holds(relaxation.rowsIn(cell, Float64Array.from(lo), Float64Array.from(hi)), delta),
        );
        expect(inBox).toBe(true);
      }
    }
    expect(accepted).toBeGreaterThan(100);
  });
});

test("rows of a small box are tighter: most drinks outside the target break them", () => {
  let [outside, refused] = [0, 0];
  for (let seed = 0; seed < 30; seed += 1) {
    const request = randomRequest(310_000 + seed, { lines: 4, additions: 0, stepMl: 2.5, target: "box" });
    const { question, judge, relaxation } = relaxationOf(request);
    for (const delta of somePours(question.choices, 200, seed)) {
      if (judge(delta)) continue;
      outside += 1;
      if (!relaxation.cells.some((_, cell) => holds(relaxation.rowsIn(cell, delta, delta), delta)))
        refused += 1;
    }
  }
  expect(refused / outside).toBeGreaterThan(0.98);
});

test("a cut takes a point outside a curve away", () => {
  let cuts = 0;
  for (let seed = 0; seed < 40; seed += 1) {
    const request = randomRequest(320_000 + seed, { lines: 3, additions: 0, stepMl: 5, target: "ellipsoid" });
    const { question, judge, relaxation } = relaxationOf(request);
    for (const delta of somePours(question.choices, 10, seed)) {
      if (judge(delta) || !relaxation.cut(delta)) continue;
      cuts += 1;
      // In the smallest box, where the volume is known, the new rows exclude it.
      expect(relaxation.cells.some((_, cell) => holds(relaxation.rowsIn(cell, delta, delta), delta))).toBe(
        false,
      );
    }
  }
  expect(cuts).toBeGreaterThan(50);
});

test("each row says what it is about", () => {
  const roles = new Set(
    [1, 2, 3, 4, 5, 6].flatMap((seed) => {
      const { relaxation } = relaxationOf({
        ...randomRequest(seed, { lines: 4, additions: 0, stepMl: 5, dilution: "regression" }),
        maxFinishedMl: 150,
        driftBudget: 2,
      });
      return relaxation.cells.flatMap(({ rows }) => rows.list.map(({ id }) => relaxation.subjectOf(id).role));
    }),
  );
  for (const role of ["target", "drift", "glass", "poured", "strength"]) expect(roles).toContain(role);
});
