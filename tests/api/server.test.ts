import { type ChildProcess, execFile, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { type AddressInfo, connect, createServer, type Socket } from "node:net";
import { join } from "node:path";
import { promisify } from "node:util";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { EnvSchema, readEnv } from "../../api/settings.ts";
import { readDocument } from "../docs/documents.ts";

// The built server, started as users start it. Built into a folder of this test's own, inside the
// project so that packages and data are found as they are for .build/api/main.js.
const project = new URL("../..", import.meta.url).pathname;
let built: string;
let main: string;

beforeAll(async () => {
  mkdirSync(join(project, ".build"), { recursive: true });
  built = mkdtempSync(join(project, ".build", "test-"));
  main = join(built, "api", "main.js");
  await promisify(execFile)(join(project, "node_modules/.bin/tsx"), ["api/build.ts", join(built, "api")], {
    cwd: project,
  });
});
afterAll(() => rmSync(built, { recursive: true, force: true }));

const running = new Set<ChildProcess>();
afterEach(() => {
  for (const child of running) child.kill("SIGKILL");
  running.clear();
});

interface Started {
  child: ChildProcess;
  url: string;
  log: () => string;
  exit: Promise<number | null>;
}

function run(env: Record<string, string>) {
  const child = spawn(process.execPath, [main], {
    cwd: project,
    env: { PATH: process.env.PATH, DATA_DIR: process.env.DATA_DIR, ...env },
  });
  running.add(child);
  let text = "";
  child.stdout!.on("data", (d) => (text += d));
  child.stderr!.on("data", (d) => (text += d));
  const exit = once(child, "exit").then(([code]) => code as number | null);
  return { child, log: () => text, exit };
}

async function start(env: Record<string, string> = {}): Promise<Started> {
  const started = run({ PORT: "0", ...env });
  const url = await new Promise<string>((resolve, reject) => {
    started.child.stdout!.on("data", () => {
      const at = /Steelyard is at (http:\/\/[^\s"]+)/.exec(started.log());
      if (at) resolve(at[1]!);
    });
    void started.exit.then((code) => reject(new Error(`ended with ${code}: ${started.log()}`)));
  });
  return { ...started, url };
}

const solveBody = JSON.stringify({
  spec: {
    name: "Dull sour",
    method: "shaken",
    lines: [
      { ingredient: "rum-aged", amount: 2, unit: "oz" },
      { ingredient: "juice-lime", amount: 0.25, unit: "oz" },
      { ingredient: "syrup-simple-1-1", amount: 1, unit: "oz" },
    ],
  },
  target: { id: "family:sour" },
});
const asJson = { "Content-Type": "application/json" };

describe("the built server", () => {
  test("listens on loopback, describes itself, and solves on its own thread", async () => {
    const shown = { status: "ok" };
    // As the build's last step writes it; openapi.test.ts makes the whole of it.
    writeFileSync(join(built, "api", "examples.json"), JSON.stringify({ health: { 200: shown } }));
    const { url } = await start();
    expect(url).toMatch(/^http:\/\/127\.0\.0\.1:\d+$/);
    const health = await (await fetch(`${url}/healthz`)).json();
    expect(health.status).toBe("ok");
    expect(health.provenance.engine).toMatch(/^\d+\.\d+\.\d+/);
    const document = await (await fetch(`${url}/openapi.json`)).json();
    expect(document.paths["/healthz"].get.responses["200"].content["application/json"].example).toEqual(
      shown,
    );
    expect(Object.keys(document.paths)).toContain("/v1/solve");
    expect((await fetch(`${url}/docs/swagger-ui-bundle.js`)).status).toBe(200);
    const solved = await fetch(`${url}/v1/solve`, { method: "POST", headers: asJson, body: solveBody });
    const answer = await solved.json();
    expect(solved.status, JSON.stringify(answer)).toBe(200);
    expect(answer.result.status).toBe("optimal");
  });

  test("takes as many connections and as many requests on each as it is set to, and no more", async () => {
    const { url } = await start({ MAX_CONNECTIONS: "2", MAX_PIPELINED: "3" });
    const port = Number(new URL(url).port);
    const asking = (count: number) => {
      const socket = connect(port, "127.0.0.1").on("error", () => {});
      socket.write("GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n".repeat(count));
      let answers = 0;
      socket.on("data", (d) => (answers += String(d).match(/HTTP\/1\.1 200/g)?.length ?? 0));
      return { socket, answers: () => answers };
    };
    // The server may end it in the middle of what was sent, which is an error at this end.
    const ended = ({ socket }: { socket: Socket }) => new Promise((closed) => socket.once("close", closed));
    const [first, second] = [asking(3), asking(1)];
    await expect.poll(() => [first.answers(), second.answers()]).toEqual([3, 1]);
    const third = asking(1);
    await ended(third);
    expect(third.answers()).toBe(0);
    second.socket.write("GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n".repeat(4));
    await ended(second);
    expect(first.socket.destroyed).toBe(false);
    first.socket.destroy();
  });

  test("passes on what the engine says about a bad solve, across the thread", async () => {
    const { url } = await start();
    const body = JSON.parse(solveBody);
    body.spec.lines = body.spec.lines.map((l: object) => ({ ...l, amount: 0 }));
    const response = await fetch(`${url}/v1/solve`, {
      method: "POST",
      headers: asJson,
      body: JSON.stringify(body),
    });
    expect(response.status).toBe(422);
    expect((await response.json()).errors.length).toBeGreaterThan(0);
  });

  test("computes the family regions once it listens, without being asked", async () => {
    const { log } = await start({ LOG_LEVEL: "debug" });
    await expect.poll(log, { timeout: 10_000 }).toContain("family regions ready");
    expect(log()).not.toContain("/v1/targets");
  });

  test("says when its port is taken", async () => {
    const other = createServer().listen(0, "127.0.0.1");
    await once(other, "listening");
    const port = (other.address() as AddressInfo).port;
    const { exit, log } = run({ PORT: String(port) });
    expect(await exit).toBe(1);
    expect(log()).toContain(`port ${port} on 127.0.0.1 is in use`);
    expect(log()).not.toContain("    at ");
    other.close();
  });

  test("says which setting is wrong", async () => {
    const { exit, log } = run({ PORT: "lots" });
    expect(await exit).toBe(1);
    expect(log()).toContain("PORT=lots");
  });

  test.each(["SIGTERM", "SIGINT"] as const)("on %s answers what is in flight, then stops", async (signal) => {
    const { child, url, exit, log } = await start();
    const port = Number(new URL(url).port);
    // A request whose body is still arriving when the signal comes.
    const socket = connect(port, "127.0.0.1");
    let answer = "";
    socket.on("data", (d) => (answer += d));
    socket.write(
      `POST /v1/place HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: ${placeBody.length}\r\nConnection: close\r\n\r\n${placeBody.slice(0, 20)}`,
    );
    await new Promise((r) => setTimeout(r, 200));
    child.kill(signal);
    await new Promise((r) => setTimeout(r, 200));
    await expect(fetch(`${url}/healthz`)).rejects.toThrow();
    socket.write(placeBody.slice(20));
    await once(socket, "close");
    expect(answer).toMatch(/^HTTP\/1\.1 200 /);
    expect(answer).toContain('"placement"');
    expect(await exit, log()).toBe(0);
    expect(log()).toContain("stopped");
  });

  test("does not wait for ever: past the time allowed it closes what is open", async () => {
    const { child, url, exit } = await start({ SHUTDOWN_SECONDS: "0.3" });
    const socket = connect(Number(new URL(url).port), "127.0.0.1");
    socket.on("error", () => {});
    socket.write(
      `POST /v1/place HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 500\r\n\r\n{`,
    );
    await new Promise((r) => setTimeout(r, 200));
    child.kill("SIGTERM");
    expect(await exit).toBe(1);
    socket.destroy();
  });
});

const placeBody = JSON.stringify({
  spec: { name: "Neat", method: "none", lines: [{ ingredient: "rum-aged", amount: 2, unit: "oz" }] },
});

describe("settings", () => {
  test("have safe defaults", () => {
    expect(readEnv({})).toEqual({
      env: {
        HOST: "127.0.0.1",
        PORT: 8787,
        LOG_LEVEL: "info",
        CORS_ORIGINS: [],
        OPEN_ON_THIS_MACHINE: "true",
        MAX_WAIT_SECONDS: 15,
        SOLVE_SECONDS: 2,
        MAX_BODY_KB: 64,
        BODY_SECONDS: 10,
        MAX_CONNECTIONS: 2000,
        MAX_PIPELINED: 16,
        KEEP_ALIVE_SECONDS: 5,
        DRAIN_SECONDS: 0,
        SHUTDOWN_SECONDS: 10,
      },
    });
    expect(readEnv({ PORT: "" })).toMatchObject({ env: { PORT: 8787 } });
  });

  test.each([
    [{ PORT: "70000" }, "PORT"],
    [{ PORT: "80.5" }, "PORT"],
    [{ LOG_LEVEL: "loud" }, "LOG_LEVEL"],
    [{ SHUTDOWN_SECONDS: "-1" }, "SHUTDOWN_SECONDS"],
    [{ CORS_ORIGINS: "https://bar.example/path" }, "CORS_ORIGINS"],
    [{ SOLVERS: "0" }, "SOLVERS"],
  ])("name the wrong one: %o", (vars, name) => {
    expect(readEnv(vars as unknown as Record<string, string>)).toEqual({
      errors: [expect.stringContaining(name)],
    });
  });

  test("all stand in the self-hosting page, with what each does by default", () => {
    const rows = Object.entries(EnvSchema.shape).map(([name, shape]) => {
      const usual = shape.safeParse(undefined).data;
      const written = usual === undefined || String(usual) === "" ? "" : `\`${usual}\``;
      return `| \`${name}\` | ${written} | ${shape.description} |`.replace(/ +/g, " ");
    });
    const told = readDocument("api/SELF-HOSTING.md").text.match(/^\| `.*$/gm) ?? [];
    expect(told.map((row) => row.replace(/ +/g, " "))).toEqual(rows);
  });
});
