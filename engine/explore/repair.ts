import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { byLeastChange } from "../solve/trade-offs.ts";
import type { Proposal } from "../types.ts";
import { lowerFirst } from "../wording.ts";
import { suggestedAdditions } from "./additions.ts";
import { checkRequest, shareTime } from "./asking.ts";
import { solveWithChance } from "./chance.ts";
import { idsOf, type Keep, keeping } from "./keeps.ts";
import { type Limit, limitsOf, withLimits } from "./limits.ts";

/** One way out of an infeasible request: lift one limit or let one ingredient in. */
export interface Repair {
  kind: "lift" | "add";
  /** Limit id or pantry id. */
  id: string;
  /** What is lifted or let in: "Lift the lock on Lime juice". */
  title: string;
  /** The same, with the moves that it makes enough. */
  text: string;
  proposal: Proposal;
}

/** Why a request cannot be met, and the single changes that would let it be. */
export interface RepairReport {
  /**
   * An irreducible set of limits that cannot hold together: lift any one of them and the rest can be
   * met. One such set; there may be others.
   */
  conflict: Limit[];
  /** Least change first. Empty when no single change is enough. */
  repairs: Repair[];
  text: string;
}

/**
 * Explain an infeasible request, with the habits it was solved within.
 *
 * The conflict is found by the deletion filter: drop limits one by one and keep dropped whatever leaves
 * the rest still infeasible (Chinneck & Dravnieks 1991, ORSA J. Computing 3:157, from memory). Cost: one
 * solve a limit, plus one a candidate repair; `timeBudgetMs` is for all of them. A solve that runs out of
 * time counts as feasible, so a conflict can hold more limits than it must, never too few.
 */
export function repair(request: SolveRequest, keeps: readonly Keep[] = []): RepairReport {
  checkRequest(request);
  const all = limitsOf(request, keeps);
  const offered = new Set(request.additions);
  const suggested = suggestedAdditions(request.spec, request.pantry).filter((id) => !offered.has(id));
  const liftable = all.filter((limit) => limit.kind !== "target");
  const time = shareTime(request, all.length + liftable.length + suggested.length);
  /** Within the habits that are kept and not lifted. */
  const solved = (r: SolveRequest | null): SolveResult | null => {
    if (r === null || time.isSpent()) return null;
    const kept = idsOf(keeps, "kept").filter((id) => !r.release?.includes(id));
    const limited = keeps.length > 0 ? keeping(r, new Set(kept)) : r;
    return solveWithChance(time.of({ ...limited, count: 1 }));
  };

  const ids = all.map((limit) => limit.id);
  const kept = new Set(ids);
  for (const id of ids) {
    kept.delete(id);
    if (solved(withLimits(request, kept, keeps))?.status !== "infeasible") kept.add(id);
  }
  const conflict = all.filter((limit) => kept.has(limit.id));

  const repairs: Repair[] = [];
  const tryOut = (kind: Repair["kind"], id: string, title: string, asked: SolveRequest | null) => {
    const proposal = solved(asked)?.proposals[0];
    if (!proposal) return;
    repairs.push({ kind, id, title, text: `${title}: then ${lowerFirst(movesText(proposal))}`, proposal });
  };
  for (const { id, kind, text } of liftable) {
    const title = kind === "keep" ? `Let go of “${text}”` : `Lift ${text}`;
    tryOut("lift", id, title, withLimits(request, new Set(ids.filter((other) => other !== id)), keeps));
  }
  for (const id of suggested) {
    const name = request.pantry.get(id)?.name ?? id;
    tryOut("add", id, `Let in ${name}`, { ...request, additions: [...offered, id] });
  }
  repairs.sort((a, b) => byLeastChange(a.proposal, b.proposal));
  return { conflict, repairs, text: tell(conflict, repairs) };
}

const movesText = (p: Proposal) => p.moves.map((move) => move.text).join(", ");

function tell(conflict: Limit[], repairs: Repair[]): string {
  const list = conflict.map((limit) => limit.text);
  const fight =
    list.length === 0
      ? "No single set of limits could be shown to be at fault"
      : list.length === 1
        ? `With these ingredients alone this cannot be met: ${list[0]}`
        : `These cannot hold together: ${list.slice(0, -1).join("; ")} and ${list.at(-1)}`;
  return repairs.length > 0
    ? `${fight}. Lifting or adding one thing is enough.`
    : `${fight}. No single limit lifted or ingredient added is enough.`;
}
