import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

// From starting the process to the port open: the built server against a bare hono server bundled the same way.
// Both are timed from outside, turn about; what Node itself needs is in both.

const TURNS = 11;
const ROOT = fileURLToPath(new URL("../..", import.meta.url));

const BARE = `
import { serve } from "@hono/node-server";
import { Hono } from "hono";
const app = new Hono().post("/", async (c) => c.json(await c.req.json()));
serve({ fetch: app.fetch, port: 0, hostname: "127.0.0.1" }, ({ port }) => console.log("is at", port));
`;

export interface StartBench {
  /** Ours over the bare one's, a turn each. */
  ratios: number[];
}

/** Milliseconds until a program says where it is. */
async function toListening(main: string, env: Record<string, string>): Promise<number> {
  const started = performance.now();
  const child = spawn(process.execPath, [main], { env: { PATH: process.env.PATH, ...env } });
  let said = "";
  try {
    for await (const chunk of child.stdout) {
      said += String(chunk);
      if (said.includes("is at")) return performance.now() - started;
    }
    throw new Error(`${main} ended without listening: ${said}`);
  } finally {
    child.kill("SIGKILL");
    await once(child, "exit");
  }
}

export async function benchStart(): Promise<StartBench> {
  const folder = mkdtempSync(join(tmpdir(), "steelyard-start-"));
  try {
    const built = join(folder, "api");
    execFileSync(join(ROOT, "node_modules/.bin/tsx"), ["api/build.ts", built], { cwd: ROOT });
    const bare = join(folder, "bare.mjs");
    await build({
      stdin: { contents: BARE, resolveDir: ROOT },
      outfile: bare,
      bundle: true,
      platform: "node",
      format: "esm",
      target: "node20",
      logLevel: "warning",
    });
    const env = { PORT: "0", DATA_DIR: join(folder, "data") };
    const ratios: number[] = [];
    for (let turn = 0; turn <= TURNS; turn++) {
      const ours = await toListening(join(built, "main.js"), env);
      const theirs = await toListening(bare, env);
      // The first brings the files into memory.
      if (turn > 0) ratios.push(ours / theirs);
    }
    return { ratios };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
