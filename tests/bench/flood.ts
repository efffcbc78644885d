import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as after } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { quantile } from "d3";

// The built server under crowds: a flood of hard jobs beside easy ones, a polite group that comes at once, whoever
// comes back when told to, and clients that send much and read nothing. Each figure is a ratio within this run.

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
/** The easy ones, the hard ones, and the polite group. */
const EASY_CLIENTS = 4;
const HARD_CLIENTS = 16;
const GROUP = 32;
const SECONDS = 8;

export interface FloodBench {
  /** Easy solves a second under the flood, over those at rest. */
  easy: number;
  /** The 99th of 100 placings under the flood, over the same at rest. */
  placeP99: number;
  /** Of a group of solves that come at once, how many are answered. */
  group: number;
  /** Of those told to come back, how many are let in when they do; null when nobody was told. */
  retry: number | null;
  /** Peak memory while clients send much and read nothing, over the memory before. */
  unread: number;
}

interface Running {
  url: string;
  /** Resident memory, MB. */
  memoryMb(): number;
  stop(): Promise<void>;
}

async function start(): Promise<Running> {
  const built = join(ROOT, ".build", "bench", "server");
  execFileSync(join(ROOT, "node_modules/.bin/tsx"), ["api/build.ts", built], { cwd: ROOT });
  const folder = mkdtempSync(join(tmpdir(), "steelyard-flood-"));
  const child = spawn(process.execPath, [join(built, "main.js")], {
    env: { PATH: process.env.PATH, PORT: "0", DATA_DIR: folder },
    stdio: ["ignore", "pipe", "inherit"],
  });
  const url = await new Promise<string>((resolve) => {
    let log = "";
    child.stdout.on("data", (chunk) => {
      log = (log + chunk).slice(-1000);
      const at = /Steelyard is at (http:\/\/[^\s"]+)/.exec(log);
      if (at) resolve(at[1]!);
    });
  });
  return {
    url,
    memoryMb: () =>
      Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${child.pid}/status`, "utf8"))![1]) / 1000,
    stop: async () => {
      child.kill("SIGKILL");
      await once(child, "exit");
      rmSync(folder, { recursive: true });
    },
  };
}

let asked = 0;
/** A number that was not used before, so that no two requests are the same. */
const another = () => {
  asked += 1;
  return asked * 1e-5;
};

const target = { id: "family:sour" };
const line = (ingredient: string, amount: number) => ({ ingredient, amount, unit: "oz" });

const easy = () => ({
  spec: {
    name: "Sour",
    method: "shaken",
    lines: [line("rum-aged", 2 + another()), line("juice-lime", 0.25), line("syrup-simple-1-1", 1)],
  },
  target,
});

const hard = () => ({
  spec: {
    name: "Punch",
    method: "shaken",
    lines: [
      line("rum-aged", 1 + another()),
      line("rum-white", 1),
      line("juice-lime", 0.25),
      line("juice-lemon", 0.25),
      line("juice-pineapple", 1),
      line("juice-orange", 1),
      line("syrup-simple-1-1", 0.5),
      line("triple-sec-40", 0.5),
    ],
  },
  target,
  additions: ["honey", "juice-grapefruit-white", "syrup-simple-2-1"],
  minProbability: 0.95,
  timeBudgetMs: 5000,
});

interface Said {
  status: number;
  ms: number;
  retryAfter: number;
}

async function ask(url: string, body: object): Promise<Said> {
  const started = performance.now();
  const response = await fetch(url, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  await response.arrayBuffer();
  if (response.status !== 200 && response.status !== 503) throw new Error(`${url}: ${response.status}`);
  return {
    status: response.status,
    ms: performance.now() - started,
    retryAfter: Number(response.headers.get("retry-after") ?? Number.NaN),
  };
}

/** Clients that ask one thing after another until the time is over. */
async function crowd(clients: number, until: number, one: () => Promise<Said>): Promise<Said[]> {
  const client = async (): Promise<Said[]> => {
    const said: Said[] = [];
    while (performance.now() < until) {
      said.push(await one());
      // Who is refused waits a little, as even a careless client does.
      if (said.at(-1)!.status === 503) await after(100);
    }
    return said;
  };
  return (await Promise.all(Array.from({ length: clients }, client))).flat();
}

/** Easy solves a second, and the slow end of placing, while both are asked for some seconds. */
async function measure(url: string): Promise<{ easyPerSecond: number; placeP99Ms: number }> {
  const until = performance.now() + 1000 * SECONDS;
  const [solves, places] = await Promise.all([
    crowd(EASY_CLIENTS, until, () => ask(`${url}/v1/solve`, easy())),
    crowd(1, until, async () => {
      await after(2);
      return ask(`${url}/v1/place`, { spec: easy().spec });
    }),
  ]);
  return {
    easyPerSecond: solves.filter(({ status }) => status === 200).length / SECONDS,
    placeP99Ms: quantile(
      places.map(({ ms }) => ms),
      0.99,
    )!,
  };
}

/** Come back once when told to: whether the second time lets one in. */
async function comeBack(url: string, flood: Promise<Said>[]): Promise<boolean[]> {
  const refused = (await Promise.all(flood)).filter(({ status }) => status === 503);
  return Promise.all(
    refused.slice(0, 8).map(async ({ retryAfter }) => {
      await after(1000 * retryAfter);
      return (await ask(`${url}/v1/explore`, hard())).status === 200;
    }),
  );
}

/** Peak memory while many connections send many requests and read nothing, over the memory before. */
async function unread({ url, memoryMb }: Running): Promise<number> {
  const before = memoryMb();
  const get = "GET /v1/pantry HTTP/1.1\r\nHost: localhost\r\n\r\n".repeat(400);
  const { port, hostname } = new URL(url);
  const sockets = Array.from({ length: 100 }, () => {
    const socket = connect(Number(port), hostname).on("error", () => {});
    socket.pause();
    socket.write(get);
    return socket;
  });
  let peak = 0;
  for (let i = 0; i < 100; i += 1) {
    await after(100);
    peak = Math.max(peak, memoryMb());
  }
  for (const socket of sockets) socket.destroy();
  return peak / before;
}

export async function benchFlood(): Promise<FloodBench> {
  const server = await start();
  const { url } = server;
  try {
    await measure(url);
    const rest = await measure(url);

    const group = await Promise.all(Array.from({ length: GROUP }, () => ask(`${url}/v1/solve`, easy())));

    let isOver = false;
    const flood = Array.from({ length: HARD_CLIENTS }, async () => {
      while (!isOver) {
        const { status } = await ask(`${url}/v1/explore`, hard());
        if (status === 503) await after(100);
      }
    });
    await after(2000);
    const crowded = await measure(url);
    isOver = true;
    await Promise.all(flood);

    const back = await comeBack(
      url,
      Array.from({ length: 3 * HARD_CLIENTS }, () => ask(`${url}/v1/explore`, hard())),
    );
    return {
      easy: crowded.easyPerSecond / rest.easyPerSecond,
      placeP99: crowded.placeP99Ms / rest.placeP99Ms,
      group: group.filter(({ status }) => status === 200).length / GROUP,
      retry: back.length === 0 ? null : back.filter(Boolean).length / back.length,
      unread: await unread(server),
    };
  } finally {
    await server.stop();
  }
}
