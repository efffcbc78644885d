import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

// From starting the process to the port open, and to the first answer: the built server against a bare hono server
// bundled the same way. Both are timed from outside, turn about; what Node itself needs is in both. Ours opens its
// port before it has loaded what answers, so that the second figure is the longer wait.

const TURNS = 11;
const ROOT = fileURLToPath(new URL("../..", import.meta.url));

const BARE = `
import { serve } from "@hono/node-server";
import { Hono } from "hono";
const app = new Hono().post("/", async (c) => c.json(await c.req.json()));
serve({ fetch: app.fetch, port: 0, hostname: "127.0.0.1" }, ({ port }) => console.log("is at http://127.0.0.1:" + port));
`;

export interface StartBench {
  /** Ours over the bare one's, a turn each: until it says where it is, and until the first answer to a question. */
  toListening: number[];
  toAnswer: number[];
}

const QUESTION = JSON.stringify({ spec: { text: "2 oz aged rum\n3/4 oz lime juice", method: "shaken" } });

/** Milliseconds until a program says where it is, and until it has answered a question at `path`. */
async function timed(
  main: string,
  path: string,
  env: Record<string, string>,
): Promise<{ listeningMs: number; answerMs: number }> {
  const started = performance.now();
  const child = spawn(process.execPath, [main], { env: { PATH: process.env.PATH, ...env } });
  let said = "";
  try {
    for await (const chunk of child.stdout) {
      said += String(chunk);
      const url = /is at (http:[^\s"]+)/.exec(said)?.[1];
      if (url === undefined) continue;
      const listeningMs = performance.now() - started;
      const response = await fetch(url + path, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: QUESTION,
      });
      if (!response.ok) throw new Error(`${main} answered ${response.status}`);
      await response.arrayBuffer();
      return { listeningMs, answerMs: performance.now() - started };
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
    const toListening: number[] = [];
    const toAnswer: number[] = [];
    for (let turn = 0; turn <= TURNS; turn++) {
      const ours = await timed(join(built, "main.js"), "/v1/place", env);
      const theirs = await timed(bare, "/", env);
      // The first brings the files into memory.
      if (turn === 0) continue;
      toListening.push(ours.listeningMs / theirs.listeningMs);
      toAnswer.push(ours.answerMs / theirs.answerMs);
    }
    return { toListening, toAnswer };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
