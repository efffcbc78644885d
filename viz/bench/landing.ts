import { toVec } from "../../engine/axes.ts";
import { probabilityInside } from "../../engine/doubt/probability-inside.ts";
import type { Placement, Proposal } from "../../engine/types.ts";
import type { Store } from "../state/store.ts";
import type { ChosenTarget } from "../state/target.ts";
import { type Verdict, verdictOf } from "../words/verdict.ts";

/** Where a proposal lands, judged by the range that is chosen, whatever question found it. */
export interface Landing {
  placement: Placement;
  verdict: Verdict | null;
  /** Chance that the real drink is in the range that is chosen, 0–1. */
  chance: number | null;
}

const known = new WeakMap<Placement, { target: ChosenTarget | null; landing: Landing }>();

/** The landing of a proposal; null when its spec cannot be placed. */
export function landingOf(store: Store, proposal: Proposal): Landing | null {
  const placement = store.placeSpec(proposal.spec).value;
  const target = store.target.value;
  if (!placement) return null;
  const before = known.get(placement);
  if (before?.target === target) return before.landing;
  const point = toVec(placement.point);
  const landing: Landing = {
    placement,
    verdict: target && verdictOf(target.compiled, point, target.label),
    chance: target ? probabilityInside(target.compiled, point, placement.covariance) : null,
  };
  known.set(placement, { target, landing });
  return landing;
}
