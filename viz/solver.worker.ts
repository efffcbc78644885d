import { answer } from "../engine/explore/answer.ts";
import { explore } from "../engine/explore/explore.ts";
import { routes, swapEffects } from "../engine/explore/routes.ts";
import type { Job } from "./solver-client.ts";

function work(job: Job): unknown {
  const request = { ...job.request, now: () => performance.now() };
  switch (job.kind) {
    case "explore":
      return explore(request);
    case "routes":
      return routes(request);
    case "swaps":
      return swapEffects(request, job.ingredient);
    case "question":
      return answer(job.intent, request);
  }
}

/** The solver off the page's thread: one job in, one answer out. */
self.addEventListener("message", ({ data: message }: MessageEvent<{ id: number; job: Job }>) => {
  const started = performance.now();
  try {
    const result = work(message.job);
    self.postMessage({ id: message.id, result, milliseconds: performance.now() - started });
  } catch (error) {
    self.postMessage({ id: message.id, problem: error instanceof Error ? error.message : String(error) });
  }
});
