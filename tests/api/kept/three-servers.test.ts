import { type ChildProcess, spawn } from "node:child_process";
import { afterAll, beforeAll, expect, test } from "vitest";
import { bundleProgram } from "../store/kill-writers.ts";
import { type PostgresServer, startPostgres } from "../store/postgres-server.ts";
import { SPEC } from "./kept-app.ts";

// Three server processes on one Postgres database, under load, one of them killed in the middle of it.

const CLIENTS = 6;
const ROUNDS_EACH = 15;
const KILL_AFTER = 30;

interface Server {
  process: ChildProcess;
  url: string;
}

const running: ChildProcess[] = [];
let postgres: PostgresServer;
let program: string;
let databaseUrl: string;
beforeAll(async () => {
  [postgres, program] = await Promise.all([startPostgres(), bundleProgram("api/main.ts")]);
  databaseUrl = await postgres.freshUrl();
});
afterAll(async () => {
  for (const process of running) process.kill("SIGKILL");
  await postgres.stop();
});

function startServer(): Promise<Server> {
  const child = spawn(process.execPath, [program], {
    env: { PATH: process.env.PATH, PORT: "0", DATABASE_URL: databaseUrl },
    stdio: ["ignore", "pipe", "pipe"],
  });
  running.push(child);
  return new Promise((resolve, reject) => {
    let log = "";
    const hear = (chunk: Buffer) => {
      log += chunk;
      const url = /Steelyard is at (http:\/\/[^\s"]+)/.exec(log)?.[1];
      if (url) resolve({ process: child, url });
    };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("exit", (code) => reject(new Error(`ended with ${code}: ${log}`)));
  });
}

test("nothing acknowledged is lost or doubled, whichever server is asked", { timeout: 300_000 }, async () => {
  const servers = await Promise.all([startServer(), startServer(), startServer()]);
  const acknowledged: string[] = [];
  let isKilled = false;

  /** Ask one server, and the next where that one fails: the request can be sent again without harm. */
  async function put(first: number, path: string, body: unknown): Promise<number> {
    for (let tries = 0; ; tries += 1) {
      const server = servers[(first + tries) % servers.length]!;
      try {
        const response = await fetch(server.url + path, {
          method: "PUT",
          headers: { "Content-Type": "application/json", "If-None-Match": "*" },
          body: JSON.stringify(body),
        });
        if (response.status < 500) return response.status;
        throw new Error(`${response.status}: ${await response.text()}`);
      } catch (error) {
        if (tries === 20) throw error;
      }
    }
  }

  expect(await put(0, "/v1/benches/shared", { name: "Shared" })).toBe(201);
  const client = async (number: number): Promise<void> => {
    for (let i = 0; i < ROUNDS_EACH; i += 1) {
      const id = `c${number}-${i}`;
      const status = await put(number + i, `/v1/benches/shared/rounds/${id}`, { spec: SPEC, number: 1 });
      // 200: made by an attempt whose answer was lost with the killed server.
      expect([200, 201]).toContain(status);
      acknowledged.push(id);
      if (acknowledged.length >= KILL_AFTER && !isKilled) {
        isKilled = true;
        servers[0]!.process.removeAllListeners("exit");
        servers[0]!.process.kill("SIGKILL");
      }
    }
  };
  await Promise.all(Array.from({ length: CLIENTS }, (_, number) => client(number)));
  expect(isKilled).toBe(true);
  servers[0] = await startServer();

  expect(new Set(acknowledged).size).toBe(CLIENTS * ROUNDS_EACH);
  const wanted = [...acknowledged].sort();
  for (const { url } of servers) {
    const list = await (await fetch(`${url}/v1/benches/shared/rounds`)).json();
    expect((list.records as { id: string }[]).map(({ id }) => id).sort()).toEqual(wanted);
    const history = await (await fetch(`${url}/v1/history`)).json();
    const more = await (await fetch(`${url}/v1/history?before=${history.changes.at(-1).version}`)).json();
    const written = [...history.changes, ...more.changes]
      .map(({ change }) => change)
      .filter(({ kind }) => kind === "round");
    expect(written.map(({ id }: { id: string }) => id).sort()).toEqual(wanted);
  }
});
