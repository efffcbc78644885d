import type { Spec } from "../../engine/types.ts";
import type { Context } from "../panels/context.ts";
import { offers } from "../state/store.ts";
import { saveRound } from "./bench-edit.ts";

/** Make a changed spec the next round, as a child of the round in work, and say so. */
export function takeSpec({ store, announce }: Context, spec: Spec, name: string): void {
  const round = saveRound(store, spec, name);
  const text = `“${name}” is now round ${round.number}. Pour it, taste it, and note what you find.`;
  store.set({ answer: null, reply: null, focusedProposal: null, notice: { tone: "info", text } });
  announce(text);
  document.getElementById("proposals")?.focus({ preventScroll: true });
}

/** Take a proposal that is on offer, by its id. */
export function takeProposal(context: Context, id: string): void {
  const proposal = offers(context.store.get()).find((candidate) => candidate.id === id);
  if (proposal) takeSpec(context, proposal.spec, proposal.name);
}
