import { execFile } from "node:child_process";
import { once } from "node:events";
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { promisify } from "node:util";
import { serve } from "@hono/node-server";
import { build } from "esbuild";
import type openapiTS from "openapi-typescript";
import type { astToString } from "openapi-typescript";
import { afterAll, expect, test } from "vitest";
import { createApp } from "../../api/app.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { ROOT } from "../rules/source-tree.ts";

mkdirSync(join(ROOT, ".build"), { recursive: true });
const folder = mkdtempSync(join(ROOT, ".build", "client-"));
const server = serve({
  fetch: createApp({ data: loadReferenceData(), engineVersion: "0.0.0-test" }).fetch,
  port: 0,
  hostname: "127.0.0.1",
});
afterAll(() => {
  server.close();
  rmSync(folder, { recursive: true, force: true });
});

/**
 * The generator draws its output with the TypeScript compiler as a library, which TypeScript 7 no longer is:
 * it gets the one that another package carries.
 */
async function generator() {
  const outfile = join(folder, "generator.mjs");
  await build({
    stdin: { contents: 'export { default, astToString } from "openapi-typescript";', resolveDir: ROOT },
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    logLevel: "error",
    external: ["@ts-morph/common", "@redocly/openapi-core"],
    plugins: [
      {
        name: "typescript-as-a-library",
        setup: ({ onResolve, onLoad }) => {
          onResolve({ filter: /^typescript$/ }, () => ({ path: "typescript", namespace: "library" }));
          onLoad({ filter: /.*/, namespace: "library" }, () => ({
            contents: 'import { ts } from "@ts-morph/common"; export default ts;',
            resolveDir: ROOT,
          }));
        },
      },
    ],
  });
  return (await import(pathToFileURL(outfile).href)) as {
    default: typeof openapiTS;
    astToString: typeof astToString;
  };
}

const run = promisify(execFile);

test("a client made from the document alone compiles strictly and works against the live server", async () => {
  if (!server.listening) await once(server, "listening");
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const { default: generate, astToString } = await generator();
  const types = astToString(await generate(new URL("/openapi.json", url)));

  // The generator itself leaves room for headers that are not declared; nothing else may be unknown.
  const declared = types.replaceAll("[name: string]: unknown;", "").replace(/\/\*\*[\s\S]*?\*\//g, "");
  expect(declared.match(/.*\bunknown\b.*/g) ?? []).toEqual([]);
  expect(declared).not.toMatch(/\bany\b/);

  cpSync(join(ROOT, "tests", "api", "client"), folder, { recursive: true });
  writeFileSync(join(folder, "steelyard.d.ts"), types);
  writeFileSync(join(folder, "package.json"), '{ "type": "module" }');
  const compiled = await run(join(ROOT, "node_modules/.bin/tsc"), ["-p", folder]).catch((e) => e);
  expect(compiled.stdout).toBe("");

  const { stdout } = await run(process.execPath, [join(folder, "out", "consumer.js")], {
    env: { PATH: process.env.PATH, STEELYARD_URL: url },
  });
  const said = JSON.parse(stdout);
  expect(said).toMatchObject({ status: "optimal", refused: ["#/spec/text"] });
  expect(said.text).toContain("Lemon juice");
  expect(said.lemonMl).toBeGreaterThan(0);
  expect(said.after.acidGPer100Ml).toBeGreaterThan(0);
  expect(said.sd).toHaveLength(3);
  for (const sd of said.sd) expect(sd).toBeGreaterThan(0);
  expect(said.moves.length).toBeGreaterThan(0);
  expect(Math.max(...said.chances)).toBeGreaterThanOrEqual(0.6);
  expect(said.steps).toEqual([3]);
  expect(said.middle).toHaveLength(3);
  expect(said.kind).not.toBe("none");
});
