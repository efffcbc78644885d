import type { Context } from "hono";
import type { ApiEnv } from "./context.ts";
import { type Bytes, encodingFor, LEAST_PACKED_BYTES, pack } from "./packing.ts";
import { isKnown, tagOfBytes } from "./preconditions.ts";
import { headerOf } from "./read/header.ts";

type Headers = Readonly<Record<string, string>>;

/** On everything: what a browser may do with an answer, whatever it is. */
export const COMMON_HEADERS: Headers = {
  "X-Content-Type-Options": "nosniff",
  "Referrer-Policy": "no-referrer",
  "Cross-Origin-Resource-Policy": "same-origin",
};

/** JSON is data: a browser that opens it shows it, and nothing in it runs, loads or is framed. */
export const JSON_HEADERS: Headers = {
  "Content-Type": "application/json",
  "Cache-Control": "no-store",
  "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
  ...COMMON_HEADERS,
};

/** JSON made for one request, packed or not as its client can unpack it. */
const MADE_HEADERS: Headers = { ...JSON_HEADERS, Vary: "Accept-Encoding" };

/** Revalidated on each use, and by nobody but who asked. */
const KEPT_BY_CALLER = "private, no-cache";

/**
 * The one way an answer leaves. Headers go as one plain object: set one by one on a finished answer they cost
 * more than placing a drink. TLS, and so its strict-transport header, belongs to whatever stands in front.
 */
export function send(
  c: Context<ApiEnv>,
  status: number,
  body: string | Uint8Array<ArrayBuffer> | ReadableStream<Uint8Array> | null,
  headers: Headers,
): Response {
  const { requestId, queuedMs = 0, workedMs } = c.get("exchange");
  // What differs comes first: copied headers with one more behind them are a new kind of object to the runtime
  // each time, which costs ten times as much here and slows all that reads them.
  const sent: Record<string, string> = { "X-Request-Id": requestId, ...headers };
  if (workedMs !== undefined) {
    sent["Server-Timing"] = `queue;dur=${queuedMs.toFixed(1)}, solve;dur=${workedMs.toFixed(1)}`;
  }
  return new Response(body, { status, headers: sent });
}

const packedFor = (c: Context<ApiEnv>, text: string | Bytes) =>
  text.length >= LEAST_PACKED_BYTES ? encodingFor(headerOf(c, "accept-encoding")) : null;

/** Answer with JSON, packed if it is long and the client can unpack it. */
export function sendJson(
  c: Context<ApiEnv>,
  data: unknown,
  status = 200,
  headers?: Headers,
): Response | Promise<Response> {
  return sendJsonText(c, JSON.stringify(data), status, headers);
}

/** The same with what is written already. */
export function sendJsonText(
  c: Context<ApiEnv>,
  text: string | Bytes,
  status = 200,
  headers?: Headers,
): Response | Promise<Response> {
  // A strong tag stands for these bytes and no others.
  const encoding = headers?.ETag === undefined ? packedFor(c, text) : null;
  const all = headers === undefined ? MADE_HEADERS : { ...MADE_HEADERS, ...headers };
  if (encoding === null) return send(c, status, text, all);
  return pack(text, encoding, "each").then((bytes) =>
    send(c, status, bytes, { ...all, "Content-Encoding": encoding }),
  );
}

/**
 * What is kept, as it stands: the caller's own browser may hold it and asks each time whether it still stands
 * (RFC 9110, section 13.1.2), which costs no body.
 *
 * @param version the tag of the thing itself, where it has one; default: the tag of the bytes
 */
export async function sendKept(
  c: Context<ApiEnv>,
  data: unknown,
  headers: Headers = {},
  version?: string,
): Promise<Response> {
  const text = JSON.stringify(data);
  const encoding = version === undefined ? packedFor(c, text) : null;
  const plain = version ?? tagOfBytes(text);
  const ETag = encoding ? `${plain.slice(0, -1)}-${encoding}"` : plain;
  const all = { ...JSON_HEADERS, "Cache-Control": KEPT_BY_CALLER, Vary: "Accept-Encoding", ...headers, ETag };
  if (isKnown(c, ETag)) return send(c, 304, null, all);
  if (encoding === null) return send(c, 200, text, all);
  return send(c, 200, await pack(text, encoding, "each"), { ...all, "Content-Encoding": encoding });
}
