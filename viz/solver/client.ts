import type { SolveTask, TaskInput, TaskName, TaskResult } from "../../engine/tasks.ts";

/** A solve request without what cannot be sent: the worker has its own clock. */
export type Request = SolveTask;

/** One piece of work, as it goes to the worker. */
export interface Job {
  id: number;
  name: TaskName;
  input: TaskInput<TaskName>;
  /** The pantry its request goes with; null for the one sent before. */
  pantry?: SolveTask["pantry"] | null;
  /** Shared memory holding the id of a job to be cut short; null where the browser gives none. */
  stop: SharedArrayBuffer | null;
}

/** An answer, or the reason there is none. */
export type Reply<T> = { result: T; milliseconds: number } | { problem: string };

/** What comes back from the worker. */
type Message = { id: number } & (Reply<never> | { elapsedMs: number });

/** Asks one worker, one job at a time. */
export interface Solver {
  /** Ask at once: a job still being worked on is given up, and its `ask` gives null. */
  ask<N extends TaskName>(
    name: N,
    input: TaskInput<N>,
    onProgress?: (elapsedMs: number) => void,
  ): Promise<Reply<TaskResult<N>> | null>;
  /**
   * Ask when the worker is free: of several asked meanwhile only the last is worked on, the others give null.
   * For answers that follow a drag.
   */
  follow<N extends TaskName>(name: N, input: TaskInput<N>): Promise<Reply<TaskResult<N>> | null>;
  /** End the present job soon: with the best found so far, or with null where the browser cannot tell the worker. */
  stop(): void;
  /** Load the worker ahead of the first question, so that it is there offline. */
  warm(): void;
  /** Whether the worker has been loaded. */
  isWarm(): boolean;
}

interface Pending {
  id: number;
  settle: (reply: Reply<never> | null) => void;
  onProgress?: ((elapsedMs: number) => void) | undefined;
}

/** Start a solver; its worker is loaded at the first question, or by `warm`. */
export function createSolver(): Solver {
  let worker: Worker | null = null;
  let pending: Pending | null = null;
  let waiting: { start: () => void; drop: () => void } | null = null;
  let lastId = 0;
  /** The pantry the worker has. */
  let sent: Request["pantry"] | null = null;
  const stop = globalThis.crossOriginIsolated ? new SharedArrayBuffer(4) : null;
  const flag = stop && new Int32Array(stop);

  const settle = (reply: Reply<never> | null) => {
    const done = pending;
    pending = null;
    done?.settle(reply);
    const next = waiting;
    waiting = null;
    next?.start();
  };
  const start = () => {
    sent = null;
    const fresh = new Worker(new URL("./worker.ts", import.meta.url), { type: "module" });
    fresh.addEventListener("message", ({ data }: MessageEvent<Message>) => {
      if (data.id !== pending?.id) return;
      if ("elapsedMs" in data) pending.onProgress?.(data.elapsedMs);
      else settle(data);
    });
    fresh.addEventListener("error", (event) => {
      if (worker === fresh) worker = null;
      settle({ problem: `The solver stopped: ${event.message || "it could not be loaded"}.` });
    });
    return fresh;
  };
  const giveUp = () => {
    worker?.terminate();
    worker = null;
    waiting?.drop();
    waiting = null;
    settle(null);
  };
  const send = <N extends TaskName>(
    name: N,
    input: TaskInput<N>,
    onProgress?: (elapsedMs: number) => void,
  ) => {
    worker ??= start();
    lastId += 1;
    const id = lastId;
    const { request } = input as { request?: Request };
    const job: Job = { id, name, input, stop };
    if (request?.pantry) {
      // Copying a whole pantry is most of what a job costs this thread, and in a drag it is the same each time.
      const { pantry, ...rest } = request;
      job.input = { ...input, request: rest } as TaskInput<N>;
      job.pantry = pantry === sent ? null : pantry;
      sent = pantry;
    }
    worker.postMessage(job);
    return new Promise<Reply<never> | null>((resolve) => {
      pending = { id, settle: resolve, onProgress };
    });
  };

  return {
    ask(name, input, onProgress) {
      if (pending) giveUp();
      return send(name, input, onProgress);
    },
    follow(name, input) {
      if (!pending) return send(name, input);
      waiting?.drop();
      return new Promise((resolve) => {
        waiting = { start: () => send(name, input).then(resolve), drop: () => resolve(null) };
      });
    },
    stop() {
      if (!pending) return;
      if (flag) Atomics.store(flag, 0, pending.id);
      else giveUp();
    },
    warm() {
      worker ??= start();
    },
    isWarm: () => worker !== null,
  };
}
