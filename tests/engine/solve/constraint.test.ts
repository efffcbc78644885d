/** The one shape of a constraint, against the placed drink it speaks of. */
import { describe, expect, test } from "vitest";
import { AXIS_SCALE, toVec } from "../../../engine/axes.ts";
import { place } from "../../../engine/place/place.ts";
import {
  breachOf,
  constraintsOf,
  driftBall,
  excessOf,
  gaugeOf,
  linearise,
  scaleOf,
  tangentPlane,
} from "../../../engine/solve/constraint.ts";
import { readQuestion } from "../../../engine/solve/question.ts";
import type { SolveRequest } from "../../../engine/solve/request.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Vec3 } from "../../../engine/types.ts";
import { seeded } from "./linear-instance.ts";
import { PANTRY, randomRequest } from "./random-request.ts";

const REQUEST: SolveRequest = {
  spec: {
    name: "Two of one (invented)",
    method: "shaken",
    lines: [
      { ingredient: "spirit", amount: 45, unit: "ml" },
      { ingredient: "sour", amount: 15, unit: "ml" },
      { ingredient: "sour", amount: 5, unit: "ml" },
      { ingredient: "syrup", amount: 20, unit: "ml" },
    ],
  },
  pantry: PANTRY,
  target: { kind: "box", name: "sour range", acidGPer100Ml: [0.7, 0.9] },
  ladder: { id: "own", name: "test", stepMl: 2.5, displayUnit: "ml" },
};

const constraintsFor = (request: SolveRequest) => {
  const question = readQuestion(request);
  return { question, constraints: constraintsOf(question) };
};

describe("a face of the target", () => {
  test("times the finished volume, is how far the placed drink is from it", () => {
    const { question, constraints } = constraintsFor(REQUEST);
    const x = question.variables.map((v) => v.fromMl);
    const { point, finishedVolumeMl } = place(REQUEST.spec, PANTRY);
    const [floor, ceiling] = constraints.faces;
    expect(floor!.subject).toMatchObject({ role: "target", curve: null });
    const acid = point.acidGPer100Ml;
    expect(excessOf(floor!, x, finishedVolumeMl)).toBeCloseTo((0.7 - acid) * finishedVolumeMl, 9);
    expect(excessOf(ceiling!, x, finishedVolumeMl)).toBeCloseTo((acid - 0.9) * finishedVolumeMl, 9);
    // In axis-scale units: a fifth of a gram of acid is one.
    expect(scaleOf(floor!)).toBeCloseTo(AXIS_SCALE[1], 12);
    expect(breachOf(floor!, x, finishedVolumeMl)).toBeCloseTo((0.7 - acid) / AXIS_SCALE[1], 9);
  });

  test("a margin asked for moves it inwards, and leaves the drift ball alone", () => {
    const plain = constraintsFor({ ...REQUEST, driftBudget: 1 }).constraints;
    const { constraints } = constraintsFor({ ...REQUEST, driftBudget: 1, shrink: () => 0.05 });
    expect(constraints.faces[0]!.volumeFactor - plain.faces[0]!.volumeFactor).toBeCloseTo(0.05, 12);
    const half = { id: "any", normal: [1, 0, 0] as Vec3, offset: 3, label: "" };
    expect(constraints.face(half, 1).volumeFactor).toBe(plain.face(half, 1).volumeFactor);
  });
});

describe("rules", () => {
  test("count all lines of an ingredient together", () => {
    const { question, constraints } = constraintsFor({
      ...REQUEST,
      maxFinishedMl: 100,
      character: [
        { ingredient: "sour", minSharePercent: 15 },
        { ingredient: "spirit", atLeastAsMuchAs: "sour" },
      ],
    });
    const x = question.variables.map((v) => v.fromMl);
    const volume = place(REQUEST.spec, PANTRY).finishedVolumeMl;
    const excess = Object.fromEntries(constraints.rules.map((r) => [r.id, excessOf(r, x, volume)]));
    expect(excess.glass).toBeCloseTo(volume - 100, 9);
    expect(excess["character-0-share"]).toBeCloseTo(15 * volume - 100 * 20, 9);
    expect(excess["character-1-order"]).toBeCloseTo(20 - 45, 9);
    // The smallest pour is one step.
    expect(excess.poured).toBeCloseTo(2.5 - 85, 9);
    expect(constraints.rules.map((r) => r.subject.role)).toEqual(["glass", "share", "order", "poured"]);
  });
});

test("gradients are those of the true model, by differences", () => {
  let checked = 0;
  for (let seed = 0; seed < 40; seed += 1) {
    const request = randomRequest(seed, { lines: 4, additions: 1, stepMl: 5 });
    const { question, constraints } = constraintsFor({ ...request, maxFinishedMl: 120 });
    const rows = [...constraints.faces, ...constraints.rules];
    const x = question.variables.map((v) => v.fromMl + 3);
    const at = linearise(question.model, rows, x);
    expect(at.tangents.map(({ row }) => row)).toEqual(rows);
    for (const { row, value: told, gradient } of at.tangents) {
      const value = (y: number[]) => excessOf(row, y, question.model.finish(y).finishedVolumeMl);
      expect(told).toBeCloseTo(value(x), 9);
      x.forEach((_, i) => {
        const moved = (by: number) => value(x.map((ml, j) => (j === i ? ml + by : ml)));
        const slope = (moved(1e-4) - moved(-1e-4)) / 2e-4;
        expect(gradient[i]! - slope).toBeCloseTo(0, 4);
        checked += 1;
      });
    }
  }
  expect(checked).toBeGreaterThan(500);
});

describe("curved parts", () => {
  test("a tangent plane touches the ellipsoid where the ray leaves it, and holds all of it", () => {
    const target = compileTarget({
      kind: "ellipsoid",
      mean: [8, 0.8, 16],
      covariance: [
        [1, 0.03, 0.2],
        [0.03, 0.01, 0],
        [0.2, 0, 4],
      ],
      radius: 1.5,
    });
    const { constraints } = constraintsFor({ ...REQUEST, target: target.spec });
    const curve = constraints.curves[0]!;
    const random = seeded(3);
    for (let k = 0; k < 200; k += 1) {
      const p: Vec3 = [8 + 8 * (random() - 0.5), 0.8 + (random() - 0.5), 16 + 16 * (random() - 0.5)];
      expect(gaugeOf(curve, p) <= curve.radius).toBe(target.contains(p));
      const half = tangentPlane(curve, p, 0);
      expect(half === null).toBe(target.contains(p));
      if (!half) continue;
      const along = (q: Vec3) => half.normal.reduce((sum, n, i) => sum + n * q[i]!, 0);
      expect(along(p)).toBeGreaterThan(half.offset);
      expect(along(target.support(half.normal))).toBeCloseTo(half.offset, 9);
    }
  });

  test("the drift ball is measured in axis-scale steps", () => {
    const ball = compileTarget(driftBall([8, 0.8, 16], 2));
    expect(ball.contains([8 + 2 * AXIS_SCALE[0], 0.8, 16])).toBe(true);
    expect(ball.contains([8, 0.8 + 2.001 * AXIS_SCALE[1], 16])).toBe(false);
    const { point } = place(REQUEST.spec, PANTRY);
    const { constraints } = constraintsFor({ ...REQUEST, driftBudget: 0.5 });
    expect(constraints.curves[0]!.region).toBe(1);
    expect(gaugeOf(constraints.curves[0]!, toVec(point))).toBeCloseTo(0, 9);
  });
});
