import type { Context } from "hono";
import { bodyLimit } from "hono/body-limit";
import type { ApiEnv } from "../context.ts";
import { ProblemError } from "../problems/problem.ts";
import { PROBLEMS } from "../problems/registry.ts";

export interface BodyLimits {
  maxBodyBytes: number;
  /** Time for a body to arrive. How long the work may take is the solver's budget. */
  bodyTimeoutMs: number;
}

/** Plain JSON; UTF-8 is the only encoding JSON has (RFC 8259, section 8.1). */
const JSON_TYPE = /^application\/json\s*(?:;\s*charset\s*=\s*"?utf-8"?\s*)?$/i;

/**
 * The request's JSON, read before anything is done with it.
 *
 * @throws ProblemError unsupported-media-type, too-large, request-timeout or malformed-json
 */
export async function readJsonBody(c: Context<ApiEnv>, limits: BodyLimits): Promise<unknown> {
  const type = c.req.header("content-type");
  const encoding = c.req.header("content-encoding");
  if (type === undefined || !JSON_TYPE.test(type) || (encoding !== undefined && encoding !== "identity")) {
    throw new ProblemError("unsupported-media-type", PROBLEMS["unsupported-media-type"].meaning, {
      headers: {
        "Accept-Encoding": "identity",
        ...(c.req.method === "POST" && { "Accept-Post": "application/json" }),
      },
    });
  }
  const text = await readText(c, limits);
  // What is not UTF-8 was read as U+FFFD.
  if (text.includes("\uFFFD")) malformed();
  c.get("exchange").question = text;
  try {
    return JSON.parse(text);
  } catch {
    return malformed();
  }
}

function malformed(): never {
  throw new ProblemError("malformed-json", PROBLEMS["malformed-json"].meaning);
}

/**
 * A declared length is judged by its header alone: touching the body stream costs the server a third of its
 * speed. Without one the stream is counted as it comes.
 */
async function readText(c: Context<ApiEnv>, { maxBodyBytes, bodyTimeoutMs }: BodyLimits): Promise<string> {
  const tooLarge = () =>
    new ProblemError("too-large", `a body may have ${maxBodyBytes} bytes`, {
      headers: { Connection: "close" },
    });
  const declared = c.req.header("content-length");
  const isDeclared = declared !== undefined && c.req.header("transfer-encoding") === undefined;
  if (isDeclared && Number(declared) > maxBodyBytes) throw tooLarge();

  let text = "";
  const read = async (): Promise<void> => {
    text = await c.req.text();
  };
  const counted = bodyLimit({
    maxSize: maxBodyBytes,
    onError: () => {
      throw tooLarge();
    },
  });
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      reject(
        new ProblemError("request-timeout", PROBLEMS["request-timeout"].meaning, {
          headers: { Connection: "close" },
        }),
      );
    }, bodyTimeoutMs);
  });
  try {
    await Promise.race([isDeclared ? read() : counted(c, read), late]);
  } finally {
    clearTimeout(timer);
  }
  return text;
}
