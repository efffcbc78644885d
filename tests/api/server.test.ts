import { type ChildProcess, execFile, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { type AddressInfo, connect, createServer, type Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { EnvSchema, readEnv } from "../../api/settings.ts";
import { createCatalogue } from "../../engine/catalogue.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { readDocument } from "../docs/documents.ts";

// The built server, started as users start it. Built into a folder far from the project: what is built has all it
// needs, and finds neither the packages nor the data of the source.
const project = new URL("../..", import.meta.url).pathname;
let built: string;
let main: string;

beforeAll(async () => {
  built = mkdtempSync(join(tmpdir(), "steelyard-built-"));
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

/** How to start it, unless as it was built. */
interface Place {
  folder: string;
  args: string[];
}

function run(env: Record<string, string>, { folder, args }: Place = { folder: built, args: [main] }) {
  const child = spawn(process.execPath, args, {
    cwd: folder,
    env: { PATH: process.env.PATH, DATA_DIR: process.env.DATA_DIR, ...env },
  });
  running.add(child);
  let text = "";
  child.stdout!.on("data", (d) => (text += d));
  child.stderr!.on("data", (d) => (text += d));
  const exit = once(child, "exit").then(([code]) => code as number | null);
  return { child, log: () => text, exit };
}

async function start(env: Record<string, string> = {}, place?: Place): Promise<Started> {
  const started = run({ PORT: "0", ...env }, place);
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
  // All there is: a test does not depend on how busy the machine is.
  timeBudgetMs: 5000,
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
    await expect.poll(() => [first.answers(), second.answers()], { timeout: 20_000 }).toEqual([3, 1]);
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

  test("the port opens first: who asks at once is answered, and who stops it at once is heard", async () => {
    const asked = await start();
    const first = await fetch(`${asked.url}/readyz`);
    expect([first.status, await first.json()]).toEqual([200, { status: "ready" }]);
    const stopped = await start();
    stopped.child.kill("SIGTERM");
    expect(await stopped.exit).toBe(0);
    expect(stopped.log()).toContain("stopping");
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
    const knock = () =>
      fetch(`${url}/healthz`).then(
        (r) => `answered ${r.status}`,
        () => "closed",
      );
    await expect.poll(knock, { timeout: 10_000 }).toBe("closed");
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

describe("the built folder", () => {
  const beside = (name: string) => JSON.parse(readFileSync(join(built, "api", name), "utf8"));

  test("holds the reference data and the regions that the source gives", () => {
    const data = loadReferenceData();
    expect(beside("reference-data.json")).toEqual(data);
    expect(beside("regions.json")).toEqual(createCatalogue(data).view().regions());
  });

  test("passes on the licences of what is in it", () => {
    const { dependencies } = JSON.parse(readFileSync(join(project, "package.json"), "utf8")) as {
      dependencies: Record<string, string>;
    };
    const text = readFileSync(join(built, "api", "licences.txt"), "utf8");
    // Copied whole, with its licence in it.
    const copied = "@photostructure/sqlite";
    const stated = (name: string) => text.includes(`${name} ${dependencies[name]}: `);
    expect(Object.keys(dependencies).filter((name) => name !== copied && !stated(name))).toEqual([]);
    expect(readdirSync(join(built, "api", "node_modules", copied)).join()).toMatch(/LICENSE/);
    expect(text).toContain("Permission is hereby granted, free of charge");
  });

  test("is all that the server needs: placed, kept, read in the reference", async () => {
    const { url } = await start({ DATA_DIR: mkdtempSync(join(built, "data-")) });
    const placed = await fetch(`${url}/v1/place`, { method: "POST", headers: asJson, body: placeBody });
    expect((await placed.json()).placement.point.abvPercent).toBeGreaterThan(35);
    expect((await fetch(`${url}/docs/swagger-ui.css`)).status).toBe(200);
    const kept = await fetch(`${url}/v1/benches`);
    expect(kept.status, await kept.text()).toBe(200);
  });

  test("runs as the container file says", async () => {
    const file = readFileSync(join(project, "api", "Containerfile"), "utf8");
    const builder = ["podman", "docker", "buildah"].find((name) => spawnSync(name, ["info"]).status === 0);
    if (builder !== undefined) {
      const made = spawnSync(builder, ["build", "-f", "api/Containerfile", "."], { cwd: project });
      expect(made.status, String(made.stderr)).toBe(0);
      return;
    }
    // The same steps: its last COPY, ENV and CMD, in an empty folder that stands for the container's root.
    const [, to] = /^COPY --from=build \S+ (\S+)$/m.exec(file)!;
    const [, settings] = /^ENV (.+)$/m.exec(file)!;
    const [program, ...args] = JSON.parse(/^CMD (\[.+\])$/m.exec(file)![1]!) as string[];
    const root = mkdtempSync(join(tmpdir(), "steelyard-container-"));
    cpSync(built, join(root, to!), { recursive: true });
    const env = Object.fromEntries(settings!.split(" ").map((pair) => pair.split("=") as [string, string]));
    expect(program).toBe("node");
    const { url } = await start(
      { ...env, HOST: "127.0.0.1", DATA_DIR: join(root, env.DATA_DIR!), DRAIN_SECONDS: "0" },
      { folder: root, args: args.map((arg) => join(root, arg)) },
    );
    const placed = await fetch(`${url}/v1/place`, { method: "POST", headers: asJson, body: placeBody });
    expect(placed.status).toBe(200);
    rmSync(root, { recursive: true, force: true });
  }, 600_000);
});

// Explorations and routes are cut off by the clock: api/SELF-HOSTING.md says so, and they are not asked here.
test("three processes give the same bytes", async () => {
  const replicas = await Promise.all([start(), start(), start()]);
  const solve = JSON.parse(solveBody);
  const { spec, target } = solve;
  const asked: [string, object | null][] = [
    ["/v1/place", { spec, target, include: ["doubts", "models", "kin"] }],
    [
      "/v1/place",
      { spec: { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" } },
    ],
    ["/v1/solve", { ...solve, include: ["paths"] }],
    ["/v1/targets", null],
    ["/v1/targets?coverage=0.8", null],
    ["/v1/references", null],
    ["/openapi.json", null],
  ];
  for (const [path, body] of asked) {
    const answers: { tag: string | null; status: number; text: string }[] = [];
    // One after the other: a solve that has to share a processor may run out of time.
    for (const { url } of replicas) {
      const sent = body && { method: "POST", headers: asJson, body: JSON.stringify(body) };
      const response = await fetch(url + path, sent ?? {});
      answers.push({
        tag: response.headers.get("etag"),
        status: response.status,
        text: await response.text(),
      });
    }
    expect(answers[0]!.status, `${path}: ${answers[0]!.text}`).toBe(200);
    for (const other of answers.slice(1)) expect(other, path).toEqual(answers[0]);
  }
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
