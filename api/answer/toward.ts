import type { z } from "zod";
import { toVec } from "../../engine/axes.ts";
import type { FlatTarget } from "../../engine/catalogue.ts";
import { type CompiledTarget, compileTarget } from "../../engine/targets/compile-target.ts";
import type { Point } from "../../engine/types.ts";
import type { Catalogue } from "../catalogue.ts";
import type { ReadSpec } from "../read/spec.ts";
import type { PlaceAnswerSchema } from "../schemas/place.ts";
import type { TargetInput } from "../schemas/target.ts";

type Toward = NonNullable<z.infer<typeof PlaceAnswerSchema>["toward"]>;

/** Regions of the catalogue are made once; so is what follows from them. */
const KEPT = new WeakMap<FlatTarget, CompiledTarget>();

function compiled(target: FlatTarget): CompiledTarget {
  let kept = KEPT.get(target);
  if (!kept) {
    kept = compileTarget(target);
    KEPT.set(target, kept);
  }
  return kept;
}

/** Whether a placed drink is inside a target, by how much, and which family it is closest to. */
export function toward(
  input: TargetInput,
  { spec, pantry }: Pick<ReadSpec, "spec" | "pantry">,
  point: Point,
  catalogue: Catalogue,
): Toward {
  const at = toVec(point);
  const target = catalogue.resolveTarget(input, "/target", spec, pantry);
  const families = catalogue.families(spec).map(({ id, name, target: region }) => {
    const { inside, signedDistance } = compiled(region).membership(at);
    return { id, name, inside, signedDistance };
  });
  const closest = families.reduce((best, next) => (next.signedDistance < best.signedDistance ? next : best));
  const misfit = "id" in input ? catalogue.misfit(spec, pantry, input.id) : null;
  return { target, membership: compiled(target).membership(at), closest, misfit };
}
