import { answer } from "../engine/explore/answer.ts";
import { repair } from "../engine/explore/repair.ts";
import { routes } from "../engine/explore/routes.ts";
import { solve } from "../engine/solve/solve.ts";
import type { Job } from "./solver-client.ts";

function work(job: Job): unknown {
  const request = { ...job.request, now: () => performance.now() };
  switch (job.kind) {
    case "explore": {
      // Until the chance of being inside lands beside it, the answer is the solver's own.
      const solved = solve(request);
      const why = solved.status === "infeasible" ? repair(request) : null;
      return { solved, proposals: solved.proposals, chanceNow: Number.NaN, advice: [], repair: why };
    }
    case "routes":
      return routes(request);
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
