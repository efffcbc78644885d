import type { SolveRequest } from "./request.ts";

/** Drinks that the true model tests in the time of one node of the search. */
const TESTS_A_NODE = 10;

/** What stopped a search before it was done. */
export type Limit = "time" | "nodes";

/** The work a search has done and may do; several searches that answer one question share it. */
export class Effort {
  nodes = 0;
  relaxations = 0;
  evaluations = 0;
  /** Set once, by whichever limit strikes first. */
  limit: Limit | null = null;

  /** @param outOfTime true when the time is up */
  constructor(
    private readonly nodeLimit: number,
    private readonly outOfTime: () => boolean = () => false,
  ) {}

  /** True when a limit has struck; looks at the clock. */
  exhausted(): boolean {
    if (this.limit === null) {
      if (this.nodes >= this.nodeLimit) this.limit = "nodes";
      else if (this.outOfTime()) this.limit = "time";
    }
    return this.limit !== null;
  }

  /** What the work costs, near enough, in nodes. */
  get spent(): number {
    return this.nodes + this.evaluations / TESTS_A_NODE;
  }

  /** An allowance of so many nodes for a part of the work, within the same time. */
  part(nodes: number): Effort {
    return new Effort(Math.min(nodes, this.nodeLimit - this.nodes), this.outOfTime);
  }

  /** Count what another search has done as well; time that ran out for it has run out for all. */
  add({ nodes, relaxations, evaluations, limit }: Effort): void {
    this.nodes += nodes;
    this.relaxations += relaxations;
    this.evaluations += evaluations;
    if (limit === "time" || this.nodes >= this.nodeLimit) this.limit ??= limit;
  }
}

/** Writing an answer takes so many times as long as reading its question, at most. */
const WRITING = 2;

/** Start a request's clock; without a clock or a budget no time is ever up. */
export function timerOf({ now = () => 0, timeBudgetMs = Number.POSITIVE_INFINITY }: SolveRequest) {
  const start = now();
  let writing = 0;
  return {
    /** Tells whether this share of the time budget has passed, less what is kept for writing the answer. */
    until: (share: number) => () => now() - start >= share * (timeBudgetMs - writing),
    /** Say that the question is read: from here on time is kept for writing the answer, by how long reading took. */
    isRead: () => {
      writing = WRITING * (now() - start);
    },
  };
}
