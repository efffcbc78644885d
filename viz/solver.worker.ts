import { runTask } from "../engine/tasks.ts";
import type { Job } from "./solver-client.ts";

/** The solver off the page's thread: one job in, one answer out. */
self.addEventListener("message", ({ data }: MessageEvent<Job>) => {
  const { id, name, input } = data;
  const started = performance.now();
  try {
    const result = runTask(name, input, () => performance.now());
    self.postMessage({ id, result, milliseconds: performance.now() - started });
  } catch (error) {
    self.postMessage({ id, problem: error instanceof Error ? error.message : String(error) });
  }
});
