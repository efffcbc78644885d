import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { max, median, min, quantile } from "d3";
import { build } from "esbuild";
import type { FloodBench } from "./flood.ts";
import type { Act, HandTime } from "./hand.ts";
import type { HttpBench } from "./http.ts";
import type { LinesBench } from "./lines.ts";
import type { PageBench } from "./page.ts";
import { solveTimePlot, type TimingPoint } from "./plot.ts";
import type { StartBench } from "./start.ts";
import type { StaticBench } from "./static.ts";
import type { StoreBench } from "./store.ts";
import { type BenchResults, type BenchRow, benchTable } from "./table.ts";
import { benchTables, tableRows } from "./tables/bench.ts";
import type { WaitingBench } from "./waiting.ts";

// Every bench in turn, each variant in a process of its own, turn about; only ratios leave. With names (place,
// read, solve, wait, http, static, flood, page, hand, start, store, tables) those alone; the others' rows stay as kept.

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

/** A row that divides the time of one call of ours by one of theirs. */
type TimeRow = (what: string, ours: string, against: string, theirs: string) => BenchRow;

/** The variants of a bench file, each in a process of its own, turn about. */
async function timedVariants(name: string, variants: readonly string[]): Promise<TimeRow> {
  const file = await bundle(name, `import "./${name}.ts";`);
  const rates = new Map<string, number[]>(variants.map((v) => [v, []]));
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const v of round % 2 === 0 ? variants : [...variants].reverse()) {
      rates.get(v)!.push(inChild<{ perSecond: number }>([file, v]).perSecond);
    }
  }
  return (what, ours, against, theirs) => {
    const ratios = rates.get(theirs)!.map((rate, i) => rate / rates.get(ours)![i]!);
    return {
      what,
      against,
      of: "time",
      ratio: median(ratios)!,
      range: { low: min(ratios)!, high: max(ratios)! },
    };
  };
}

