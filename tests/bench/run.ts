import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { max, median, min } from "d3";
import { build } from "esbuild";
import type { HttpBench } from "./http.ts";
import type { PageBench } from "./page.ts";
import { type BenchResults, type BenchRow, benchTable } from "./table.ts";

// Every bench in turn, each variant in a process of its own, turn about; only ratios leave. With a name
// (place, http, page) that one bench alone, printed and not kept.

const ROOT = fileURLToPath(new URL("../..", import.meta.url));
const BUILT = join(ROOT, ".build", "bench");
const ROUNDS = 7;

/**
 * Bundled as it ships: the loader that runs TypeScript from source wraps every closure and slows them.
 * The bundle lies as deep as the source, so that "two folders up" is the repository for both.
 */
async function bundle(name: string, contents: string): Promise<string> {
  const outfile = join(BUILT, `${name}.mjs`);
  await build({
    stdin: { contents, resolveDir: join(ROOT, "tests", "bench"), loader: "ts" },
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    packages: "external",
    logLevel: "warning",
  });
  return outfile;
}

/** The last line a fresh Node prints, as JSON. */
function inChild<T>(args: string[]): T {
  const out = execFileSync(process.execPath, args, {
    cwd: ROOT,
    encoding: "utf8",
    stdio: ["ignore", "pipe", "inherit"],
    maxBuffer: 1 << 26,
  });
  return JSON.parse(out.trim().split("\n").at(-1)!) as T;
}

/** What a bench's exported function returns, run in a process of its own. */
async function called<T>(file: string, name: string): Promise<T> {
  const program = `import { ${name} } from "./${file}.ts"; console.log(JSON.stringify(await ${name}()));`;
  return inChild<T>([await bundle(file, program)]);
}

async function placeRows(): Promise<BenchRow[]> {
  const file = await bundle("place", `import "./place.ts";`);
  const variants = ["place", "json-placement", "finish", "json-spec"] as const;
  const rates = new Map<string, number[]>(variants.map((v) => [v, []]));
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const v of round % 2 === 0 ? variants : [...variants].reverse()) {
      rates.get(v)!.push(inChild<{ perSecond: number }>([file, v]).perSecond);
    }
  }
  /** Time of one call of ours over one of theirs, round by round. */
  const row = (what: string, ours: string, against: string, theirs: string): BenchRow => {
    const ratios = rates.get(theirs)!.map((rate, i) => rate / rates.get(ours)![i]!);
    return { what, against, of: "time", ratio: median(ratios)!, range: [min(ratios)!, max(ratios)!] };
  };
  return [
    row(
      "Place a drink: point, covariance, every doubt, both dilution models",
      "place",
      "reading the same placement from JSON",
      "json-placement",
    ),
    row(
      "Pours to point, the inner loop of a drag and of the solver",
      "finish",
      "reading and writing the spec as JSON",
      "json-spec",
    ),
  ];
}

async function httpRows(): Promise<BenchRow[]> {
  const { ratio } = await called<HttpBench>("http", "benchHttp");
  return [
    {
      what: "`POST /v1/place`",
      against: "a bare hono route that reads and writes the same JSON",
      of: "requests/s",
      ratio,
    },
  ];
}

async function pageRows(): Promise<BenchRow[]> {
  const page = await called<PageBench>("page", "benchPage");
  const against = "the full bundle of d3, minified";
  return [
    { what: "First load: document, scripts, styles", against, of: "bytes, gzip", ratio: page.gzipRatio },
    { what: "The same", against, of: "bytes, brotli", ratio: page.brotliRatio },
    { what: "First load with all reference data", against, of: "bytes, gzip", ratio: page.allRatio },
  ];
}

const BENCHES: Record<string, () => Promise<BenchRow[]>> = {
  place: placeRows,
  page: pageRows,
  http: httpRows,
};

function versions(): Record<string, string> {
  const manifest = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as {
    version: string;
    dependencies: Record<string, string>;
    devDependencies: Record<string, string>;
  };
  const all = { ...manifest.dependencies, ...manifest.devDependencies };
  const used = ["autocannon", "d3", "highs", "hono", "vite"].map((name) => [name, all[name]!] as const);
  return { steelyard: manifest.version, ...Object.fromEntries(used) };
}

const only = process.argv[2];
if (only !== undefined && !BENCHES[only]) {
  throw new Error(`no bench "${only}": ${Object.keys(BENCHES).join(", ")}`);
}
const rows: BenchRow[] = [];
for (const [name, bench] of Object.entries(BENCHES)) {
  if (only !== undefined && only !== name) continue;
  console.error(`${name}…`);
  rows.push(...(await bench()));
}
const results: BenchResults = {
  date: new Date().toISOString().slice(0, 10),
  node: process.version,
  cores: availableParallelism(),
  versions: versions(),
  rows,
};
if (only === undefined) {
  writeFileSync(join(ROOT, "tests", "bench", "results.json"), `${JSON.stringify(results, null, 2)}\n`);
}
console.log(benchTable(results));
