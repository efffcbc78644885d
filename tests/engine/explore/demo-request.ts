import { expect } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { createCatalogue } from "../../../engine/catalogue.ts";
import type { SolveRequest } from "../../../engine/solve/request.ts";
import type { Spec, TargetSpec, Vec3 } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();

/** The shipped pantry. */
export const pantry = new Map(data.pantry.map((i) => [i.id, i]));

/** The sour family as a target, as the page and the API build it. */
export const sour: TargetSpec = createCatalogue(data).view().region("family:sour").target;

/** Round `number` of the invented demo bench. */
export function demoRound(number: number): Spec {
  return data.demo.rounds.find((round) => round.number === number)!.spec;
}

/** A solver request on a spec of the demo, US jigger, sour target unless said otherwise. */
export function demoRequest(spec: Spec, extra: Partial<SolveRequest> = {}): SolveRequest {
  return { spec, pantry, target: sour, ladder: LADDERS["us-jigger"], ...extra };
}

/** Two points agree on every axis to `digits` decimals. */
export function expectSamePoint(actual: Vec3, expected: Vec3, digits: number, message?: string): void {
  for (const i of [0, 1, 2] as const) expect(actual[i], message).toBeCloseTo(expected[i], digits);
}
