import { fileURLToPath } from "node:url";
import { build } from "esbuild";

/*
 * Builds the server: `tsx api/build.ts [folder]`, by default into .build/api. Packages stay outside, as one of
 * them is a program for the machine.
 */

const root = fileURLToPath(new URL("..", import.meta.url));
const outdir = process.argv[2] ?? `${root}.build/api`;

await build({
  entryPoints: {
    main: "api/main.ts",
    worker: "api/compute/worker.ts",
    "write-examples": "api/write-examples.ts",
  },
  absWorkingDir: root,
  outdir,
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  packages: "external",
  logLevel: "warning",
});
