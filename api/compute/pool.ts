import { Worker } from "node:worker_threads";
import { EngineError, type FieldIssue } from "../../engine/errors.ts";
import { PROBLEMS, ProblemError } from "../problems.ts";
import type { Compute, TaskName, Tasks } from "./tasks.ts";

/** What a worker answers; errors cross threads as plain data. */
export type Reply =
  | { value: unknown }
  | { issues: readonly FieldIssue[] }
  | { fault: { message: string; stack?: string | undefined } };

interface Job {
  name: TaskName;
  input: { timeBudgetMs?: number | undefined };
  resolve(value: unknown): void;
  reject(reason: unknown): void;
}

/** Past a task's own budget, before its thread is stopped: the engine looks at the clock only between nodes. */
const GRACE_MS = 2000;

/**
 * Solves on threads of their own, so that a long one never stalls other requests. Jobs wait in turn;
 * past `queueLimit` the answer is 503. A thread that overruns is stopped and replaced.
 */
export function createPool(
  entry: URL,
  size: number,
  queueLimit = size * 4,
): Compute & { close(): Promise<void> } {
  const queue: Job[] = [];
  const idle: Worker[] = [];
  const all = new Set<Worker>();
  let closed = false;

  function spawn(): void {
    const worker = new Worker(entry);
    worker.unref();
    all.add(worker);
    idle.push(worker);
  }

  function retire(worker: Worker): void {
    all.delete(worker);
    const i = idle.indexOf(worker);
    if (i >= 0) idle.splice(i, 1);
    if (!closed) spawn();
  }

  function next(): void {
    if (idle.length === 0 || queue.length === 0) return;
    run(idle.pop()!, queue.shift()!);
  }

  function run(worker: Worker, job: Job): void {
    const overrun = setTimeout(
      () => {
        settle(() => job.reject(new ProblemError("overrun", PROBLEMS.overrun.meaning)), false);
        void worker.terminate();
      },
      (job.input.timeBudgetMs ?? 0) + GRACE_MS,
    );
    const settle = (finish: () => void, reusable: boolean): void => {
      clearTimeout(overrun);
      worker.off("message", onReply);
      worker.off("error", onFault);
      worker.off("exit", onExit);
      if (reusable) idle.push(worker);
      else retire(worker);
      finish();
      next();
    };
    const onReply = (reply: Reply): void =>
      settle(() => {
        if ("value" in reply) job.resolve(reply.value);
        else if ("issues" in reply) job.reject(new EngineError(reply.issues));
        else job.reject(Object.assign(new Error(reply.fault.message), { stack: reply.fault.stack }));
      }, true);
    const onFault = (error: Error): void => settle(() => job.reject(error), false);
    const onExit = (): void => onFault(new Error("a solver thread ended without an answer"));
    worker.once("message", onReply);
    worker.once("error", onFault);
    worker.once("exit", onExit);
    worker.postMessage({ name: job.name, input: job.input });
  }

  function submit<N extends TaskName>(
    name: N,
    input: Parameters<Tasks[N]>[0],
  ): Promise<ReturnType<Tasks[N]>> {
    if (closed || queue.length >= queueLimit) {
      return Promise.reject(new ProblemError("busy", PROBLEMS.busy.meaning, [], { "Retry-After": "2" }));
    }
    return new Promise((resolve, reject) => {
      queue.push({ name, input, resolve: resolve as (value: unknown) => void, reject });
      next();
    });
  }

  for (let i = 0; i < size; i++) spawn();
  return {
    run: submit,
    close: async () => {
      closed = true;
      await Promise.all([...all].map((worker) => worker.terminate()));
    },
  };
}
