import { Worker } from "node:worker_threads";
import { EngineError, type FieldIssue } from "../../engine/errors.ts";
import type { TaskName } from "../../engine/tasks.ts";
import { ProblemError } from "../problems/problem.ts";
import { PROBLEMS } from "../problems/registry.ts";

/** What a thread is asked. */
export interface Ask {
  name: TaskName;
  message: unknown;
  /** A thread that works on long tasks steps back behind the others. */
  isLong: boolean;
}

/** What a thread answers; errors cross as plain data. */
export type Reply =
  | { value: unknown; ms: number }
  | { issues: readonly FieldIssue[] }
  | { fault: { message: string; stack?: string | undefined } };

/** What a thread starts with: a number it looks at whenever it looks at the clock; 1 says that time is up. */
export interface ThreadData {
  timeUp: Int32Array;
}

const overrun = () => new ProblemError("overrun", PROBLEMS.overrun.meaning);

/** One solver thread: one task at a time. */
export class SolverThread {
  readonly #worker: Worker;
  readonly #timeUp = new Int32Array(new SharedArrayBuffer(4));
  readonly #onGone: () => void;
  #settle: ((reply: Reply | Error) => void) | null = null;
  #isGone = false;

  /** @param onGone called once, as soon as the thread takes no more, before what it was at is answered */
  constructor({ entry, maxHeapMb }: { entry: URL; maxHeapMb: number }, onGone: () => void) {
    this.#onGone = onGone;
    this.#worker = new Worker(entry, {
      workerData: { timeUp: this.#timeUp } satisfies ThreadData,
      resourceLimits: { maxOldGenerationSizeMb: maxHeapMb },
    });
    this.#worker.unref();
    this.#worker.on("message", (reply: Reply) => this.#settle?.(reply));
    this.#worker.on("error", (error: NodeJS.ErrnoException) => {
      this.#fail(error.code === "ERR_WORKER_OUT_OF_MEMORY" ? overrun() : error);
    });
    this.#worker.once("exit", (code) => this.#fail(new Error(`a solver thread ended with code ${code}`)));
  }

  #fail(error: Error): void {
    if (!this.#isGone) this.#onGone();
    this.#isGone = true;
    this.#settle?.(error);
  }

  /** The answer to one task, and how long it took; the thread must not be at another. */
  ask(ask: Ask): Promise<{ value: unknown; ms: number }> {
    Atomics.store(this.#timeUp, 0, 0);
    return new Promise((resolve, reject) => {
      this.#settle = (reply) => {
        this.#settle = null;
        if (reply instanceof Error) reject(reply);
        else if ("value" in reply) resolve(reply);
        else if ("issues" in reply) reject(new EngineError(reply.issues));
        else reject(Object.assign(new Error(reply.fault.message), { stack: reply.fault.stack }));
      };
      this.#worker.postMessage(ask);
    });
  }

  /** Tell it that its time is up: it then answers with the best it has. */
  hurry(): void {
    Atomics.store(this.#timeUp, 0, 1);
  }

  /** End it, whatever it is at; a task in hand is answered with an overrun. */
  async end(): Promise<void> {
    this.#fail(overrun());
    await this.#worker.terminate();
  }
}
