import { createHash } from "node:crypto";
import type { Context } from "hono";
import type { ApiEnv } from "./context.ts";
import { ProblemError } from "./problems/problem.ts";
import { PROBLEMS } from "./problems/registry.ts";

/*
 * Conditional requests (RFC 9110, section 13). A tag here is always strong: the version of a stored thing, or a
 * hash of the bytes sent.
 */

/** The strong tag of some bytes. */
export function tagOfBytes(bytes: string | Uint8Array): string {
  return `"${createHash("sha256").update(bytes).digest("base64url").slice(0, 27)}"`;
}

/** The strong tag of a stored thing's version. */
export function tagOfVersion(version: string | number): string {
  return `"v${version}"`;
}

/** The tags of a header, as they are written; what cannot be read is left out. */
function tagsIn(header: string): string[] {
  return header.match(/(?:W\/)?"[^"]*"|\*/g) ?? [];
}

const opaque = (tag: string) => tag.replace(/^W\//, "");

/** Whether the client already has this: If-None-Match by weak comparison, as section 13.1.2 asks. */
export function isKnown(c: Context<ApiEnv>, tag: string): boolean {
  const header = c.req.header("if-none-match");
  return header !== undefined && tagsIn(header).some((t) => t === "*" || opaque(t) === opaque(tag));
}

/**
 * Let a write through only if it knows what it writes over.
 *
 * @param tag the present tag, or null when nothing is there yet
 * @throws ProblemError precondition-required when something is there and the request names no version of it;
 *   precondition-failed when it names another one, or wants to make what is already there
 */
export function requireKnown(c: Context<ApiEnv>, tag: string | null): void {
  const ifMatch = c.req.header("if-match");
  const ifNoneMatch = c.req.header("if-none-match");
  const failed = () =>
    new ProblemError("precondition-failed", PROBLEMS["precondition-failed"].meaning, {
      headers: tag === null ? {} : { ETag: tag },
    });
  if (ifMatch !== undefined) {
    // Strong comparison: a weak tag never matches.
    const matches = tag !== null && tagsIn(ifMatch).some((t) => t === "*" || t === tag);
    if (!matches) throw failed();
  } else if (ifNoneMatch !== undefined) {
    const exists = tag !== null && tagsIn(ifNoneMatch).some((t) => t === "*" || opaque(t) === opaque(tag));
    if (exists) throw failed();
  } else if (tag !== null) {
    throw new ProblemError("precondition-required", PROBLEMS["precondition-required"].meaning);
  }
}
