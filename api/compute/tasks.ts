import { type Answer, answer } from "../../engine/explore/answer.ts";
import type { Intent } from "../../engine/explore/intent.ts";
import { type RepairReport, repair } from "../../engine/explore/repair.ts";
import { type Route, routes } from "../../engine/explore/routes.ts";
import type { PlaceOptions } from "../../engine/place/place.ts";
import type { SolveRequest, SolveResult } from "../../engine/solve/request.ts";
import { solve } from "../../engine/solve/solve.ts";
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

/** Routes and repairs run a few tens of solves; each gets its share of the time. */
const SOLVES_AT_MOST = 30;

function manySolves(task: SolveTask): SolveRequest {
  return {
    ...task,
    timeBudgetMs: task.timeBudgetMs === undefined ? undefined : task.timeBudgetMs / SOLVES_AT_MOST,
    now: () => performance.now(),
  };
}

/** The long computations, by name. */
export const tasks = {
  solve: (task: SolveTask): SolveResult => solve({ ...task, now: () => performance.now() }),
  ask: ({ intent, request }: AskTask): Answer => answer(intent, { ...request, now: () => performance.now() }),
  routes: (task: SolveTask): Route[] => routes(manySolves(task)),
  repair: (task: SolveTask): { result: SolveResult; report: RepairReport | null } => {
    const request = manySolves(task);
    const result = solve(request);
    return { result, report: result.status === "infeasible" ? repair(request) : null };
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
