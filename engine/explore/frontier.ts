import { TRADE_OFFS } from "../solve/trade-offs.ts";
import type { Move, Proposal } from "../types.ts";

/**
 * The non-dominated proposals: nothing kept is beaten on every trade-off at once. Proposals that are
 * duplicates in spirit (same ingredients moved the same way, and no trade-off where the second is
 * better by more than a step a person would notice) are reduced to the first. Each kept proposal says
 * what it is best at. Input order is the tie-break, so the same input gives the same answer. O(n²).
 */
export function frontier(proposals: readonly Proposal[]): Proposal[] {
  let alive = proposals.filter((p) => !proposals.some((other) => dominates(other, p, 0)));
  // Being better by more than a grain is not transitive, so only what is still alive may beat.
  for (const candidate of [...alive]) {
    if (alive.some((other) => other !== candidate && dominates(other, candidate, 1))) {
      alive = alive.filter((p) => p !== candidate);
    }
  }
  const kept: Proposal[] = [];
  for (const candidate of alive) {
    if (!kept.some((other) => spirit(other) === spirit(candidate) && !offersMore(candidate, other))) {
      kept.push(candidate);
    }
  }
  return kept.map((p) => ({ ...p, bestAt: bestAt(p, kept) }));
}

/** No worse on any trade-off and better on one, by more than `grains` of it. */
function dominates(a: Proposal, b: Proposal, grains: 0 | 1): boolean {
  let better = false;
  for (const { of, grain } of TRADE_OFFS) {
    const x = of(a);
    const y = of(b);
    if (x === null || y === null) continue;
    if (x > y + grains * grain) return false;
    if (x < y - grains * grain) better = true;
  }
  return better;
}

/** What a proposal moves, each move as `of` tells it, in an order of its own. */
export const movesKey = ({ moves }: Proposal, of: (move: Move) => string) => moves.map(of).sort().join("|");

const spirit = (p: Proposal) => movesKey(p, (m) => `${m.kind}:${m.ingredient}:${Math.sign(m.deltaMl)}`);

/** A second proposal of the same spirit earns its place only by a real step to the middle or in chance. */
function offersMore(candidate: Proposal, than: Proposal): boolean {
  const surer = (candidate.probabilityInside ?? 0) - (than.probabilityInside ?? 0) > 0.15;
  return surer || than.centreDistance - candidate.centreDistance > 0.35;
}

function bestAt(p: Proposal, kept: readonly Proposal[]): string[] {
  if (kept.length < 2) return [];
  return TRADE_OFFS.filter(({ of, grain }) => {
    const mine = of(p);
    if (mine === null) return false;
    const others = kept.filter((q) => q !== p).map(of);
    // Best at something means better than at least one other, and no worse than any.
    return (
      others.every((y) => y === null || mine <= y + grain) &&
      others.some((y) => y !== null && mine < y - grain)
    );
  }).map((tradeOff) => tradeOff.bestAt);
}
