import type { TaskInput, TaskName } from "../../engine/tasks.ts";
import type { Ingredient, Pantry } from "../../engine/types.ts";

/*
 * A solver thread has the reference pantry already: only what a request changed of it crosses over, which also
 * keeps what the engine has worked out for each ingredient.
 */

type WithPantry = { pantry?: Pantry; request?: WithPantry };

/** What crosses to a thread. */
export interface Wire {
  input: object;
  /** Ingredients that are not the reference pantry's own. */
  own: Ingredient[];
}

/** A task without the part of its pantry that every thread has. */
export function toWire(input: TaskInput<TaskName>, base: Pantry): Wire {
  // A chance has none, and needs none.
  const task = input as WithPantry;
  const pantry = task.pantry ?? task.request?.pantry;
  const own =
    pantry && pantry !== base ? [...pantry.values()].filter((item) => base.get(item.id) !== item) : [];
  const { pantry: _, ...rest } = task;
  if (rest.request) {
    const { pantry: __, ...request } = rest.request;
    return { input: { ...rest, request }, own };
  }
  return { input: rest, own };
}

/** The task as it was. */
export function fromWire({ input, own }: Wire, base: Pantry): TaskInput<TaskName> {
  const pantry = own.length === 0 ? base : new Map([...base, ...own.map((item) => [item.id, item] as const)]);
  const task: WithPantry = input;
  return (
    task.request ? { ...task, request: { ...task.request, pantry } } : { ...task, pantry }
  ) as TaskInput<TaskName>;
}
