import { type Answer, answer } from "./ask/answer.ts";
import type { Intent } from "./ask/intent.ts";
import { probabilityInside } from "./doubt/probability-inside.ts";
import { shareTime } from "./explore/asking.ts";
import { type Exploration, explore } from "./explore/explore.ts";
import type { Keep } from "./explore/keeps.ts";
import { type RepairReport, repair } from "./explore/repair.ts";
import { type Route, routes, type SwapEffect, swapEffects } from "./explore/routes.ts";
import { solveKeeping } from "./explore/solve-keeping.ts";
import { pourForWish, type WishResult } from "./explore/wish.ts";
import type { PlaceOptions } from "./place/place.ts";
import type { SolveRequest, SolveResult } from "./solve/request.ts";
import { compileTarget } from "./targets/compile-target.ts";
import { answerTable, type TableAnswer, type TableQuestion } from "./taste/answer.ts";
import { analyseTrail } from "./trail/analyse-trail.ts";
import type { Mat3, Pantry, Round, TargetSpec, Trail, Vec3 } from "./types.ts";

/** A solve as plain data: functions do not cross threads, so whoever runs it brings the clock. */
export type SolveTask = Omit<SolveRequest, "now" | "extraAccept" | "shrink">;

/** Milliseconds from any fixed moment; the engine has no clock of its own. */
export type Clock = () => number;

/** The least change within the habits of the trade, and which those were. */
export interface SolveTaskResult {
  result: SolveResult;
  keeps: Keep[];
}

/** Where a drink stands when nothing in it can be changed, and what would free it. */
export interface RepairTaskResult extends SolveTaskResult {
  report: RepairReport | null;
}

/**
 * The long computations by name, for whatever runs them off the main thread: the server's solver threads and
 * the page's worker. Each takes plain data and a clock. A new one is a new line here and nothing else.
 */
export const TASKS = {
  solve: (task: SolveTask, now: Clock): SolveTaskResult => {
    const { solved, keeps } = solveKeeping({ ...task, now });
    return { result: solved, keeps };
  },
  explore: (task: SolveTask, now: Clock): Exploration => explore({ ...task, now }),
  ask: ({ intent, request }: { intent: Intent; request: SolveTask }, now: Clock): Answer =>
    answer(intent, { ...request, now }),
  routes: (task: SolveTask, now: Clock): Route[] => routes({ ...task, now }),
  swaps: ({ ingredient, request }: { ingredient: string; request: SolveTask }, now: Clock): SwapEffect[] =>
    swapEffects({ ...request, now }, ingredient),
  repair: (task: SolveTask, now: Clock): RepairTaskResult => {
    // At most half of the time to see whether there is anything to repair.
    const request = { ...task, now };
    const time = shareTime(request, 2);
    const { solved: result, keeps } = solveKeeping(time.of(request));
    return { result, keeps, report: result.status === "infeasible" ? repair(time.of(request), keeps) : null };
  },
  wish: ({ request, wish }: { request: SolveTask; wish: Vec3 }, now: Clock): WishResult =>
    pourForWish({ ...request, now }, wish),
  chance: ({ target, mean, covariance }: { target: TargetSpec; mean: Vec3; covariance: Mat3 }): number =>
    probabilityInside(compileTarget(target), mean, covariance),
  trail: (task: { rounds: Round[]; pantry: Pantry; options: PlaceOptions }): Trail =>
    analyseTrail(task.rounds, task.pantry, task.options),
  table: (task: TableQuestion, now: Clock): TableAnswer =>
    answerTable({ ...task, request: task.request && { ...task.request, now } }),
};

/** Name of a long computation. */
export type TaskName = keyof typeof TASKS;

/** What a task takes. */
export type TaskInput<N extends TaskName> = Parameters<(typeof TASKS)[N]>[0];

/** What a task gives. */
export type TaskResult<N extends TaskName> = ReturnType<(typeof TASKS)[N]>;

/**
 * Run a task by name.
 *
 * @throws EngineError for input the engine refuses
 */
export function runTask<N extends TaskName>(name: N, input: TaskInput<N>, now: Clock): TaskResult<N> {
  const tasks: { [M in TaskName]: (input: TaskInput<M>, now: Clock) => TaskResult<M> } = TASKS;
  return tasks[name](input, now);
}
