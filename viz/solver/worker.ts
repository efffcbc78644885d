import { reasonOf } from "../../engine/errors.ts";
import { runTask } from "../../engine/tasks.ts";
import type { Job } from "./client.ts";

/** Progress is told no oftener than this. */
const TELL_EVERY_MS = 100;

/** The pantry that was sent last. */
let known: Job["pantry"];

/**
 * The solver off the page's thread: one job in, one answer out. The engine asks for the time as it works;
 * that is where progress is told, and where a wish to stop (a flag in shared memory) turns into the end of
 * the time it has, so that it comes back with the best it found.
 */
self.addEventListener("message", ({ data }: MessageEvent<Job>) => {
  const { id, name, input, stop } = data;
  if (data.pantry !== undefined && "request" in input) {
    known = data.pantry ?? known;
    Object.assign(input.request ?? {}, { pantry: known });
  }
  const started = performance.now();
  let told = started;
  const flag = stop ? new Int32Array(stop) : null;
  const clock = () => {
    const now = performance.now();
    if (flag && Atomics.load(flag, 0) === id) return now + 1e9;
    if (now - told >= TELL_EVERY_MS) {
      told = now;
      self.postMessage({ id, elapsedMs: now - started });
    }
    return now;
  };
  try {
    const result = runTask(name, input, clock);
    self.postMessage({ id, result, milliseconds: performance.now() - started });
  } catch (error) {
    self.postMessage({ id, problem: reasonOf(error) });
  }
});
