import type { Context } from "hono";
import { bodyLimit } from "hono/body-limit";
import type { ApiEnv } from "../context.ts";
import { ProblemError } from "../problems/problem.ts";
import { PROBLEMS } from "../problems/registry.ts";
import { headerOf } from "./header.ts";

export interface BodyLimits {
  maxBodyBytes: number;
  /** Time for a body to arrive. How long the work may take is the solver's budget. */
  bodyTimeoutMs: number;
}

/** Plain JSON; UTF-8 is the only encoding JSON has (RFC 8259, section 8.1). */
const JSON_TYPE = /^application\/json\s*(?:;\s*charset\s*=\s*"?utf-8"?\s*)?$/i;

/**
 * Reads the JSON of requests, before anything is done with it.
 *
 * The function it gives throws ProblemError unsupported-media-type, too-large, request-timeout or malformed-json.
 */
export function jsonReader({
  maxBodyBytes,
  bodyTimeoutMs,
}: BodyLimits): (c: Context<ApiEnv>) => Promise<unknown> {
  const tooLarge = () =>
    new ProblemError("too-large", `a body may have ${maxBodyBytes} bytes`, {
      headers: { Connection: "close" },
    });
  const counted = bodyLimit({
    maxSize: maxBodyBytes,
    onError: () => {
      throw tooLarge();
    },
  });
  const wait = waitingRoom(bodyTimeoutMs);

  /**
   * A declared length is judged by its header alone: touching the body stream costs the server a third of its
   * speed. Without one the stream is counted as it comes.
   */
  function readText(c: Context<ApiEnv>): Promise<string> {
    const declared = headerOf(c, "content-length");
    if (declared !== undefined && headerOf(c, "transfer-encoding") === undefined) {
      if (Number(declared) > maxBodyBytes) throw tooLarge();
      return c.req.raw.text();
    }
    let text = "";
    return counted(c, async () => {
      text = await c.req.text();
    }).then(() => text);
  }

  return async (c) => {
    requirePlainJson(c);
    const text = await wait(readText(c));
    // What is not UTF-8 was read as U+FFFD.
    if (text.includes("\uFFFD")) malformed();
    c.get("exchange").question = text;
    try {
      return JSON.parse(text);
    } catch {
      return malformed();
    }
  };
}

function requirePlainJson(c: Context<ApiEnv>): void {
  const type = headerOf(c, "content-type");
  const encoding = headerOf(c, "content-encoding");
  const isPlain = encoding === undefined || encoding === "identity";
  if (isPlain && (type === "application/json" || (type !== undefined && JSON_TYPE.test(type)))) return;
  throw new ProblemError("unsupported-media-type", PROBLEMS["unsupported-media-type"].meaning, {
    headers: {
      "Accept-Encoding": "identity",
      ...(c.req.method === "POST" && { "Accept-Post": "application/json" }),
    },
  });
}

function malformed(): never {
  throw new ProblemError("malformed-json", PROBLEMS["malformed-json"].meaning);
}

/**
 * Gives each body the same time to arrive. One timer serves all that wait: one for each costs more than reading
 * most bodies. Whoever waits has a
 * seat, which is emptied and taken again.
 */
function waitingRoom(patienceMs: number): (text: Promise<string>) => Promise<string> {
  const seats: ({ untilMs: number; late(): void } | null)[] = [];
  const free: number[] = [];
  let isTimed = false;
  const lookIn = (ms: number) => {
    isTimed = true;
    setTimeout(look, ms).unref();
  };
  const look = () => {
    isTimed = false;
    const now = performance.now();
    let next = Number.POSITIVE_INFINITY;
    for (const one of seats) {
      if (one === null) continue;
      if (one.untilMs <= now) one.late();
      else next = Math.min(next, one.untilMs);
    }
    if (next < Number.POSITIVE_INFINITY) lookIn(next - now);
  };
  return (text) =>
    new Promise((resolve, reject) => {
      const seat = free.pop() ?? seats.length;
      const untilMs = performance.now() + patienceMs;
      seats[seat] = { untilMs, late: () => reject(tooLate()) };
      if (!isTimed) lookIn(patienceMs);
      const leave = () => {
        seats[seat] = null;
        free.push(seat);
      };
      text.then(
        (read) => {
          leave();
          resolve(read);
        },
        (error) => {
          leave();
          reject(error);
        },
      );
    });
}

const tooLate = () =>
  new ProblemError("request-timeout", PROBLEMS["request-timeout"].meaning, {
    headers: { Connection: "close" },
  });
