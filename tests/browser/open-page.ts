import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, type BrowserContext, chromium, type Page, type Request } from "playwright-core";
import { expect } from "vitest";

const ROOT = new URL("../..", import.meta.url).pathname;
const SERVER = join(ROOT, ".build/api/main.js");
const BUILT_PAGE = join(ROOT, ".build/viz/index.html");

/** Flags without which Chromium looks up hosts of its own and needs a graphics card. */
const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** The built server and a browser, both started for one test file. */
export interface Site {
  origin: string;
  browser: Browser;
  /** Whether visits reach the server's store; else each is a house of its own. */
  kept: boolean;
  /** Stop the server, and start it again at the same address on the same data. */
  restart(): Promise<void>;
  close(): Promise<void>;
}

function browserPath(): string {
  const path = process.env.CHROMIUM_PATH || "/usr/bin/chromium";
  if (!existsSync(path)) {
    throw new Error(
      `No Chromium at ${path}. Install it (Debian: apt-get install chromium) or set CHROMIUM_PATH; “npm test” does it for you.`,
    );
  }
  return path;
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once("error", reject);
    probe.listen(0, "127.0.0.1", () => {
      const address = probe.address();
      const port = typeof address === "object" && address ? address.port : 0;
      probe.close(() => resolve(port));
    });
  });
}

async function startServer(port: number, dataDir: string): Promise<{ origin: string; server: ChildProcess }> {
  if (!existsSync(SERVER) || !existsSync(BUILT_PAGE)) {
    execFileSync("npm", ["run", "--silent", "build"], { cwd: ROOT, stdio: "inherit" });
  }
  const origin = `http://127.0.0.1:${port}`;
  const server = spawn(process.execPath, [SERVER], {
    cwd: ROOT,
    env: { ...process.env, PORT: String(port), HOST: "127.0.0.1", LOG_LEVEL: "error", DATA_DIR: dataDir },
    stdio: ["ignore", "inherit", "inherit"],
  });
  for (let tries = 0; tries < 150; tries += 1) {
    if (server.exitCode !== null) throw new Error(`The built server stopped with code ${server.exitCode}.`);
    const up = await fetch(`${origin}/healthz`).then(
      (response) => response.ok,
      () => false,
    );
    if (up) return { origin, server };
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  server.kill();
  throw new Error("The built server did not answer /healthz within 15 s.");
}

/**
 * Start the built server on a free port and an empty data folder, and a browser with an empty profile. Unless
 * `kept`, what a visit does stays out of the store, so that the tests of a file do not meet.
 */
export async function openSite({ kept = false } = {}): Promise<Site> {
  const executablePath = browserPath();
  const port = await freePort();
  const data = mkdtempSync(join(tmpdir(), "steelyard-data-"));
  let { origin, server } = await startServer(port, data);
  const artifacts = mkdtempSync(join(tmpdir(), "steelyard-browser-"));
  const browser = await chromium.launch({ executablePath, args: FLAGS, artifactsDir: artifacts });
  const stop = async () => {
    const gone = once(server, "exit");
    server.kill();
    await gone;
  };
  return {
    origin,
    browser,
    kept,
    async restart() {
      await stop();
      ({ server } = await startServer(port, data));
    },
    async close() {
      await browser.close();
      await stop();
      for (const folder of [artifacts, data]) rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** What each page has asked for and not yet been given. */
const onTheWay = new WeakMap<Page, Set<Request>>();

/** A page in a fresh context, with everything that must not happen on it written down. */
export interface Visit {
  page: Page;
  context: BrowserContext;
  /** Console errors and warnings, uncaught errors, failed responses and requests that leave the origin. */
  troubles: string[];
}

/** Open a path of the site and wait until the bench is there. */
export async function visit(
  { browser, origin, kept }: Site,
  path = "/",
  options: {
    width?: number;
    height?: number;
    scheme?: "light" | "dark";
    motion?: "reduce" | "no-preference";
    /** A phone in the hand: fingers in place of a mouse. */
    touch?: boolean;
    /** As from another machine: the server gives leave by links alone. */
    guest?: boolean;
  } = {},
): Promise<Visit> {
  const context = await browser.newContext({
    viewport: { width: options.width ?? 1280, height: options.height ?? 800 },
    colorScheme: options.scheme ?? "light",
    reducedMotion: options.motion ?? "reduce",
    hasTouch: options.touch ?? false,
    isMobile: options.touch ?? false,
  });
  if (!kept) {
    await context.route("**/v1/sync", (route) =>
      route.fulfill({ json: { house: "apart", records: [], after: 0, more: false } }),
    );
  }
  if (options.guest) {
    await context.route("**/v1/**", (route) =>
      route.request().headers().authorization ? route.continue() : route.fulfill({ status: 401, json: {} }),
    );
  }
  const page = await context.newPage();
  const asked = new Set<Request>();
  onTheWay.set(page, asked);
  page.on("request", (request) => asked.add(request));
  const settle = (request: Request) => asked.delete(request);
  page.on("requestfinished", settle).on("requestfailed", settle);
  const troubles: string[] = [];
  page.on("console", (message) => {
    const refused = options.guest && message.text().includes("401");
    if ((message.type() === "error" || message.type() === "warning") && !refused)
      troubles.push(`console: ${message.text()}`);
  });
  page.on("pageerror", (error) => troubles.push(`uncaught: ${error.message}`));
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.origin !== origin && !["data:", "blob:"].includes(url.protocol)) {
      troubles.push(`left the origin: ${request.url()}`);
    }
  });
  page.on("response", (response) => {
    const refused = options.guest && response.status() === 401;
    if (response.status() >= 400 && !refused) troubles.push(`${response.status()}: ${response.url()}`);
  });
  await page.goto(`${origin}${path}`);
  await page.waitForFunction(() => document.querySelector("#opening") === null);
  return { page, context, troubles };
}

/**
 * Wait for what the bench fetches once it is at rest: its workers have come, and for a second nothing is on its way.
 * The browser's own "networkidle" comes once a document, which is before that.
 */
export async function fetchedAll(page: Page): Promise<void> {
  await expect.poll(() => page.workers().length, { timeout: 40_000 }).toBe(2);
  for (let quiet = 0; quiet < 10; quiet += 1) {
    await page.waitForTimeout(100);
    if (onTheWay.get(page)!.size > 0) quiet = 0;
  }
}

/** Open any room, and wait until all that is to be used in it has come. */
export async function enterRoom(
  site: Site,
  path: string,
  options?: Parameters<typeof visit>[2],
): Promise<Visit> {
  const visited = await visit(site, path, options);
  await visited.page.locator("main :is(h1, h2)").first().waitFor();
  await visited.page.waitForLoadState("networkidle");
  return visited;
}

/** The three numbers of the readout. */
export async function reading(page: Page): Promise<{ sugar: number; acid: number; abv: number }> {
  const read = async (id: string) => Number(await page.locator(`#value-${id}`).textContent());
  return { sugar: await read("sugar"), acid: await read("acid"), abv: await read("abv") };
}
