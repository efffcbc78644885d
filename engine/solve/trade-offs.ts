import type { Proposal } from "../types.ts";

/** A trade-off between proposals: smaller is better; null means it does not apply to this request. */
interface TradeOff {
  /** What a proposal is called that does best at it. */
  bestAt: string;
  of: (p: Proposal) => number | null;
  /** Differences below this are not worth a choice. */
  grain: number;
}

/** What proposals are compared on, in the order that their labels are read. */
export const TRADE_OFFS: readonly TradeOff[] = [
  { bestAt: "fewest touched", of: (p) => p.touched, grain: 0.5 },
  { bestAt: "least volume", of: (p) => p.volumeChangedMl, grain: 0.05 },
  { bestAt: "closest to the middle", of: (p) => p.centreDistance, grain: 0.02 },
  {
    bestAt: "surest",
    of: (p) => (p.probabilityInside === null ? null : 1 - p.probabilityInside),
    grain: 0.01,
  },
  { bestAt: "least drift", of: (p) => p.driftFromFirst, grain: 0.02 },
  { bestAt: "cheapest", of: (p) => p.costChange, grain: 0.005 },
];

/** Order by least change: fewest ingredients touched, then least volume changed. */
export function byLeastChange(a: Proposal, b: Proposal): number {
  return a.touched - b.touched || a.volumeChangedMl - b.volumeChangedMl;
}
