import type { Context } from "hono";
import { type Caller, callerOf } from "../../access.ts";
import type { ApiContext, ApiEnv } from "../../context.ts";
import { type Endpoint, endpoint, type Input, type RouteDescription } from "../../endpoint.ts";
import { tagOfVersion } from "../../preconditions.ts";
import { ProblemError } from "../../problems/problem.ts";
import { PROBLEMS, type ProblemSlug } from "../../problems/registry.ts";
import { Overwritten } from "../../store/history.ts";
import type { Store } from "../../store/store.ts";
import { StoreTrouble } from "../../store/trouble.ts";
import { VersionConflict } from "../../store/write.ts";

/** What every route of the store can answer with. */
const ALWAYS = ["link-needed", "not-allowed", "store-unavailable"] as const satisfies ProblemSlug[];

/** What a handler of the store gets beside the request. */
export interface Desk {
  store: Store;
  caller: Caller;
}

/** Seconds after which a store in trouble may be asked again. */
const RETRY_SECONDS = "5";

/** What the store's own errors are for who sent the request. */
function asProblem(error: unknown): unknown {
  if (error instanceof StoreTrouble) {
    return new ProblemError("store-unavailable", error.message, {
      headers: { "Retry-After": RETRY_SECONDS },
    });
  }
  if (error instanceof VersionConflict) {
    return new ProblemError("precondition-failed", PROBLEMS["precondition-failed"].meaning, {
      headers: error.now ? { ETag: tagOfVersion(error.now.version) } : {},
    });
  }
  if (error instanceof Overwritten) {
    const { change, fields } = error;
    return new ProblemError(
      "written-since",
      `${fields.join(", ")} of ${change.kind} ${change.id} was set again`,
    );
  }
  return error;
}

/**
 * An endpoint of the store: it is opened, and who asks is known, before the handler runs. What is read is sent
 * with `sendKept`.
 */
export function keptEndpoint<const R extends RouteDescription>(
  { store: door, isOpenHere }: ApiContext,
  route: R,
  handle: (desk: Desk, input: Input<R>, c: Context<ApiEnv>) => Promise<Response>,
): Endpoint {
  const described: RouteDescription = { ...route, problems: [...ALWAYS, ...(route.problems ?? [])] };
  const made = endpoint(described, async (input, c) => {
    try {
      const store = await door.open();
      const caller = await callerOf(c, store, isOpenHere);
      return await handle({ store, caller }, input as Input<R>, c);
    } catch (error) {
      throw asProblem(error);
    }
  });
  return route.method === "get" ? { ...made, hasTag: true } : made;
}

/** Nothing of this id is here for the caller. */
export function notHere(): ProblemError {
  return new ProblemError("not-found", PROBLEMS["not-found"].meaning);
}
