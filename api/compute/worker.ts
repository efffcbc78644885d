import { parentPort } from "node:worker_threads";
import { EngineError } from "../../engine/errors.ts";
import type { Reply } from "./pool.ts";
import { type TaskName, tasks } from "./tasks.ts";

function answer(name: TaskName, input: never): Reply {
  try {
    return { value: tasks[name](input) };
  } catch (error) {
    if (error instanceof EngineError) return { issues: error.issues };
    const { message, stack } = error instanceof Error ? error : new Error(String(error));
    return { fault: { message, stack } };
  }
}

/** A solver thread: one task at a time, in the order they come. */
parentPort?.on("message", ({ name, input }: { name: TaskName; input: never }) => {
  parentPort?.postMessage(answer(name, input));
});
