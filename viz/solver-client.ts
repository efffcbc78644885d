import type { SolveRequest, SolveResult } from "../engine/solve/request.ts";
import type { Ingredient } from "../engine/types.ts";

/** A solve request without what the worker has itself: the pantry and the clock. */
export type Ask = Omit<SolveRequest, "pantry" | "now" | "extraAccept" | "shrink">;

/** An answer, or the reason there is none. */
export type Reply = { result: SolveResult; milliseconds: number } | { problem: string };

/** Asks the worker. A new question stops the one still being worked on. */
export interface Solver {
  ask(ask: Ask): Promise<Reply | null>;
}

/** Start a solver for this pantry. `ask` resolves to null when a newer question took its place. */
export function createSolver(pantry: readonly Ingredient[]): Solver {
  let worker: Worker | null = null;
  let pending: { id: number; settle: (reply: Reply | null) => void } | null = null;
  let lastId = 0;

  const start = () => {
    const fresh = new Worker(new URL("./solver.worker.ts", import.meta.url), { type: "module" });
    fresh.postMessage({ pantry });
    fresh.addEventListener("message", (event: MessageEvent<{ id: number } & Reply>) => {
      if (event.data.id !== pending?.id) return;
      const { settle } = pending;
      pending = null;
      settle(event.data);
    });
    fresh.addEventListener("error", (event) => {
      pending?.settle({ problem: `The solver stopped: ${event.message || "it could not be loaded"}.` });
      pending = null;
      worker = null;
    });
    return fresh;
  };

  return {
    ask(ask) {
      if (pending) {
        worker?.terminate();
        worker = null;
        pending.settle(null);
      }
      worker ??= start();
      lastId += 1;
      const id = lastId;
      worker.postMessage({ id, ask });
      return new Promise((settle) => {
        pending = { id, settle };
      });
    },
  };
}
