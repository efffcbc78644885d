import type { Duplex } from "node:stream";
import { PROBLEM_MEDIA_TYPE, PROBLEMS, type ProblemSlug } from "./problems/registry.ts";

/** What a connection has at work: requests begun and not yet fully answered. */
const pending = new WeakMap<Duplex, number>();

/** What Node has of a request. */
interface Bindings {
  incoming: { socket: Duplex };
  outgoing: { once(event: "close", listener: () => void): unknown };
}

/**
 * Count a request against its connection, and end the connection when it is one too many: a client may send
 * many at once (pipelining) and read none of the answers, which are then kept for it. Whoever pipelines has to
 * expect that (RFC 9112, section 9.3.2).
 */
export function isOneTooMany({ incoming: { socket }, outgoing }: Bindings, most: number): boolean {
  const before = pending.get(socket) ?? 0;
  if (before >= most) {
    socket.destroy();
    return true;
  }
  pending.set(socket, before + 1);
  outgoing.once("close", () => pending.set(socket, (pending.get(socket) ?? 1) - 1));
  return false;
}

/** What Node's parser found wrong before there was a request, by its code. */
const BY_CODE: Record<string, ProblemSlug> = {
  ERR_HTTP_REQUEST_TIMEOUT: "request-timeout",
  HPE_HEADER_OVERFLOW: "headers-too-large",
};

/** Answer on a bare connection, which ends with it. */
export function endWithProblem(socket: Duplex, slug: ProblemSlug): void {
  if (!socket.writable) {
    socket.destroy();
    return;
  }
  const { status, title, meaning } = PROBLEMS[slug];
  const body = JSON.stringify({
    type: `/problems/${slug}`,
    title,
    status,
    detail: meaning,
    instance: "",
    requestId: "",
    errors: [],
  });
  socket.end(
    [
      `HTTP/1.1 ${status} ${title}`,
      `Content-Type: ${PROBLEM_MEDIA_TYPE}`,
      `Content-Length: ${Buffer.byteLength(body)}`,
      "Connection: close",
      "",
      body,
    ].join("\r\n"),
  );
}

/** Node's own refusals, as problem documents like all others. */
export function onClientError(error: NodeJS.ErrnoException, socket: Duplex): void {
  if (error.code === "ECONNRESET") socket.destroy();
  else endWithProblem(socket, BY_CODE[error.code ?? ""] ?? "bad-request");
}
