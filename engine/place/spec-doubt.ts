import { addScaledMat3, mat3 } from "../linalg.ts";
import type { DoubtShare, Mat3, Pantry, Spec, UnitId } from "../types.ts";
import { doubtedPoint } from "./doubted-point.ts";

/** Units whose size no recipe says. */
const OPEN_UNITS: readonly UnitId[] = ["barspoon", "dash", "drop", "piece"];

/**
 * Covariance of a drink's point from what its spec itself leaves open: which syrup "sugar syrup" is, how much a
 * bar spoon or half a lime holds. The doubts of bottles and fruit are left out: they move every drink made with
 * them alike. Undefined when the spec says all. Axis units.
 */
export function specDoubt(spec: Spec, pantry: Pantry): Mat3 | undefined {
  const isUnstated = (id: string | undefined) => id !== undefined && pantry.get(id)?.unstated === true;
  const isOpen = spec.lines.some((l) => OPEN_UNITS.includes(l.unit) || isUnstated(l.ingredient));
  if (!isOpen) return undefined;
  const open = (d: DoubtShare) => d.kind === "unit" || d.kind === "piece" || isUnstated(d.ingredient);
  const none = mat3(() => 0);
  return doubtedPoint(spec, pantry)
    .doubts.filter(open)
    .reduce((sum, d) => addScaledMat3(sum, 1, d.covariance ?? none), none);
}
