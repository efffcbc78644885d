import type { Context, ErrorHandler, NotFoundHandler } from "hono";
import { HTTPException } from "hono/http-exception";
import type { z } from "zod";
import { EngineError, type FieldIssue } from "../engine/errors.ts";
import type { ApiEnv } from "./router.ts";
import type { Problem, ProblemEntry } from "./schemas/problem.ts";
import { echo } from "./schemas/strict.ts";

/**
 * Every kind of problem this API answers with. The slug is the identifier (`type` is
 * `/problems/{slug}`, a page that is served): slugs are only ever added, never renamed.
 */
export const PROBLEMS = {
  "malformed-json": {
    status: 400,
    title: "The body is not JSON",
    meaning: "The request body could not be read as JSON.",
    remedy: "Check quotes, commas and brackets; send UTF-8.",
  },
  "bad-request": {
    status: 400,
    title: "The request is not well formed",
    meaning: "The request could not be understood at the level of HTTP.",
    remedy: "Check the request line, headers and encoding.",
  },
  "not-found": {
    status: 404,
    title: "Nothing is here",
    meaning: "No route or item has this path.",
    remedy: "See /docs for the routes and GET /v1/pantry for the ingredients.",
  },
  "method-not-allowed": {
    status: 405,
    title: "This path does not take that method",
    meaning: "The path exists, for other methods; the Allow header lists them.",
    remedy: "Use one of the methods in the Allow header.",
  },
  "request-timeout": {
    status: 408,
    title: "The request took too long to arrive",
    meaning: "The whole request was not received in the time allowed.",
    remedy: "Send the body in one go, or try a faster connection.",
  },
  "too-large": {
    status: 413,
    title: "The body is too large",
    meaning: "The request body is over the limit.",
    remedy: "Send one drink a request, and only the ingredients it uses.",
  },
  "unsupported-media-type": {
    status: 415,
    title: "The body is not marked as JSON",
    meaning: "Bodies are read only with Content-Type: application/json.",
    remedy: "Set the header Content-Type: application/json.",
  },
  "invalid-request": {
    status: 422,
    title: "Some fields are wrong",
    meaning: "The JSON was read, but fields in it are missing, unknown or out of range. One entry per field.",
    remedy: "Follow the remedy of each entry; the pointer says which field.",
  },
  "unread-lines": {
    status: 422,
    title: "Some lines of the text were not understood",
    meaning:
      "A line could not be read, or could mean more than one ingredient. Nothing is guessed. One entry per line.",
    remedy: "Rewrite those lines, or send the spec by lines with pantry ids.",
  },
  busy: {
    status: 503,
    title: "Too many solves at once",
    meaning: "Every solver is working and the queue is full.",
    remedy: "Wait for the seconds in Retry-After and send the request again.",
  },
  overrun: {
    status: 503,
    title: "The solve was stopped",
    meaning: "The solver ran past its time or memory and did not stop by itself, so it was stopped.",
    remedy: "Send fewer additions, lock some ingredients or set maxTouched, and try again.",
  },
  internal: {
    status: 500,
    title: "Something went wrong here",
    meaning: "A fault of the server, not of the request.",
    remedy: "Report the requestId.",
  },
} as const satisfies Record<
  string,
  {
    status: 400 | 404 | 405 | 408 | 413 | 415 | 422 | 500 | 503;
    title: string;
    meaning: string;
    remedy: string;
  }
>;

export type ProblemSlug = keyof typeof PROBLEMS;

export const PROBLEM_MEDIA_TYPE = "application/problem+json";

/** Answer with a problem document (RFC 9457). */
export function problem(
  c: Context<ApiEnv>,
  slug: ProblemSlug,
  detail: string,
  errors: ProblemEntry[] = [],
  headers: Record<string, string> = {},
): Response {
  const { status, title } = PROBLEMS[slug];
  const body: Problem = {
    type: `/problems/${slug}`,
    title,
    status,
    detail,
    instance: c.req.path.slice(0, 200),
    requestId: c.get("requestId") ?? "",
    errors,
  };
  return c.body(JSON.stringify(body), status, { ...headers, "Content-Type": PROBLEM_MEDIA_TYPE });
}

/** Thrown by handlers; `onError` turns it into the answer. */
export class ProblemError extends Error {
  constructor(
    readonly slug: ProblemSlug,
    detail: string,
    readonly entries: ProblemEntry[] = [],
    readonly headers: Record<string, string> = {},
  ) {
    super(detail);
    this.name = "ProblemError";
  }
}

