import type { TaskInput, TaskName, TaskResult } from "../../engine/tasks.ts";

/** Whoever waits for a computation. */
export interface Asker {
  /** Aborted when they leave. */
  readonly signal?: AbortSignal;
  /** What was asked, as it was sent: two askers with the same question get one computation. */
  question?: string;
  /** How long it waited for a solver, and how long the solver worked; set with the answer. */
  queuedMs?: number;
  workedMs?: number;
}

/** Nobody waits for the answer any more. */
export class AskerLeft extends Error {}

/** What a pool has in hand. */
export interface ComputeStats {
  queued: { short: number; long: number };
  running: { short: number; long: number };
  threads: number;
}

/** Where the long computations run: in this thread (tests, tools) or on a pool (the server). */
export interface Compute {
  /**
   * @throws EngineError for input the engine refuses, ProblemError when the pool cannot take it or had to stop it
   */
  run<N extends TaskName>(name: N, input: TaskInput<N>, asker?: Asker): Promise<TaskResult<N>>;
  /** Start a thread of each kind before it is needed. */
  warm?(): void;
  stats?(): ComputeStats;
  /** End the threads. What runs is lost. */
  close?(): Promise<void>;
}

/** Runs in the calling thread. A server with a pool never loads the solver into its main thread. */
export function inThread(): Compute {
  return {
    run: async (name, input) => {
      const { runTask } = await import("../../engine/tasks.ts");
      return runTask(name, input, () => performance.now());
    },
  };
}
