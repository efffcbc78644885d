import type { Context } from "hono";
import type { ApiEnv } from "./context.ts";
import { ProblemError } from "./problems/problem.ts";
import { PROBLEMS } from "./problems/registry.ts";
import type { LinkRole } from "./store/links.ts";
import type { Store } from "./store/store.ts";

/** Who asks, as far as the store cares. */
export interface Caller {
  role: LinkRole;
  /** The one bench they may enter; null: the whole house. */
  bench: string | null;
  /** The link they came by; null for the local owner. */
  link: string | null;
  /** What the link is called: a taster's name. */
  label: string;
}

const LOCAL_OWNER: Caller = { role: "owner", bench: null, link: null, label: "" };

const LOOPBACK_NAME = /^(?:localhost|127(?:\.\d{1,3}){3}|\[::1\])(?::\d{1,5})?$/i;
const LOOPBACK_ADDRESS = /^(?:127\.|::1$|::ffff:127\.)/;
/** Set by what stands in front: then "from this machine" says nothing about who asks. */
const FORWARDED = ["forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-real-ip"];

/**
 * Whether a request comes from this machine's own user and not from a web page elsewhere. The name asked for
 * must be a loopback name, or a page whose own name was pointed here (DNS rebinding) could read everything;
 * what a browser says of its origin must be this server, or any page could write here in its user's name.
 */
function isLocal(c: Context<ApiEnv>): boolean {
  const host = c.req.header("host") ?? new URL(c.req.url).host;
  const socket = (c.env as { incoming?: { socket?: { remoteAddress?: string } } } | undefined)?.incoming
    ?.socket;
  const origin = c.req.header("origin");
  const site = c.req.header("sec-fetch-site");
  return (
    LOOPBACK_NAME.test(host) &&
    (socket === undefined || LOOPBACK_ADDRESS.test(socket.remoteAddress ?? "")) &&
    FORWARDED.every((name) => c.req.header(name) === undefined) &&
    (origin === undefined || origin === `http://${host}`) &&
    (site === undefined || site === "same-origin" || site === "none")
  );
}

const refusal = (slug: "link-needed" | "not-allowed" | "not-found", headers: Record<string, string> = {}) =>
  new ProblemError(slug, PROBLEMS[slug].meaning, { headers });

/**
 * Who asks: the bearer of a link, or, where that is open, this machine's own user.
 *
 * @throws ProblemError link-needed
 */
export async function callerOf(c: Context<ApiEnv>, store: Store, isOpenHere: boolean): Promise<Caller> {
  const header = c.req.header("authorization");
  if (header === undefined) {
    if (isOpenHere && isLocal(c)) return LOCAL_OWNER;
    throw refusal("link-needed", { "WWW-Authenticate": "Bearer" });
  }
  const secret = /^Bearer ([A-Za-z0-9_-]{43})$/i.exec(header)?.[1];
  const link = secret === undefined ? null : await store.linkOf(secret);
  if (!link) throw refusal("link-needed", { "WWW-Authenticate": 'Bearer error="invalid_token"' });
  return { role: link.role, bench: link.bench, link: link.id, label: link.label };
}

/**
 * Let a caller see, or change, a bench (or, with null, the house). What lies outside their link is not there
 * for them, so that nothing can be learned by asking.
 *
 * @throws ProblemError not-found or not-allowed
 */
export function permit(caller: Caller, bench: string | null, to: "see" | "change"): void {
  if (caller.bench !== null && caller.bench !== bench) throw refusal("not-found");
  if (caller.role === "owner" || (caller.role === "viewer" && to === "see")) return;
  throw refusal("not-allowed");
}
