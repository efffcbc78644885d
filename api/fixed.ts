import type { Context } from "hono";
import type { ApiEnv } from "./context.ts";
import { type Endpoint, endpoint, type Input, type RouteDescription } from "./endpoint.ts";
import { type Bytes, type Encoding, encodingFor, LEAST_PACKED_BYTES, pack } from "./packing.ts";
import { isKnown, tagOfBytes } from "./preconditions.ts";
import { JSON_HEADERS, send } from "./send.ts";

/*
 * Answers that are the same for everyone until the next release: written out, hashed and packed once, whoever
 * asks how often. A client that asks and never reads then holds a reference to bytes that exist anyway.
 */

/** Fonts and pictures are packed already. */
const PACKABLE = /^(?:text\/|application\/(?:json|javascript|manifest\+json)|image\/svg)/;

/** Bytes with everything needed to send them. */
export interface Fixed {
  readonly bytes: Bytes;
  readonly tag: string;
  readonly headers: Readonly<Record<string, string>>;
  /** The packed bytes; packed when first asked for, and kept. */
  packed(encoding: Encoding): Promise<Bytes>;
}

/** Revalidated on each use, which costs one round trip and no body. */
const REVALIDATE = "no-cache";

export function fixed(body: string | Bytes, headers: Readonly<Record<string, string>>): Fixed {
  const bytes = typeof body === "string" ? new TextEncoder().encode(body) : body;
  const kept: Partial<Record<Encoding, Promise<Bytes>>> = {};
  return {
    bytes,
    tag: tagOfBytes(bytes),
    headers: { "Cache-Control": REVALIDATE, Vary: "Accept-Encoding", ...headers },
    packed: (encoding) => (kept[encoding] ??= pack(bytes, encoding, "once")),
  };
}

/** JSON the same for everyone. */
export function fixedJson(data: unknown): Fixed {
  return fixed(JSON.stringify(data), { ...JSON_HEADERS, "Cache-Control": REVALIDATE });
}

/** Send fixed bytes, packed if the client can unpack them; or say that it already has them. */
export async function sendFixed(c: Context<ApiEnv>, answer: Fixed): Promise<Response> {
  const { bytes, headers } = answer;
  const packable = bytes.byteLength >= LEAST_PACKED_BYTES && PACKABLE.test(headers["Content-Type"] ?? "");
  const encoding = packable ? encodingFor(c.req.header("accept-encoding")) : null;
  const tag = encoding ? `${answer.tag.slice(0, -1)}-${encoding}"` : answer.tag;
  if (isKnown(c, tag)) return send(c, 304, null, { ...headers, ETag: tag });
  const body = encoding ? await answer.packed(encoding) : bytes;
  return send(c, 200, body, {
    ...headers,
    ETag: tag,
    ...(encoding && { "Content-Encoding": encoding }),
  });
}

/**
 * A route whose answers depend on nothing but its path and query.
 *
 * @param make the data of one answer; what it throws is answered and not kept
 * @param keyOf a text for each different answer; there may be as many as the server can keep, and no more
 */
export function fixedEndpoint<const R extends RouteDescription>(
  route: R,
  make: (input: Input<R>) => unknown,
  keyOf: (input: Input<R>) => string = () => "",
): Endpoint {
  const kept = new Map<string, Fixed>();
  const sent = endpoint(route, (input, c) => {
    const key = keyOf(input);
    let answer = kept.get(key);
    if (!answer) {
      answer = fixedJson(make(input));
      kept.set(key, answer);
    }
    return sendFixed(c, answer);
  });
  return { ...sent, hasTag: true };
}