function joinPointer(prefix: string, pointer: string): string {
  const rest = pointer.replace(/^#/, "");
  return `${prefix}${rest === "" || rest.startsWith("/") ? rest : `/${rest}`}`;
}

/** A JSON pointer (RFC 6901) for a path of keys. */
export function toPointer(path: readonly PropertyKey[]): string {
  return path.map((key) => `/${String(key).replaceAll("~", "~0").replaceAll("/", "~1")}`).join("");
}

function entry(where: ProblemEntry["in"], pointer: string, detail: string, remedy: string): ProblemEntry {
  return { in: where, pointer: `#${joinPointer("", pointer)}`.slice(0, 300), detail, remedy };
}

export function fromFieldIssue(issue: FieldIssue): ProblemEntry {
  return entry("body", issue.pointer, issue.detail, issue.remedy);
}

type Issue = z.core.$ZodIssue;

/** The branch of a union the caller most likely meant: the fewest complaints at its top level, then in all. */
function likeliestBranch(branches: readonly Issue[][]): readonly Issue[] {
  const cost = (issues: readonly Issue[]): number => {
    // A branch of the wrong basic type ("expected string, got an object") was not the one meant.
    if (issues.some((i) => i.path.length === 0 && (i.code === "invalid_type" || i.code === "invalid_value")))
      return 1000;
    return issues.reduce(
      (sum, i) => sum + (i.path.length > 1 ? 1 : 10) * (i.code === "unrecognized_keys" ? i.keys.length : 1),
      0,
    );
  };
  return branches.reduce((best, branch) => (cost(branch) < cost(best) ? branch : best));
}

/** A schema's complaint, flattened to one entry per field. */
function entriesOf(issue: Issue, where: ProblemEntry["in"], base: readonly PropertyKey[]): ProblemEntry[] {
  const path = [...base, ...issue.path];
  const pointer = toPointer(path);
  const say = (detail: string, remedy: string) => [entry(where, pointer, detail, remedy)];
  switch (issue.code) {
    case "invalid_union": {
      if (issue.errors.length > 0) {
        return likeliestBranch(issue.errors).flatMap((inner) => entriesOf(inner, where, path));
      }
      const options = "options" in issue ? (issue.options as unknown[]) : [];
      return say(
        "this kind is not known",
        options.length > 0 ? `use one of: ${options.map(String).join(", ")}` : "see /docs for the kinds",
      );
    }
    case "invalid_type": {
      const missing = issue.message.endsWith("received undefined");
      return missing
        ? say("missing", `give it as ${article(issue.expected)}`)
        : say(issue.message.replace(/^Invalid input: /, ""), `give ${article(issue.expected)}`);
    }
    case "invalid_value":
      return say("not one of the known values", `use one of: ${issue.values.map(String).join(", ")}`);
    case "too_small":
      return say(
        `too small for ${sizeWord(issue.origin)}`,
        `give ${issue.inclusive === false ? "more than" : "at least"} ${String(issue.minimum)}${sizeUnit(issue.origin)}`,
      );
    case "too_big":
      return say(
        `too large for ${sizeWord(issue.origin)}`,
        `give ${issue.inclusive === false ? "less than" : "at most"} ${String(issue.maximum)}${sizeUnit(issue.origin)}`,
      );
    case "not_multiple_of":
      return say("too fine a step", `give a multiple of ${issue.divisor}`);
    case "invalid_key":
      return say("this key cannot be used", "use an ingredient's id as the key");
    default: {
      // Our own messages are "detail; remedy".
      const [detail, ...remedy] = issue.message.split("; ");
      return say(detail ?? issue.message, remedy.join("; ") || "see /docs for what is allowed here");
    }
  }
}

function article(expected: string): string {
  return `${/^[aeiou]/.test(expected) ? "an" : "a"} ${expected}`;
}

function sizeWord(origin: string): string {
  return origin === "string" ? "a text" : origin === "array" ? "a list" : "this number";
}

function sizeUnit(origin: string): string {
  return origin === "string" ? " characters" : origin === "array" ? " items" : "";
}

const TARGET_PLACES: Record<string, ProblemEntry["in"]> = { json: "body", query: "query", param: "path" };

/** A body can be wrong in thousands of places; this many are worth reading. */
const MAX_ENTRIES = 50;

function invalid(c: Context<ApiEnv>, slug: ProblemSlug, entries: ProblemEntry[]): Response {
  const n = entries.length;
  const shown = entries.slice(0, MAX_ENTRIES);
  const more = n > shown.length ? `; the first ${shown.length} are listed` : "";
  const what = slug === "unread-lines" ? "line" : "field";
  return problem(c, slug, `${n} ${what}${n === 1 ? "" : "s"} to put right${more}`, shown);
}

/** First door: a request that does not fit its schema. */
export function defaultHook(
  result: { success: boolean; target: string; error?: { issues: readonly Issue[] } },
  c: Context<ApiEnv>,
): Response | undefined {
  if (result.success) return undefined;
  const where = TARGET_PLACES[result.target] ?? "body";
  return invalid(
    c,
    "invalid-request",
    (result.error?.issues ?? []).flatMap((issue) => entriesOf(issue, where, [])),
  );
}

const SLUG_BY_STATUS: Record<number, ProblemSlug> = {
  400: "bad-request",
  404: "not-found",
  408: "request-timeout",
  413: "too-large",
  415: "unsupported-media-type",
};

/** Second door: whatever is thrown. */
export const onError: ErrorHandler<ApiEnv> = (error, c) => {
  if (error instanceof EngineError) return invalid(c, "invalid-request", error.issues.map(fromFieldIssue));
  if (error instanceof ProblemError) {
    return error.slug === "unread-lines"
      ? invalid(c, error.slug, error.entries)
      : problem(c, error.slug, error.message, error.entries, error.headers);
  }
  if (error instanceof HTTPException) {
    if (error.status === 400 && error.message.startsWith("Malformed JSON")) {
      return problem(c, "malformed-json", PROBLEMS["malformed-json"].meaning);
    }
    const slug = SLUG_BY_STATUS[error.status];
    if (slug) {
      const close: Record<string, string> = slug === "request-timeout" ? { Connection: "close" } : {};
      return problem(c, slug, PROBLEMS[slug].meaning, [], close);
    }
  }
  c.get("log")?.error({ err: error }, "unexpected fault");
  return problem(c, "internal", PROBLEMS.internal.meaning);
};

/** Third door: no such path. */
export const notFound: NotFoundHandler<ApiEnv> = (c) =>
  problem(c, "not-found", `nothing answers ${c.req.method} ${echo(c.req.path)}`);
