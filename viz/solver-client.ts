import type { SolveTask, TaskInput, TaskName, TaskResult } from "../engine/tasks.ts";

/** A solve request without what cannot be sent: the worker has its own clock. */
export type Request = SolveTask;

/** One piece of work, as it goes to the worker. */
export interface Job {
  id: number;
  name: TaskName;
  input: TaskInput<TaskName>;
}

/** An answer, or the reason there is none. */
type Reply<T> = { result: T; milliseconds: number } | { problem: string };

/** Asks the worker. A new job stops the one still being worked on. */
export interface Solver {
  ask<N extends TaskName>(name: N, input: TaskInput<N>): Promise<Reply<TaskResult<N>> | null>;
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
    ask(name, input) {
      if (pending) {
        worker?.terminate();
        worker = null;
        pending.settle(null);
      }
      worker ??= start();
      lastId += 1;
      const id = lastId;
      worker.postMessage({ id, name, input } satisfies Job);
      return new Promise((settle) => {
        pending = { id, settle };
      });
    },
  };
}
