import type { ReferenceData } from "../engine/types.ts";
import type { Catalogue } from "./catalogue.ts";
import type { Asker, Compute } from "./compute/compute.ts";
import type { Lifecycle } from "./lifecycle.ts";
import type { ProblemSlug } from "./problems/registry.ts";
import type { StoreDoor } from "./store/open.ts";

/** One request and what became of it: made by the frame around every route, written to the log at the end. */
export interface Exchange extends Asker {
  readonly requestId: string;
  /** Kind of problem answered, if one was. */
  problem?: ProblemSlug;
  /** What was thrown, if it was no fault of the request. */
  fault?: Error;
}

/** What hono keeps for a request. */
export interface ApiEnv {
  Variables: { exchange: Exchange };
}

/** What every route gets. */
export interface ApiContext {
  data: ReferenceData;
  catalogue: Catalogue;
  compute: Compute;
  store: StoreDoor;
  /** Whether this machine's own user needs no link. */
  isOpenHere: boolean;
  lifecycle: Lifecycle;
  /** Time a solve may take when its request does not say. */
  solveBudgetMs: number;
}
