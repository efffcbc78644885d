import { execFile } from "node:child_process";
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { promisify } from "node:util";
import { build } from "esbuild";
import { afterAll, beforeAll, expect, it } from "vitest";
import { data } from "./place-drinks.ts";

const run = promisify(execFile);
const root = new URL("../..", import.meta.url).pathname;
let folder: string;

beforeAll(async () => {
  // Inside the repository, so that external packages are found from the bundle.
  await mkdir(join(root, ".cache"), { recursive: true });
  folder = await mkdtemp(join(root, ".cache", "data-"));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const PROGRAM = `
import { loadReferenceData } from "${root}reference-data/load.ts";
const d = loadReferenceData();
console.log(d.pantry.length, d.drinks.length, d.demo.id);
`;
const EXPECTED = `${data.pantry.length} ${data.drinks.length} demo`;

it("loads from the bundle the service is built into, whatever the working directory", async () => {
  await writeFile(join(folder, "entry.ts"), PROGRAM);
  const outfile = join(folder, "out", "api", "main.js");
  await build({
    entryPoints: [join(folder, "entry.ts")],
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    packages: "external",
    outfile,
    logLevel: "silent",
  });
  const { stdout } = await run(process.execPath, [outfile], { cwd: "/" });
  expect(stdout.trim()).toBe(EXPECTED);
});

it("loads from source through tsx", async () => {
  await writeFile(join(folder, "source.ts"), PROGRAM);
  const { stdout } = await run(process.execPath, ["--import", "tsx", join(folder, "source.ts")], {
    cwd: root,
  });
  expect(stdout.trim()).toBe(EXPECTED);
});
