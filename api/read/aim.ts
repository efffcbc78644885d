import type { FlatTarget } from "../../engine/catalogue.ts";
import type { SolveTask } from "../../engine/tasks.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import { type Catalogue, LIKELIEST } from "../catalogue.ts";
import type { ApiContext } from "../context.ts";
import type { TargetInput } from "../schemas/target.ts";
import { type ReadSolve, readSolve, type SolveInput } from "./solve.ts";

/** The target asked for; without one, the range of the family the drink is most like, and the frame says which. */
export function aim<Frame extends { spec: Spec; assumptions: string[] }>(
  input: TargetInput | undefined,
  frame: Frame,
  pantry: Pantry,
  catalogue: Catalogue,
): { target: FlatTarget; frame: Frame } {
  const target = catalogue.resolveTarget(input ?? { id: LIKELIEST }, "/target", frame.spec, pantry);
  if (input) return { target, frame };
  const said = `no target given: ${target.name}, which this is most like${isAlcoholFree(frame.spec, pantry) ? ", though its drinks have alcohol and this has none: compare sugar and acid alone" : ""}`;
  return { target, frame: { ...frame, assumptions: [...frame.assumptions, said] } };
}

/** "Alcohol-free" as labels use it: no part above 0.5 % vol. */
const ALCOHOL_FREE_PERCENT = 0.5;

function isAlcoholFree({ lines }: Spec, pantry: Pantry): boolean {
  return lines.every(
    ({ ingredient }) => (pantry.get(ingredient)?.abvPercent.value ?? 0) <= ALCOHOL_FREE_PERCENT,
  );
}

/** A request as the solver takes it, its target among it, and what the answer says about it. */
export function readAimed(
  body: SolveInput & { target?: TargetInput },
  context: ApiContext,
): Omit<ReadSolve, "task"> & { task: SolveTask; target: FlatTarget } {
  const { task, pantry, ...read } = readSolve(body, context);
  const { target, frame } = aim(body.target, read.frame, pantry, context.catalogue);
  return { task: { ...task, target }, target, frame, pantry };
}
