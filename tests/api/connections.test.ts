import { once } from "node:events";
import { createServer, type RequestListener, type Server } from "node:http";
import { type AddressInfo, connect, type Socket } from "node:net";
import { afterEach, describe, expect, test } from "vitest";
import { inTurn } from "../../api/connections.ts";

// Many requests on one connection at once (RFC 9112, section 9.3.2), and answers that nobody reads. What that does
// to the server's memory is measured in tests/bench/flood.ts.

const MOST = 16;
const servers = new Set<Server>();
const sockets = new Set<Socket>();
afterEach(() => {
  for (const socket of sockets) socket.destroy();
  for (const server of servers) server.close();
  sockets.clear();
  servers.clear();
});

async function serve(listener: RequestListener): Promise<(paths: readonly string[]) => Socket> {
  const server = createServer(inTurn(listener, MOST)).listen(0, "127.0.0.1");
  servers.add(server);
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  return (paths) => {
    const socket = connect(port, "127.0.0.1").on("error", () => {});
    sockets.add(socket);
    socket.write(paths.map((path) => `GET ${path} HTTP/1.1\r\nHost: x\r\n\r\n`).join(""));
    return socket;
  };
}

const numbered = (count: number, name = "") => Array.from({ length: count }, (_, i) => `/${name}${i}`);

/** Read until the last of the paths was answered; the paths in the order of their answers. */
async function answersTo(socket: Socket, last: string): Promise<string[]> {
  const answered: string[] = [];
  let rest = "";
  for await (const chunk of socket) {
    rest += chunk;
    answered.push(...[...rest.matchAll(/<(\/\w+)>/g)].map(([, path]) => path!));
    if (answered.at(-1) === last) break;
    // The start of a mark may be at the end of a chunk.
    rest = rest.slice(rest.lastIndexOf("<")).match(/^<[^>]*$/)?.[0] ?? "";
  }
  return answered;
}

test("as many as are allowed are answered in order, one at a time", async () => {
  let atWork = 0;
  let mostAtWork = 0;
  const send = await serve((incoming, outgoing) => {
    atWork += 1;
    mostAtWork = Math.max(mostAtWork, atWork);
    outgoing.once("close", () => (atWork -= 1));
    setImmediate(() => outgoing.end(`<${incoming.url}>`));
  });
  const paths = numbered(MOST);
  expect(await answersTo(send(paths), paths.at(-1)!)).toEqual(paths);
  expect(mostAtWork).toBe(1);
});

test("one more ends the connection, and nobody else's", async () => {
  const begun: string[] = [];
  const send = await serve((incoming, outgoing) => {
    begun.push(incoming.url!);
    setImmediate(() => outgoing.end(`<${incoming.url}>`));
  });
  const greedy = send(numbered(MOST + 1, "greedy"));
  await new Promise((closed) => greedy.resume().once("close", closed));
  expect(begun).toEqual(["/greedy0"]);
  expect(await answersTo(send(["/polite"]), "/polite")).toEqual(["/polite"]);
});

test("another connection's turn comes between those of one that sends many", async () => {
  const begun: string[] = [];
  const send = await serve((incoming, outgoing) => {
    begun.push(incoming.url!);
    outgoing.end(`<${incoming.url}>`);
  });
  const many = numbered(MOST, "many");
  const others = ["/a", "/b", "/c"];
  const answers = [send(many), ...others.map((path) => send([path]))].map((socket, i) =>
    answersTo(socket, [many.at(-1)!, ...others][i]!),
  );
  await Promise.all(answers);
  expect(begun).toHaveLength(MOST + others.length);
  for (const other of others) expect(begun.indexOf(other)).toBeLessThan(begun.indexOf(many.at(-1)!));
});

describe("answers that are not read", () => {
  // More than the two ends of a loopback connection hold between them (Linux: at most 4 + 6 MiB by default).
  const large = "x".repeat(16 * 1024 * 1024);

  test("are not made: one is in memory, and the next is begun when it has left", async () => {
    const begun: string[] = [];
    const send = await serve((incoming, outgoing) => {
      begun.push(incoming.url!);
      outgoing.end(`<${incoming.url}>${large}`);
    });
    const paths = numbered(4);
    const socket = send(paths).pause();
    await expect.poll(() => begun.length).toBe(1);
    // The server goes on with others meanwhile, and still not with these.
    const other = send(["/other"]);
    await answersTo(other, "/other");
    expect(begun).toEqual([paths[0], "/other"]);
    expect(await answersTo(socket.resume(), paths.at(-1)!)).toEqual(paths);
  });
});
