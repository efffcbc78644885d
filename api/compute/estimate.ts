import type { TaskName } from "../../engine/tasks.ts";

/** What decides how long a task takes, as far as it can be seen before. */
interface Sized {
  spec?: { lines: readonly unknown[] };
  additions?: readonly unknown[];
  locks?: readonly unknown[];
  minProbability?: number;
  rounds?: readonly unknown[];
  request?: Sized;
  timeBudgetMs?: number;
}

/** For work that has no budget of its own: the longest trail the schema lets in takes about a second. */
const USUAL_BUDGET_MS = 5000;

/** Weight of the latest duration against all earlier ones of its kind. */
const FRESHNESS = 0.3;

/** Before anything was learned: a few ingredients take tens of milliseconds, a dozen can take all there is. */
const FIRST_GUESS_MS = 60;
const FIRST_GUESS_SHARE = 0.5;
const SMALL = 6;

const sizeOf = ({ spec, additions = [], locks = [], rounds }: Sized): number =>
  rounds?.length ?? (spec?.lines.length ?? 0) + additions.length - locks.length;

/** The time a task has by its own request, ms. */
export function budgetOf(input: object): number {
  const { request, timeBudgetMs }: Sized = input;
  return timeBudgetMs ?? request?.timeBudgetMs ?? USUAL_BUDGET_MS;
}

/** Learns how long tasks take by their kind and size, so that short ones need not wait behind long ones. */
export class Estimate {
  readonly #learned = new Map<string, number>();

  /** Milliseconds a task will likely take; never more than its budget. */
  of(name: TaskName, input: object): number {
    const { request = input as Sized } = input as Sized;
    const guess = sizeOf(request) <= SMALL ? FIRST_GUESS_MS : FIRST_GUESS_SHARE * budgetOf(input);
    return Math.min(this.#learned.get(this.#kindOf(name, request)) ?? guess, budgetOf(input));
  }

  /** Take in how long one took, or has taken so far. */
  learn(name: TaskName, input: object, ms: number): void {
    const { request = input as Sized } = input as Sized;
    const kind = this.#kindOf(name, request);
    const before = this.#learned.get(kind);
    this.#learned.set(kind, before === undefined ? ms : before + FRESHNESS * (ms - before));
  }

  /** There are a few hundred kinds at most: requests are bounded in size. */
  #kindOf(name: TaskName, request: Sized): string {
    return `${name} ${sizeOf(request)} ${request.minProbability === undefined ? "" : "chance"}`;
  }
}
