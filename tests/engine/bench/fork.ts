import type { Bench, Round, Spec } from "../../../engine/types.ts";

/** A round that grows from another: its spec and parent, the next free number, and nothing judged yet. */
export function fork(bench: Bench, from: Round, id: string, label: string, spec: Spec = from.spec): Round {
  const number = 1 + Math.max(0, ...bench.rounds.map((round) => round.number));
  return { id, number, parent: from.id, label, spec };
}
