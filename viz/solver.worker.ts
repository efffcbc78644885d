import { answer } from "../engine/explore/answer.ts";
import { repair } from "../engine/explore/repair.ts";
import { routes } from "../engine/explore/routes.ts";
import { solve } from "../engine/solve/solve.ts";
import type { Ingredient, Pantry } from "../engine/types.ts";
import type { Job } from "./solver-client.ts";

let pantry: Pantry = new Map();

function work(job: Job): unknown {
  const request = { ...job.request, pantry, now: () => performance.now() };
  switch (job.kind) {
    case "solve":
      return solve(request);
    case "repair":
      return repair(request);
    case "routes":
      return routes(request);
    case "question":
      return answer(job.intent, request);
  }
}

/** The solver off the page's thread: first the pantry, then one question at a time. */
self.addEventListener(
  "message",
  (event: MessageEvent<{ pantry: Ingredient[] } | { id: number; job: Job }>) => {
    const message = event.data;
    if ("pantry" in message) {
      pantry = new Map(message.pantry.map((ingredient) => [ingredient.id, ingredient]));
      return;
    }
    const started = performance.now();
    try {
      const result = work(message.job);
      self.postMessage({ id: message.id, result, milliseconds: performance.now() - started });
    } catch (error) {
      self.postMessage({ id: message.id, problem: error instanceof Error ? error.message : String(error) });
    }
  },
);
