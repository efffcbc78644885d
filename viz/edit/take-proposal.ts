import type { Context } from "../panels/context.ts";
import { saveRound } from "./bench-edit.ts";

/** Make a proposal the next round, as a child of the round in work, and say so. */
export function takeProposal({ store, announce }: Context, id: string): void {
  const { answer } = store.get();
  const proposal = answer?.result.proposals.find((candidate) => candidate.id === id);
  if (!proposal) return;
  const round = saveRound(store, proposal.spec, proposal.name);
  const text = `“${proposal.name}” is now round ${round.number}. Pour it, taste it, and note what you find.`;
  store.set({ answer: null, focusedProposal: null, notice: { tone: "info", text } });
  announce(text);
  document.getElementById("proposals")?.focus({ preventScroll: true });
}