async function placeRows(): Promise<BenchRow[]> {
  const row = await timedVariants("place", ["place", "json-placement", "finish", "json-spec"]);
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

async function readRows(): Promise<BenchRow[]> {
  const row = await timedVariants("read-text", ["read", "read-new", "read-large", "place"]);
  return [
    row("Read a pasted spec", "read", "placing the same spec", "place"),
    row("The same, each name as nobody wrote it before", "read-new", "placing the same spec", "place"),
    row(
      "Read a pasted spec from three times the pantry",
      "read-large",
      "reading it from the pantry that ships",
      "read",
    ),
  ];
}

async function httpRows(): Promise<BenchRow[]> {
  const { lines, text } = await called<HttpBench>("http", "benchHttp");
  const against = "a bare hono route that reads the same body, every one new, and answers as long";
  const row = (what: string, ratios: readonly number[]): BenchRow => ({
    what,
    against,
    of: "requests/s",
    ratio: median(ratios)!,
    range: { low: min(ratios)!, high: max(ratios)! },
  });
  return [row("`POST /v1/place`, a spec by lines", lines), row("The same, as pasted text", text)];
}

async function staticRows(): Promise<BenchRow[]> {
  const { plain, packed, unchanged } = await called<StaticBench>("static", "benchStatic");
  const row = (what: string, against: string, ratios: readonly number[]): BenchRow => ({
    what,
    against,
    of: "requests/s",
    ratio: median(ratios)!,
    range: { low: min(ratios)!, high: max(ratios)! },
  });
  const same = "a bare hono route that sends the same bytes";
  return [
    row("`GET /v1/references`, plain", same, plain),
    row("The same, packed by gzip", same, packed),
    row("The same, known to the client", "a bare hono route that answers 304", unchanged),
  ];
}

async function floodRows(): Promise<BenchRow[]> {
  const { easy, placeP99, group, retry, unread } = await called<FloodBench>("flood", "benchFlood");
  const rest = "the same at rest";
  return [
    { what: "Easy solves under a flood of hard ones", against: rest, of: "solves/s", ratio: easy },
    { what: "`POST /v1/place` meanwhile", against: rest, of: "time, 99th of 100", ratio: placeP99 },
    { what: "32 easy solves at once", against: "all of them", of: "answered", ratio: group },
    ...(retry === null
      ? []
      : [{ what: "Told when to come back", against: "all who then do", of: "let in", ratio: retry }]),
    {
      what: "100 connections that send 400 requests each and read nothing",
      against: "the server before",
      of: "peak memory",
      ratio: unread,
    },
  ];
}

async function startRows(): Promise<BenchRow[]> {
  const { toListening, toAnswer } = await called<StartBench>("start", "benchStart");
  const row = (what: string, ratios: readonly number[]): BenchRow => ({
    what,
    against: "a bare hono server bundled the same way",
    of: "time",
    ratio: median(ratios)!,
    range: { low: min(ratios)!, high: max(ratios)! },
  });
  return [
    row("Start of the built server, to listening", toListening),
    row("The same, to its first placed drink", toAnswer),
  ];
}

async function storeRows(): Promise<BenchRow[]> {
  const { ratios } = await called<StoreBench>("store", "benchStore");
  const { ratio } = await called<LinesBench>("lines", "benchLines");
  return [
    {
      what: "A round kept, on disk before it is answered",
      against: "appending its bytes to a file and waiting for the disk",
      of: "time",
      ratio: median(ratios)!,
      range: { low: min(ratios)!, high: max(ratios)! },
    },
    {
      what: "`POST /v1/place` with 30 000 drinks, a line each",
      against: "the same with 3 000",
      of: "peak memory",
      ratio,
    },
  ];
}

async function pageRows(): Promise<BenchRow[]> {
  // What is weighed is the page as it stands now.
  execFileSync("npm", ["run", "--silent", "build"], { cwd: ROOT, stdio: "inherit" });
  const page = await called<PageBench>("page", "benchPage");
  const against = "the full bundle of d3, minified";
  return [
    { what: "First load: document, scripts, styles", against, of: "bytes, gzip", ratio: page.gzipRatio },
    { what: "The same", against, of: "bytes, brotli", ratio: page.brotliRatio },
    { what: "First load with all reference data", against, of: "bytes, gzip", ratio: page.allRatio },
  ];
}

async function handRows(): Promise<BenchRow[]> {
  execFileSync("npm", ["run", "--silent", "build"], { cwd: ROOT, stdio: "inherit" });
  const of = "time, 95th of 100";
  const acts: Record<Act, string> = {
    tap: "tap to paint",
    key: "key to paint",
    drag: "frame to frame, an amount dragged",
    wish: "frame to frame, a wish dragged",
  };
  const windows = { phone: "Phone", desk: "Desk" };
  return (await called<HandTime[]>("hand", "benchHand")).flatMap(
    ({ window, act, frames, overCopy }): BenchRow[] => [
      {
        what: `${windows[window]}, slowed four times: ${acts[act]}`,
        against: "a frame of the same page at rest",
        of,
        ratio: frames,
      },
      { what: "The same", against: "the same in a copy where one element moves", of, ratio: overCopy },
    ],
  );
}

const SOLVE_ROUNDS = 3;
const SIZES = [4, 6, 8, 10, 12];
const STEPS_ML = [5, 2.5, 1, 0.5];
const TARGETS = ["box", "ratio", "half-space", "ellipsoid", "intersection"];
const MIDDLE = { size: 8, stepMl: 2.5, target: "box" };

/** Milliseconds of every instance, each the median of its rounds; variants turn about. */
function solveTimes(file: string, settings: readonly string[]): Map<string, number[]> {
  const rounds = new Map<string, number[][]>(settings.map((s) => [s, []]));
  for (let round = 0; round < SOLVE_ROUNDS; round += 1) {
    for (const s of round % 2 === 0 ? settings : [...settings].reverse()) {
      rounds.get(s)!.push(inChild<{ ms: number[] }>([file, ...s.split(" ")]).ms);
    }
  }
  return new Map(
    [...rounds].map(([s, runs]) => [s, runs[0]!.map((_, k) => median(runs.map((r) => r[k]!))!)]),
  );
}

async function solveRows(): Promise<BenchRow[]> {
  const file = await bundle("time-solving", `import "./time-solving.ts";`);
  const key = (variant: string, size: number, stepMl: number, target = "box") =>
    `${variant} ${size} ${stepMl} ${target}`;
  const pairs = [
    ...SIZES.map((size) => [size, MIDDLE.stepMl] as const),
    ...STEPS_ML.map((stepMl) => [MIDDLE.size, stepMl] as const),
  ];
  const settings = new Set(pairs.flatMap(([n, s]) => ["highs", "search", "solve"].map((v) => key(v, n, s))));
  for (const target of TARGETS) settings.add(key("solve", MIDDLE.size, MIDDLE.stepMl, target));
  const times = solveTimes(file, [...settings]);

  /** Ours over HiGHS on the linear problem of that size and step: median over median, slowest over median. */
  const point = (x: string, variant: string, size: number, stepMl: number, target?: string): TimingPoint => {
    const unit = median(times.get(key("highs", size, stepMl))!)!;
    const ours = times.get(key(variant, size, stepMl, target))!;
    return { x, median: median(ours)! / unit, max: max(ours)! / unit };
  };
  const overSizes = (variant: string) => SIZES.map((n) => point(`${n}`, variant, n, MIDDLE.stepMl));
  const overSteps = (variant: string) => STEPS_ML.map((s) => point(`${s}`, variant, MIDDLE.size, s));
  const pair = (points: (variant: string) => TimingPoint[]) => [
    { label: "HiGHS, linear problem", kind: "yardstick" as const, points: points("highs") },
    { label: "ours, the same problem", kind: "equal" as const, points: points("search") },
    { label: "ours, the real problem", kind: "real" as const, points: points("solve") },
  ];
  const caption =
    "Marks: median of 25 drinks. Bars: slowest. 1 = HiGHS’ median on the linear problem of that size and step.";
  writeFileSync(
    join(ROOT, "tests", "bench", "solve-time.svg"),
    solveTimePlot(
      [
        { title: "Ingredients (2.5 mL steps)", xLabel: "ingredients", series: pair(overSizes) },
        { title: "Pour ladder (8 ingredients)", xLabel: "step, mL", series: pair(overSteps) },
        {
          title: "Target (8 ingredients, 2.5 mL steps)",
          xLabel: "kind of target",
          series: [
            {
              label: "ours, the real problem",
              kind: "real",
              points: TARGETS.map((t) => point(t, "solve", MIDDLE.size, MIDDLE.stepMl, t)),
            },
          ],
        },
      ],
      caption,
    ),
  );

  const row = (what: string, variant: string, size: number, against: string): BenchRow[] => {
    const ours = times.get(key(variant, size, MIDDLE.stepMl))!;
    const theirs = times.get(key("highs", size, MIDDLE.stepMl))!;
    return [
      {
        what: `${what}, ${size} ingredients`,
        against,
        of: "median time",
        ratio: median(ours)! / median(theirs)!,
      },
      { what: "The same, slowest drink", against, of: "longest time", ratio: max(ours)! / max(theirs)! },
    ];
  };
  return [6, 12].flatMap((size) => [
    ...row("Exact search, linear problem", "search", size, "HiGHS on the equal problem"),
    ...row("Whole solver, real problem", "solve", size, "HiGHS on the linear problem of that size"),
  ]);
}

const MODES = {
  "curve, edge": "Least change, up to 11 amounts, every measure",
  "curve, sure": "The same, in range in four glasses of five",
  "energy, edge": "The same, melt water corrected by heat",
  "energy, sure": "The same, both",
};

const IN_TIME = {
  solve: "Least change within the habits, in time",
  explore: "The same with rivals, in time",
  routes: "Every way of going about it, in time",
  repair: "What stands in the way, in time",
};

async function waitRows(): Promise<BenchRow[]> {
  const { waits, overruns } = await called<WaitingBench>("waiting", "benchWaiting");
  const of = "processor time";
  const slowest = (all: number[]) => quantile(all, 0.99)!;
  return [
    ...Object.entries(MODES).flatMap(([mode, what]): BenchRow[] => {
      const all = waits[mode]!;
      const against = "placing 1 000 drinks";
      return [
        { what, against, of: `${of}, median`, ratio: median(all)! },
        { what, against, of: `${of}, 99th of 100`, ratio: slowest(all) },
      ];
    }),
    ...Object.entries(overruns).flatMap(([task, byBudget]) =>
      Object.entries(byBudget).map(
        ([ms, all]): BenchRow => ({
          what: IN_TIME[task as keyof typeof overruns],
          against: `the ${ms} ms it was given`,
          of: `${of}, 99th of 100`,
          ratio: slowest(all),
        }),
      ),
    ),
  ];
}

/** Simulated tables of each kind: a ratio to 0.06, a share to 0.06. Takes some six minutes of one core. */
const TABLES_OF_A_KIND = 150;

const BENCHES: Record<string, () => Promise<BenchRow[]>> = {
  place: placeRows,
  read: readRows,
  solve: solveRows,
  wait: waitRows,
  page: pageRows,
  hand: handRows,
  http: httpRows,
  static: staticRows,
  flood: floodRows,
  start: startRows,
  store: storeRows,
  tables: async () => tableRows(benchTables(TABLES_OF_A_KIND)),
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

/** What a run can vouch for, at most. */
const fourFigures = (_key: string, v: unknown) => (typeof v === "number" ? Number(v.toPrecision(4)) : v);

const RESULTS = join(ROOT, "tests", "bench", "results.json");
const wanted = process.argv.slice(2);
for (const name of wanted) {
  if (!BENCHES[name]) throw new Error(`no bench "${name}": ${Object.keys(BENCHES).join(", ")}`);
}
const kept = JSON.parse(readFileSync(RESULTS, "utf8")) as BenchResults;
const rows: BenchResults["rows"] = [];
for (const [bench, run] of Object.entries(BENCHES)) {
  if (wanted.length > 0 && !wanted.includes(bench)) {
    rows.push(...kept.rows.filter((row) => row.bench === bench));
    continue;
  }
  console.error(`${bench}…`);
  rows.push(...(await run()).map((row) => ({ bench, ...row })));
}
const results: BenchResults = {
  date: new Date().toISOString().slice(0, 10),
  node: process.version,
  cores: availableParallelism(),
  versions: versions(),
  rows,
};
writeFileSync(RESULTS, `${JSON.stringify(results, fourFigures, 2)}\n`);
console.log(benchTable(results));
