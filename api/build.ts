import { cpSync, mkdirSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";
import { build, type Plugin } from "esbuild";
import { createCatalogue } from "../engine/catalogue.ts";
import { loadReferenceData } from "../reference-data/load.ts";
import { licencesOf } from "./licences.ts";

/*
 * Builds the server: `tsx api/build.ts [folder]`, by default into .build/api. What comes out needs that folder
 * and Node, nothing else: packages are bundled, the reference data are read and checked now, and the two
 * packages that are more than script (a program for the machine, files for a browser) are copied beside it.
 */

const root = fileURLToPath(new URL("..", import.meta.url));
const outdir = process.argv[2] ?? `${root}.build/api`;
const installed = (file: string) => createRequire(import.meta.url).resolve(file);

/** The data as the source reads it, in one file beside the program instead of tables to be read at each start. */
const readAlready: Plugin = {
  name: "reference-data-read-already",
  setup: ({ onLoad }) =>
    onLoad({ filter: /reference-data[\\/]load\.ts$/ }, ({ path }) => ({
      loader: "ts",
      resolveDir: dirname(path),
      contents: `
        import { readFileSync } from "node:fs";
        import { deepFreeze } from "./deep-freeze.ts";
        let cached;
        export function loadReferenceData() {
          cached ??= deepFreeze(JSON.parse(readFileSync(new URL("./reference-data.json", import.meta.url), "utf8")));
          return cached;
        }`,
    })),
};

/** zod's own sentences in sixty languages: ours are written in engine/shapes/check.ts. */
const oneLanguage: Plugin = {
  name: "one-language",
  setup: ({ onResolve }) =>
    onResolve({ filter: /locales\/index\.js$/ }, ({ path, resolveDir }) => ({
      path: join(resolveDir, path.replace("index.js", "en.js")),
    })),
};

/** What Node needs to load a package: no sources, no types, and of its programs the one for this machine. */
function copyPackage(name: string): void {
  const from = dirname(installed(`${name}/package.json`));
  const machine = join("prebuilds", `${process.platform}-${process.arch}`);
  cpSync(from, join(outdir, "node_modules", name), {
    recursive: true,
    filter: (file) => {
      const path = relative(from, file);
      const [top, second] = path.split(sep);
      if (top === "prebuilds" && second !== undefined) return path.startsWith(machine);
      return top !== "src" && !/\.(?:map|[cm]?ts|gyp)$/.test(path);
    },
  });
}

const { metafile } = await build({
  metafile: true,
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
  // What is not needed to listen is loaded when it is.
  splitting: true,
  external: ["@photostructure/sqlite", "swagger-ui-dist", "pg-native"],
  plugins: [readAlready, oneLanguage],
  // Packages written for require find Node's own modules by it.
  banner: {
    js: 'import { createRequire as requireFrom } from "node:module"; const require = requireFrom(import.meta.url);',
  },
  // Names stay, for what the log says of a fault.
  minifyWhitespace: true,
  minifySyntax: true,
  logLevel: "warning",
});

// Of packages that are copied whole the licence is copied too; of one only what browsers load is.
const bundled = [...Object.keys(metafile.inputs), "node_modules/swagger-ui-dist/package.json"];
writeFileSync(join(outdir, "licences.txt"), `${licencesOf(bundled, root)}\n`);

const data = loadReferenceData();
writeFileSync(join(outdir, "reference-data.json"), JSON.stringify(data));
writeFileSync(join(outdir, "regions.json"), JSON.stringify(createCatalogue(data).view().regions()));
writeFileSync(join(outdir, "package.json"), '{ "type": "module" }\n');

for (const name of ["@photostructure/sqlite", "node-gyp-build"]) copyPackage(name);
mkdirSync(join(outdir, "docs"), { recursive: true });
for (const file of ["swagger-ui.css", "swagger-ui-bundle.js"]) {
  cpSync(installed(`swagger-ui-dist/${file}`), join(outdir, "docs", file));
}
