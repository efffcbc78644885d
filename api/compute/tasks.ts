import { type Answer, answer } from "../../engine/explore/answer.ts";
import { solveWithChance } from "../../engine/explore/chance.ts";
import { type Exploration, explore } from "../../engine/explore/explore.ts";
import type { Intent } from "../../engine/explore/intent.ts";
import { type RepairReport, repair } from "../../engine/explore/repair.ts";
import { type Route, routes } from "../../engine/explore/routes.ts";
import { shareTime } from "../../engine/explore/share-time.ts";
import type { PlaceOptions } from "../../engine/place/place.ts";
import type { SolveRequest, SolveResult } from "../../engine/solve/request.ts";
import { analyseTrail } from "../../engine/trail/analyse-trail.ts";
import type { Pantry, Round, Trail } from "../../engine/types.ts";

/** A solve without functions: they do not cross threads, so the runner supplies the clock. */
export type SolveTask = Omit<SolveRequest, "now" | "extraAccept" | "shrink">;

export interface AskTask {
  intent: Intent;
  request: SolveTask;
}

export interface TrailTask {
  rounds: Round[];
  pantry: Pantry;
  options: PlaceOptions;
}

/** The engine has no clock of its own. */
function timed(task: SolveTask): SolveRequest {
  return { ...task, now: () => performance.now() };
}

/** The long computations, by name. */
export const tasks = {
  solve: (task: SolveTask): SolveResult => solveWithChance(timed(task)),
  explore: (task: SolveTask): Exploration => explore(timed(task)),
  ask: ({ intent, request }: AskTask): Answer => answer(intent, timed(request)),
  routes: (task: SolveTask): Route[] => routes(timed(task)),
  repair: (task: SolveTask): { result: SolveResult; report: RepairReport | null } => {
    const request = timed(task);
    // At most half of the time to see whether there is anything to repair.
    const inTime = shareTime(request, 2);
    const result = solveWithChance(inTime(request));
    return { result, report: result.status === "infeasible" ? repair(inTime(request)) : null };
  },
  trail: ({ rounds, pantry, options }: TrailTask): Trail => analyseTrail(rounds, pantry, options),
};

export type Tasks = typeof tasks;
export type TaskName = keyof Tasks;

/** Where the long computations run: in this thread (tests, tools) or on a pool (the server). */
export interface Compute {
  run<N extends TaskName>(name: N, input: Parameters<Tasks[N]>[0]): Promise<ReturnType<Tasks[N]>>;
}

/** Runs in the calling thread. */
export function inThread(): Compute {
  return {
    run: async (name, input) => {
      const task = tasks[name] as (input: unknown) => ReturnType<Tasks[typeof name]>;
      return task(input);
    },
  };
}
