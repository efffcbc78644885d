import { setImmediate } from "node:timers/promises";
import type { Context } from "hono";
import type { ApiEnv } from "./context.ts";
import { problemOf } from "./problems/doors.ts";
import { ProblemError, problemDocument } from "./problems/problem.ts";
import { PROBLEMS } from "./problems/registry.ts";
import { headerOf } from "./read/header.ts";
import { JSON_HEADERS, send } from "./send.ts";

/*
 * One question a line, one answer a line (NDJSON). A line is read when the client has room for an answer and
 * not before, so that memory is bounded by one line however many there are, and a client that does not read
 * is not worked for.
 */

export const LINES_TYPE = "application/x-ndjson";

const IN_LINES = new RegExp(`^\\s*${LINES_TYPE}\\s*(?:;|$)`, "i");

/** Other requests get their turn after this much work. */
const TURN_MS = 10;

/** Whether a request brings its questions in lines. */
export function isInLines(c: Context<ApiEnv>): boolean {
  const type = headerOf(c, "content-type");
  return type !== undefined && IN_LINES.test(type) && headerOf(c, "content-encoding") === undefined;
}

/** The lines of a stream of bytes; null for one that is longer than `mostBytes` (which is skipped). */
async function* linesOf(stream: AsyncIterable<Uint8Array>, mostBytes: number): AsyncGenerator<string | null> {
  const decoder = new TextDecoder();
  let rest = "";
  let isTooLong = false;
  for await (const chunk of stream) {
    const parts = (rest + decoder.decode(chunk, { stream: true })).split("\n");
    rest = parts.pop()!;
    for (const part of parts) {
      yield isTooLong || part.length > mostBytes ? null : part;
      isTooLong = false;
    }
    if (rest.length > mostBytes) {
      isTooLong = true;
      rest = "";
    }
  }
  rest += decoder.decode();
  if (isTooLong || rest !== "") yield isTooLong ? null : rest;
}

function readLine(line: string | null, mostBytes: number): unknown {
  if (line === null) throw new ProblemError("too-large", `a line may have ${mostBytes} bytes`);
  // What is not UTF-8 was read as U+FFFD.
  if (line.includes("\uFFFD")) throw new ProblemError("malformed-json", PROBLEMS["malformed-json"].meaning);
  try {
    return JSON.parse(line);
  } catch {
    throw new ProblemError("malformed-json", PROBLEMS["malformed-json"].meaning);
  }
}

/**
 * Answer each line of the body by itself, in order: `{"line": n, "answer": …}`, or `{"line": n, "problem": …}`
 * with a problem document for a line that cannot be answered, which does not stop the others. Empty lines are
 * skipped; lines count from 1.
 */
export function answerLines(
  c: Context<ApiEnv>,
  mostBytes: number,
  answer: (body: unknown) => Promise<string>,
): Response {
  async function* answers(): AsyncGenerator<Uint8Array> {
    const encoder = new TextEncoder();
    const body = c.req.raw.body;
    let number = 0;
    let turn = performance.now();
    for await (const line of body ? linesOf(body, mostBytes) : []) {
      number += 1;
      if (line !== null && line.trim() === "") continue;
      if (performance.now() - turn > TURN_MS) {
        await setImmediate();
        turn = performance.now();
      }
      let said: string;
      try {
        said = `"answer":${await answer(readLine(line, mostBytes))}`;
      } catch (error) {
        const { slug, message, particulars } = problemOf(error, c);
        said = `"problem":${JSON.stringify(problemDocument(c, slug, message, particulars))}`;
      }
      yield encoder.encode(`{"line":${number},${said}}\n`);
    }
  }
  const iterator = answers();
  const stream = new ReadableStream<Uint8Array>({
    async pull(controller) {
      const { done, value } = await iterator.next();
      if (done) controller.close();
      else controller.enqueue(value);
    },
    cancel: async () => void (await iterator.return(undefined)),
  });
  return send(c, 200, stream, {
    ...JSON_HEADERS,
    "Content-Type": LINES_TYPE,
  });
}
