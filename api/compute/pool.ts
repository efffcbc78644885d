import { Worker } from "node:worker_threads";
import { EngineError, type FieldIssue } from "../../engine/errors.ts";
import type { TaskName } from "../../engine/tasks.ts";
import { ProblemError } from "../problems/problem.ts";
import { PROBLEMS } from "../problems/registry.ts";
import type { Compute } from "./compute.ts";

/** What a worker answers; errors cross threads as plain data. */
export type Reply =
  | { value: unknown }
  | { issues: readonly FieldIssue[] }
  | { fault: { message: string; stack?: string | undefined } };

interface Job {
  name: TaskName;
  input: object;
  resolve(value: unknown): void;
  reject(reason: unknown): void;
}

/** A solve that found nothing in its budget may look for half as long again. */
const BUDGET_SHARE = 1.5;
/** On top, before its thread is stopped: the engine looks at the clock only between nodes. */
const GRACE_MS = 2000;

/** A solve of the largest size let in was measured at 60 MB. */
const MAX_HEAP_MB = 512;

/** For work that has no budget of its own: the longest trail the schema lets in takes about a second. */
const DEFAULT_BUDGET_MS = 5000;

function budgetOf(input: object): number {
  return "timeBudgetMs" in input && typeof input.timeBudgetMs === "number"
    ? input.timeBudgetMs
    : DEFAULT_BUDGET_MS;
}

/**
 * Solves on threads of their own, so that a long one never stalls other requests. Threads start when
 * first needed. Jobs wait in turn; past `queueLimit` the answer is 503. A thread that overruns its task
 * is stopped, and the next job starts a fresh one.
 */
export function createPool(entry: URL, size: number, queueLimit = size * 4): Compute {
  const queue: Job[] = [];
  const idle: Worker[] = [];
  let alive = 0;

  function takeWorker(): Worker | undefined {
    const waiting = idle.pop();
    if (waiting || alive >= size) return waiting;
    alive++;
    const worker = new Worker(entry, { resourceLimits: { maxOldGenerationSizeMb: MAX_HEAP_MB } });
    worker.unref();
    // Whatever ends a thread, while at work or idle, it is out of the pool.
    worker.once("exit", () => {
      alive--;
      const i = idle.indexOf(worker);
      if (i >= 0) idle.splice(i, 1);
      next();
    });
    return worker;
  }

  function next(): void {
    if (queue.length === 0) return;
    const worker = takeWorker();
    if (worker) run(worker, queue.shift()!);
  }

  function run(worker: Worker, job: Job): void {
    const overrun = setTimeout(
      () => {
        release();
        job.reject(new ProblemError("overrun", PROBLEMS.overrun.meaning));
        void worker.terminate();
      },
      BUDGET_SHARE * budgetOf(job.input) + GRACE_MS,
    );
    const onReply = (reply: Reply): void => {
      release();
      idle.push(worker);
      if ("value" in reply) job.resolve(reply.value);
      else if ("issues" in reply) job.reject(new EngineError(reply.issues));
      else job.reject(Object.assign(new Error(reply.fault.message), { stack: reply.fault.stack }));
      next();
    };
    // A thread that fails ends by itself: its exit is handled above.
    const onFault = (error: NodeJS.ErrnoException): void => {
      release();
      const isSpent = error.code === "ERR_WORKER_OUT_OF_MEMORY";
      job.reject(isSpent ? new ProblemError("overrun", PROBLEMS.overrun.meaning) : error);
    };
    const onExit = (code: number): void => onFault(new Error(`a solver thread ended with code ${code}`));
    const release = (): void => {
      clearTimeout(overrun);
      worker.off("message", onReply).off("error", onFault).off("exit", onExit);
    };
    worker.on("message", onReply).on("error", onFault).on("exit", onExit);
    worker.postMessage({ name: job.name, input: job.input });
  }

  return {
    run: (name, input) => {
      if (queue.length >= queueLimit) {
        return Promise.reject(
          new ProblemError("busy", PROBLEMS.busy.meaning, { headers: { "Retry-After": "2" } }),
        );
      }
      return new Promise((resolve, reject) => {
        queue.push({ name, input, resolve: resolve as (value: unknown) => void, reject });
        next();
      });
    },
  };
}
