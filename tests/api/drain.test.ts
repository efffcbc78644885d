import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { Agent, get } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { bundleProgram } from "./store/kill-writers.ts";

// Told to stop while twenty clients keep their connections busy: no request that was sent is reset.

const CLIENTS = 20;
/** Long enough for each client to have its turn on a machine with much else to do. */
const DRAIN_SECONDS = 3;

const folder = mkdtempSync(join(tmpdir(), "steelyard-drain-"));
let program: string;
let server: ChildProcess;
beforeAll(async () => {
  program = await bundleProgram("api/main.ts");
});
afterAll(() => {
  server?.kill("SIGKILL");
  rmSync(folder, { recursive: true, force: true });
});

function start(): Promise<string> {
  server = spawn(process.execPath, [program], {
    env: { PATH: process.env.PATH, PORT: "0", DATA_DIR: folder, DRAIN_SECONDS: String(DRAIN_SECONDS) },
    stdio: ["ignore", "pipe", "pipe"],
  });
  return new Promise((resolve, reject) => {
    let log = "";
    const hear = (chunk: Buffer) => {
      log += chunk;
      const url = /Steelyard is at (http:\/\/[^\s"]+)/.exec(log)?.[1];
      if (url) resolve(url);
    };
    server.stdout!.on("data", hear);
    server.stderr!.on("data", hear);
    server.on("exit", (code) => reject(new Error(`ended with ${code}: ${log}`)));
  });
}

interface Heard {
  status: number;
  closes: boolean;
}

function ask(url: string, agent: Agent): Promise<Heard> {
  return new Promise((resolve, reject) => {
    get(url, { agent }, (response) => {
      response.resume();
      response.on("error", reject);
      response.on("end", () =>
        resolve({ status: response.statusCode!, closes: response.headers.connection === "close" }),
      );
    }).on("error", reject);
  });
}

test("draining: each client hears that it must move on, and none is reset", { timeout: 60_000 }, async () => {
  const url = await start();
  const ended = new Promise<number | null>((resolve) => server.on("exit", resolve));
  const troubles: string[] = [];
  let answered = 0;
  let told = 0;
  /** As a proxy does: asks on, over one kept connection, until an answer says that it is the last. */
  const client = async () => {
    const agent = new Agent({ keepAlive: true, maxSockets: 1 });
    for (let closes = false; !closes; ) {
      try {
        const heard = await ask(`${url}/v1/targets`, agent);
        if (heard.status !== 200) troubles.push(`status ${heard.status}`);
        closes = heard.closes;
        answered += 1;
      } catch (error) {
        troubles.push(String((error as NodeJS.ErrnoException).code ?? error));
        break;
      }
      if (closes) told += 1;
    }
    agent.destroy();
  };
  const clients = Array.from({ length: CLIENTS }, client);
  while (answered < 5 * CLIENTS) await new Promise((resolve) => setTimeout(resolve, 10));
  const ready = await fetch(`${url}/readyz`);
  expect(ready.status).toBe(200);
  server.kill("SIGTERM");
  await Promise.all(clients);
  expect(troubles).toEqual([]);
  expect(told).toBe(CLIENTS);
  expect(await ended).toBe(0);
});
