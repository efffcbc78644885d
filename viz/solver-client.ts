import type { Answer as QuestionAnswer } from "../engine/explore/answer.ts";
import type { Exploration } from "../engine/explore/explore.ts";
import type { Intent } from "../engine/explore/intent.ts";
import type { Route, SwapEffect } from "../engine/explore/routes.ts";
import type { SolveRequest } from "../engine/solve/request.ts";

/** A solve request without what cannot be sent: the worker has its own clock. */
export type Request = Omit<SolveRequest, "now" | "extraAccept" | "shrink">;

/** What the worker can be asked, and what comes back. */
interface Results {
  explore: Exploration;
  routes: Route[];
  swaps: SwapEffect[];
  question: QuestionAnswer;
}

/** One piece of work. */
export type Job =
  | { kind: "explore" | "routes"; request: Request }
  | { kind: "swaps"; ingredient: string; request: Request }
  | { kind: "question"; intent: Intent; request: Request };

/** An answer, or the reason there is none. */
type Reply<T> = { result: T; milliseconds: number } | { problem: string };

/** Asks the worker. A new job stops the one still being worked on. */
export interface Solver {
  ask<J extends Job>(job: J): Promise<Reply<Results[J["kind"]]> | null>;
}

/** Start a solver. `ask` resolves to null when a newer job took its place. */
export function createSolver(): Solver {
  let worker: Worker | null = null;
  let pending: { id: number; settle: (reply: Reply<never> | null) => void } | null = null;
  let lastId = 0;

  const start = () => {
    const fresh = new Worker(new URL("./solver.worker.ts", import.meta.url), { type: "module" });
    fresh.addEventListener("message", (event: MessageEvent<{ id: number } & Reply<never>>) => {
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
    ask(job) {
      if (pending) {
        worker?.terminate();
        worker = null;
        pending.settle(null);
      }
      worker ??= start();
      lastId += 1;
      const id = lastId;
      worker.postMessage({ id, job });
      return new Promise((settle) => {
        pending = { id, settle };
      });
    },
  };
}
