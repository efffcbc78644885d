import type { SolveRequest, SolveResult } from "../../engine/solve/request.ts";

/** A solve without functions: they do not cross threads, so the runner supplies the clock. */
export type SolveTask = Omit<SolveRequest, "now" | "extraAccept" | "shrink">;

/** The long computations, by name. */
export const tasks = {
  // Until the solver lands.
  solve: (_task: SolveTask): SolveResult => {
    throw new Error("the solver is not here yet");
  },
};

export type Tasks = typeof tasks;
export type TaskName = keyof Tasks;

/** Where the long computations run: in this thread (tests, tools) or on a pool (the server). */
export interface Compute {
  run<N extends TaskName>(name: N, input: Parameters<Tasks[N]>[0]): Promise<ReturnType<Tasks[N]>>;
}

/** Runs in the calling thread. */
export function inThread(): Compute {
  return { run: async (name, input) => tasks[name](input) as ReturnType<Tasks[typeof name]> };
}
