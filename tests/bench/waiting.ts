import { LADDERS } from "../../engine/amounts/ladder.ts";
import { createCatalogue } from "../../engine/catalogue.ts";
import { solveWithChance } from "../../engine/explore/chance.ts";
import { MEASURE_IDS } from "../../engine/ids.ts";
import { place } from "../../engine/place/place.ts";
import type { SolveRequest } from "../../engine/solve/request.ts";
import { TASKS } from "../../engine/tasks.ts";
import type { MeasureId, Pantry, Role, Spec } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { seeded } from "../engine/solve/linear-instance.ts";

// How long people wait for the solver on drinks of the shipped pantry, in every mode, and by how much an answer
// oversteps the time it was given. Counted in this process's own processor time, which is also the clock that the
// solver is given: other work on the machine does not count.

/** What was measured: a list for every mode, one figure a request. */
export interface WaitingBench {
  /** Processor time of an answer without a time budget, over that of the yardstick. */
  waits: Record<string, number[]>;
  /** Processor time of an answer over the time it was given: by task, then by the milliseconds given. */
  overruns: Record<TimedTask, Record<number, number[]>>;
}

/** The yardstick: so many drinks placed. */
const PLACEMENTS = 1000;
const REQUESTS = 24;
/** What is asked within a time, and which times. */
const TIMED_TASKS = ["solve", "explore", "routes", "repair"] as const;
type TimedTask = (typeof TIMED_TASKS)[number];
const BUDGETS_MS = [20, 50, 200] as const;
/** The clock is read from the system no more often than this, ms: reading it costs time too. */
const CLOCK_STEP_MS = 0.2;
const DILUTIONS = ["curve", "energy"] as const;
const CHANCES = ["edge", "sure"] as const;
/** Prices for the cost measure, per litre, by role; invented. */
const PRICE: Partial<Record<Role, number>> = { spirit: 25, liqueur: 30, "sour-juice": 8, bitters: 90 };

const data = loadReferenceData();
const pantry: Pantry = new Map(data.pantry.map((i) => [i.id, i]));
const catalogue = createCatalogue(data);

/** By turns what an invented sour of up to eight lines may hold after spirit, sour and sweet, with usual ounces. */
const MORE = [
  ["triple-sec-40", 0.5],
  ["juice-pineapple", 1],
  ["bitters-aromatic", 0.03],
  ["vermouth-sweet", 0.5],
  ["syrup-honey-1-1", 0.25],
  ["juice-orange", 0.75],
  ["rum-white", 0.75],
  ["maraschino", 0.25],
] as const;
const ADDITIONS = ["juice-lemon", "syrup-simple-2-1", "water", "juice-grapefruit-pink", "triple-sec-25"];

/** Invented drink number k, its amounts off by up to a half either way, with three additions on offer. */
function drink(k: number): SolveRequest {
  const random = seeded(91_000 + k);
  const size = 3 + (k % 6);
  const more = [...MORE].sort(() => random() - 0.5).slice(0, size - 3);
  const usual = [["rum-aged", 2], ["juice-lime", 0.75], ["syrup-simple-1-1", 0.75], ...more] as const;
  const lines = usual.map(([ingredient, oz]) =>
    ingredient === "bitters-aromatic"
      ? { ingredient, amount: 2, unit: "dash" as const }
      : { ingredient, amount: Math.max(1, Math.round(8 * oz * (0.5 + random()))) / 8, unit: "oz" as const },
  );
  const spec: Spec = { name: `Invented ${k}`, method: k % 4 === 3 ? "stirred" : "shaken", lines };
  const prices = new Map([...pantry.values()].map((i) => [i.id, PRICE[i.role] ?? 5]));
  const { target: family } = catalogue.view(spec).region(k % 2 === 0 ? "family:sour" : "family:sour:modern");
  const box = {
    kind: "box",
    sugarGPer100Ml: [6.5, 8],
    acidGPer100Ml: [0.75, 0.95],
    abvPercent: [15, 19],
  } as const;
  return {
    spec,
    pantry,
    target: k % 3 === 2 ? box : family,
    ladder: k % 2 === 0 ? LADDERS["us-jigger"] : LADDERS["metric-jigger"],
    additions: ADDITIONS.slice(k % 3, (k % 3) + 3),
    prices,
    ...(k % 5 === 4 && { maxFinishedMl: Math.ceil(place(spec, pantry).finishedVolumeMl / 10) * 10 }),
  };
}

function inMode(k: number, dilution: string, chance: string, measure: MeasureId): SolveRequest {
  const request = drink(k);
  return {
    ...request,
    measure,
    ...(chance === "sure" && { minProbability: 0.8 }),
    ...(dilution === "energy" && { spec: { ...request.spec, dilution: { model: "energy" } } }),
  };
}

let lookedAt = Number.NEGATIVE_INFINITY;
let seenMs = 0;

/** Milliseconds of processor time so far. */
function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** The same as a clock for the solver, who looks at it often. */
function clock(): number {
  const at = performance.now();
  if (at - lookedAt > CLOCK_STEP_MS) [lookedAt, seenMs] = [at, processorMs()];
  return seenMs;
}

function timed(work: () => unknown): number {
  const start = processorMs();
  work();
  return processorMs() - start;
}

function placements(): void {
  for (let i = 0; i < PLACEMENTS; i += 1) place(data.drinks[i % data.drinks.length]!.spec, pantry);
}

/** Over the time given: every task in every mode, the measures taken by turns. A repair has all but one line locked. */
function overrunsOf(): WaitingBench["overruns"] {
  const of = (task: TimedTask, timeBudgetMs: number) =>
    DILUTIONS.flatMap((dilution) =>
      CHANCES.flatMap((chance) =>
        Array.from({ length: REQUESTS }, (_, k) => {
          const request = inMode(k, dilution, chance, MEASURE_IDS[k % MEASURE_IDS.length]!);
          const locks = task === "repair" ? request.spec.lines.slice(1).map((line) => line.ingredient) : [];
          return timed(() => TASKS[task]({ ...request, locks, timeBudgetMs }, clock)) / timeBudgetMs;
        }),
      ),
    );
  const byBudget = (task: TimedTask) => Object.fromEntries(BUDGETS_MS.map((ms) => [ms, of(task, ms)]));
  return Object.fromEntries(TIMED_TASKS.map((task) => [task, byBudget(task)])) as WaitingBench["overruns"];
}

/** Every request in every mode, by every measure, without a time budget; then every task with one. */
export function benchWaiting(): WaitingBench {
  for (let k = 0; k < 6; k += 1) {
    solveWithChance(inMode(REQUESTS + k, "energy", k % 2 ? "sure" : "edge", "volume"));
  }
  placements();
  const units: number[] = [];
  const waits: WaitingBench["waits"] = {};
  for (const dilution of DILUTIONS) {
    for (const chance of CHANCES) {
      const all: number[] = [];
      waits[`${dilution}, ${chance}`] = all;
      for (const measure of MEASURE_IDS) {
        units.push(timed(placements));
        for (let k = 0; k < REQUESTS; k += 1) {
          const request = inMode(k, dilution, chance, measure);
          all.push(timed(() => solveWithChance(request)));
        }
      }
    }
  }
  const unit = units.sort((a, b) => a - b)[units.length >> 1]!;
  for (const all of Object.values(waits)) for (const [i, ms] of all.entries()) all[i] = ms / unit;
  return { waits, overruns: overrunsOf() };
}
