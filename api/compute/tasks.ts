import { type SolveRequest, type SolveResult, solve } from "../../engine/solve/solve.ts";

/** A solve without its clock: functions do not cross threads, so the runner supplies it. */
export type SolveTask = Omit<SolveRequest, "now">;

/** Where the long computations run: in this thread (tests, tools) or on a pool (the server). */
export interface Compute {
  solve(task: SolveTask): Promise<SolveResult>;
}

export const tasks = {
  solve: (task: SolveTask): SolveResult => solve({ ...task, now: () => performance.now() }),
};

/** Runs in the calling thread. */
export function inThread(): Compute {
  return { solve: async (task) => tasks.solve(task) };
}
