import { runTask, type TaskInput, type TaskName, type TaskResult } from "../../engine/tasks.ts";

/** Where the long computations run: in this thread (tests, tools) or on a pool (the server). */
export interface Compute {
  run<N extends TaskName>(name: N, input: TaskInput<N>): Promise<TaskResult<N>>;
}

/** Runs in the calling thread. */
export function inThread(): Compute {
  return { run: async (name, input) => runTask(name, input, () => performance.now()) };
}
