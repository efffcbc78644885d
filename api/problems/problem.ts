import type { Context } from "hono";
import type { FieldIssue } from "../../engine/errors.ts";
import type { ApiEnv } from "../context.ts";
import type { Problem, ProblemEntry } from "../schemas/problem.ts";
import { JSON_HEADERS, send } from "../send.ts";
import { PROBLEM_MEDIA_TYPE, PROBLEMS, type ProblemSlug } from "./registry.ts";

/** Where a wrong field was sent. */
export type Place = ProblemEntry["in"];

interface Particulars {
  /** The fields that are wrong. */
  issues?: readonly FieldIssue[];
  /** Where they were sent; default the body. */
  in?: Place;
  headers?: Record<string, string>;
}

/** A problem that is not, or not only, a wrong field of the body; those are the engine's `fail`. */
export class ProblemError extends Error {
  constructor(
    readonly slug: ProblemSlug,
    detail: string,
    readonly particulars: Particulars = {},
  ) {
    super(detail);
    this.name = "ProblemError";
  }
}

/** A body can be wrong in thousands of places; this many are worth reading. */
const MAX_ENTRIES = 50;
/** However large the mistake, what is said of one field stays readable. */
const MAX_SENTENCE = 1000;
const MAX_POINTER = 300;

const cut = (text: string, length: number) => (text.length > length ? `${text.slice(0, length - 1)}…` : text);

const entryOf =
  (where: Place) =>
  ({ pointer, detail, remedy }: FieldIssue): ProblemEntry => ({
    in: where,
    pointer: cut(`#${pointer}`, MAX_POINTER),
    detail: cut(detail, MAX_SENTENCE),
    remedy: cut(remedy, MAX_SENTENCE),
  });

/** A problem document (RFC 9457). */
export function problemDocument(
  c: Context<ApiEnv>,
  slug: ProblemSlug,
  detail: string,
  { issues = [], in: where = "body" }: Particulars = {},
): Problem {
  const { status, title } = PROBLEMS[slug];
  return {
    type: `/problems/${slug}`,
    title,
    status,
    detail: cut(detail, MAX_SENTENCE),
    instance: c.req.path.slice(0, 200),
    requestId: c.get("exchange").requestId,
    errors: issues.slice(0, MAX_ENTRIES).map(entryOf(where)),
  };
}

/** Answer with a problem document. */
export function problem(
  c: Context<ApiEnv>,
  slug: ProblemSlug,
  detail: string,
  particulars: Particulars = {},
): Response {
  const { headers = {} } = particulars;
  c.get("exchange").problem = slug;
  return send(c, PROBLEMS[slug].status, JSON.stringify(problemDocument(c, slug, detail, particulars)), {
    ...JSON_HEADERS,
    "Content-Type": PROBLEM_MEDIA_TYPE,
    ...headers,
  });
}

/** How many fields are wrong, in a sentence. */
export function countOf(n: number, what: "field" | "line"): string {
  const more = n > MAX_ENTRIES ? `; the first ${MAX_ENTRIES} are listed` : "";
  return `${n} ${what}${n === 1 ? "" : "s"} to put right${more}`;
}
