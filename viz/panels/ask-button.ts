import { button, setText } from "../dom.ts";
import { askNow } from "../edit/ask-now.ts";
import type { Solver } from "../solver-client.ts";
import type { Derived } from "../state/derived.ts";
import type { State } from "../state/store.ts";
import type { Context } from "./context.ts";

/** The page's main button; it stands beside the verdict and above the conditions, and does the same in both places. */
export function createAskButton(
  context: Context,
  solver: Solver,
  id: string,
): { element: HTMLButtonElement; update(state: State, derived: Derived): void } {
  const element = button("Bring it into range", () => askNow(context, solver), {
    class: "primary big ask-go",
    id,
  });
  return {
    element,
    update(state, derived) {
      const busy = state.asking === "explore";
      element.disabled = derived.target === null || derived.placement === null;
      element.setAttribute("aria-busy", String(busy));
      setText(element, busy ? "Working it out…" : "Bring it into range");
    },
  };
}
