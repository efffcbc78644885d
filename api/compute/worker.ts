import { parentPort } from "node:worker_threads";
import { EngineError } from "../../engine/errors.ts";
import { runTask, type TaskInput, type TaskName } from "../../engine/tasks.ts";
import type { Reply } from "./pool.ts";

function answer(name: TaskName, input: TaskInput<TaskName>): Reply {
  try {
    return { value: runTask(name, input, () => performance.now()) };
  } catch (error) {
    if (error instanceof EngineError) return { issues: error.issues };
    const { message, stack } = error instanceof Error ? error : new Error(String(error));
    return { fault: { message, stack } };
  }
}

/** A solver thread: one task at a time, in the order they come. */
parentPort?.on("message", ({ name, input }: { name: TaskName; input: TaskInput<TaskName> }) => {
  parentPort?.postMessage(answer(name, input));
});
