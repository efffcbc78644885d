import type { Context } from "hono";
import type { ApiEnv } from "./context.ts";
import { encodingFor, LEAST_PACKED_BYTES, pack } from "./packing.ts";

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
  const sent: Record<string, string> = { ...headers, "X-Request-Id": requestId };
  if (workedMs !== undefined) {
    sent["Server-Timing"] = `queue;dur=${queuedMs.toFixed(1)}, solve;dur=${workedMs.toFixed(1)}`;
  }
  return new Response(body, { status, headers: sent });
}

/** Answer with JSON, packed if it is long and the client can unpack it. */
export function sendJson(
  c: Context<ApiEnv>,
  data: unknown,
  status = 200,
  headers: Headers = {},
): Response | Promise<Response> {
  const text = JSON.stringify(data);
  // A strong tag stands for these bytes and no others.
  const isPackable = text.length >= LEAST_PACKED_BYTES && headers.ETag === undefined;
  const encoding = isPackable ? encodingFor(c.req.header("accept-encoding")) : null;
  const all = { ...JSON_HEADERS, Vary: "Accept-Encoding", ...headers };
  if (encoding === null) return send(c, status, text, all);
  return pack(text, encoding, "each").then((bytes) =>
    send(c, status, bytes, { ...all, "Content-Encoding": encoding }),
  );
}
