import { under } from "../errors.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import { compileTarget } from "../targets/compile-target.ts";

/**
 * Throw for a spec or a target that cannot be read, naming fields from the request's root as the solver
 * does. For answers that look at either before they solve; the rest of a request is the solver's to check.
 */
export function checkRequest({ spec, target, pantry, unitSettings }: SolveRequest): void {
  under("/spec", () => prepareSpec(spec, pantry, { unitSettings }));
  compileTarget(target, "/target");
}
