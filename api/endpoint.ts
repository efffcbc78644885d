import type { Context, Hono } from "hono";
import type { z } from "zod";
import type { Shape } from "../engine/shapes/check.ts";
import { type IncludeId, leanJson } from "./answer/lean.ts";
import type { ApiEnv } from "./context.ts";
import { answerLines, isInLines } from "./lines.ts";
import type { Bytes } from "./packing.ts";
import type { ProblemSlug } from "./problems/registry.ts";
import { type BodyLimits, jsonReader } from "./read/body.ts";
import { readParams, readQuery } from "./read/query.ts";
import { readBody } from "./read/quick.ts";
import { sendJsonText } from "./send.ts";

/** What can also go wrong where a spec is read and the solver asked. */
export const SOLVER_PROBLEMS = ["unread-lines", "busy", "overrun"] as const satisfies ProblemSlug[];

/** One way a route can answer well. */
export interface AnswerDescription {
  description: string;
  /** Absent: no body. */
  schema?: Shape;
  /** Headers beyond those of every answer, each with what it says. */
  headers?: Record<string, string>;
}

/** A route as the reference describes it and the server checks it: one object for both. */
export interface RouteDescription {
  method: "get" | "post" | "put" | "patch" | "delete";
  /** OpenAPI form: `/v1/pantry/{id}`. */
  path: string;
  operationId: string;
  tags: readonly string[];
  summary: string;
  description?: string;
  params?: z.core.$ZodObject;
  query?: z.core.$ZodObject;
  body?: Shape;
  /** Bytes a body may have; default: the server's setting, which is enough for a drink. */
  maxBodyBytes?: number;
  /** It takes many bodies as well, one a line, and answers each by itself. */
  inLines?: true;
  /** The answer is sent lean: see answer/lean.ts. A body's `include` asks for more. */
  isLean?: true;
  /** A body that works; for a route without one, its path's named parts. */
  example?: Readonly<Record<string, unknown>>;
  /** Where that body is sent: the path's named parts. */
  at?: Readonly<Record<string, string>>;
  answers: Readonly<Record<number, AnswerDescription>>;
  /** Problems besides those any request can meet. */
  problems?: readonly ProblemSlug[];
}

/** What a handler gets: only what its route describes, checked. */
export interface Input<R extends RouteDescription> {
  params: R["params"] extends z.core.$ZodType<infer T> ? T : undefined;
  query: R["query"] extends z.core.$ZodType<infer T> ? T : undefined;
  body: R["body"] extends z.core.$ZodType<infer T> ? T : undefined;
}

/** What a handler may give back: the data its route's 200 describes, or an answer of its own. */
type Result<R extends RouteDescription> =
  | Response
  | (R["answers"] extends { 200: { schema: z.core.$ZodType<infer T> } } ? T : never);

type Handler<R extends RouteDescription> = (
  input: Input<R>,
  c: Context<ApiEnv>,
) => Result<R> | Promise<Result<R>>;

/** A route with what answers it. */
export interface Endpoint {
  route: RouteDescription;
  handle(input: Input<RouteDescription>, c: Context<ApiEnv>): unknown;
  /** A good answer carries a tag, and who sends it back is told 304 when nothing changed. */
  hasTag?: true;
}

/** Bind a handler to a route; what it gets is typed by the route's schemas. */
export function endpoint<const R extends RouteDescription>(route: R, handle: Handler<R>): Endpoint {
  return { route, handle: handle as Endpoint["handle"] };
}

const includedBy = (body: unknown): readonly IncludeId[] | undefined =>
  (body as { include?: readonly IncludeId[] } | undefined)?.include;

/** Let the app answer an endpoint. Everything a request brings is checked here, before its handler runs. */
export function register(app: Hono<ApiEnv>, { route, handle }: Endpoint, limits: BodyLimits): void {
  const { method, path, params, query, body, maxBodyBytes, inLines, isLean } = route;
  const readJson = jsonReader(maxBodyBytes === undefined ? limits : { ...limits, maxBodyBytes });
  const written = (result: unknown, read: unknown): string | Bytes =>
    isLean ? leanJson(result as object, includedBy(read)) : JSON.stringify(result);
  app.on(method.toUpperCase(), path.replace(/\{(\w+)\}/g, ":$1"), async (c) => {
    const given = params && readParams(params, c);
    const wanted = readQuery(query, c);
    const asked = (read: unknown) =>
      ({ params: given, query: wanted, body: read }) as Input<RouteDescription>;
    if (inLines && body && isInLines(c)) {
      return answerLines(c, limits.maxBodyBytes, async (line) => {
        const read = readBody(body, line);
        return written(await handle(asked(read), c), read).toString();
      });
    }
    const read = body && readBody(body, await readJson(c));
    const handled = handle(asked(read), c);
    const result = handled instanceof Promise ? await handled : handled;
    return result instanceof Response ? result : sendJsonText(c, written(result, read));
  });
}
