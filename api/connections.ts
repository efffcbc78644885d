import type { RequestListener } from "node:http";
import type { Duplex } from "node:stream";
import { PROBLEM_MEDIA_TYPE, PROBLEMS, type ProblemSlug } from "./problems/registry.ts";

/** What a connection has at work: requests begun and not yet fully sent, and those that wait for their turn. */
interface Line {
  pending: number;
  waiting: (() => void)[];
}

const lines = new WeakMap<Duplex, Line>();

/**
 * Answer the requests of one connection one at a time: a client may send many at once (pipelining) and read none
 * of the answers. Each is begun when the one before has left, and when other connections have had their turn, so
 * that a connection holds one answer in memory and one place in the line for the processor, however much it sends.
 * It is ended when more than `most` are at work or waiting; whoever pipelines has to expect that (RFC 9112,
 * section 9.3.2).
 */
export function inTurn(listener: RequestListener, most: number): RequestListener {
  return (incoming, outgoing) => {
    const { socket } = incoming;
    // Node hands over what it has read at once, also when the connection was ended in the middle of it.
    if (socket.destroyed) return;
    let line = lines.get(socket);
    if (!line) {
      line = { pending: 0, waiting: [] };
      lines.set(socket, line);
    }
    const { waiting } = line;
    if (line.pending >= most) {
      waiting.length = 0;
      socket.destroy();
      return;
    }
    line.pending += 1;
    outgoing.once("close", () => {
      line.pending -= 1;
      const next = waiting.shift();
      if (next) setImmediate(next);
    });
    if (line.pending === 1) listener(incoming, outgoing);
    else waiting.push(() => socket.destroyed || listener(incoming, outgoing));
  };
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
