import { constants, setPriority } from "node:os";
import { parentPort, workerData } from "node:worker_threads";
import { EngineError } from "../../engine/errors.ts";
import { runTask } from "../../engine/tasks.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import type { Ask, Reply, ThreadData } from "./thread.ts";
import { fromWire, type Wire } from "./wire.ts";

const { timeUp } = workerData as ThreadData;
const pantry = new Map(loadReferenceData().pantry.map((item) => [item.id, item]));

/** Past any budget, ms. */
const LEAP_MS = 1e9;
let leaps = 0;

/**
 * The clock. Once the pool has said that time is up it leaps at every look, so that a search that begins
 * after that finds itself out of time as well.
 */
const now = () => {
  leaps += Atomics.load(timeUp, 0);
  return performance.now() + leaps * LEAP_MS;
};

/**
 * Requests that need no solver come first, then short solves, then long ones. On Linux this sets the calling
 * thread alone; elsewhere it would slow the whole server.
 */
const stepBack = (to: number) => {
  if (process.platform === "linux") setPriority(0, to);
};

function answer({ name, message }: Ask): Reply {
  const started = performance.now();
  try {
    const value = runTask(name, fromWire(message as Wire, pantry), now);
    return { value, ms: performance.now() - started };
  } catch (error) {
    if (error instanceof EngineError) return { issues: error.issues };
    const { message, stack } = error instanceof Error ? error : new Error(String(error));
    return { fault: { message, stack } };
  }
}

const { PRIORITY_BELOW_NORMAL } = constants.priority;
stepBack(PRIORITY_BELOW_NORMAL / 2);
let isBack = false;

/** A solver thread: one task at a time. */
parentPort?.on("message", (ask: Ask) => {
  if (ask.isLong && !isBack) {
    // Coming forward again needs rights that a server should not have.
    isBack = true;
    stepBack(PRIORITY_BELOW_NORMAL);
  }
  parentPort?.postMessage(answer(ask));
});
