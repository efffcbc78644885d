import type { Context } from "hono";
import { z } from "zod";
import type { FieldIssue } from "../../engine/errors.ts";
import { echo, type Shape, tryRead } from "../../engine/shapes/check.ts";
import type { ApiEnv } from "../context.ts";
import { countOf, type Place, ProblemError } from "../problems/problem.ts";

const NOTHING = z.strictObject({});

/**
 * The query, by its schema: unknown names are refused as unknown fields are.
 *
 * @throws ProblemError invalid-request
 */
export function readQuery(shape: z.core.$ZodObject | undefined, c: Context<ApiEnv>): unknown {
  // Most requests have none.
  if (!c.req.url.includes("?")) return shape && checked(shape, {}, "query");
  const given = c.req.queries();
  const twice = Object.entries(given).filter(([, values]) => values.length > 1);
  if (twice.length > 0) {
    refuse(
      "query",
      twice.map(([name, values]) => ({
        pointer: `/${name}`,
        detail: `given ${values.length} times`,
        remedy: `give ${echo(name)} once`,
      })),
    );
  }
  const wanted: z.core.$ZodObject = shape ?? NOTHING;
  const read = Object.entries(given).map(([name, [text]]) => [
    name,
    typed(wanted._zod.def.shape[name], text ?? ""),
  ]);
  return checked(wanted, Object.fromEntries(read), "query");
}

/** The named parts of the path. */
export function readParams(shape: Shape, c: Context<ApiEnv>): unknown {
  return checked(shape, c.req.param(), "path");
}

const NUMBER = /^-?\d+(\.\d+)?$/;

/** A query is text: where its schema wants a number or a truth, the text of one becomes it. */
function typed(shape: Shape | undefined, text: string): unknown {
  let inner = shape;
  while (inner instanceof z.core.$ZodOptional || inner instanceof z.core.$ZodDefault) {
    inner = inner._zod.def.innerType;
  }
  if (inner instanceof z.core.$ZodNumber && NUMBER.test(text)) return Number(text);
  if (inner instanceof z.core.$ZodBoolean && (text === "true" || text === "false")) return text === "true";
  return text;
}

function checked(shape: Shape, value: unknown, where: Place): unknown {
  const read = tryRead(shape, value);
  return "issues" in read ? refuse(where, read.issues) : read.value;
}

function refuse(where: Place, issues: readonly FieldIssue[]): never {
  throw new ProblemError("invalid-request", countOf(issues.length, "field"), { issues, in: where });
}
