import { place } from "../../engine/place/place.ts";
import { prepareSpec } from "../../engine/place/prepare-spec.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

// One variant, named on the command line, timed in a process of its own: prints calls per second as JSON.
// Every call takes the next of the reference drinks, so that no drink's kindness to the processor counts.

const WARM_UP_MS = 300;
const MEASURE_MS = 800;

const { drinks, pantry: ingredients } = loadReferenceData();
const pantry = new Map(ingredients.map((i) => [i.id, i]));
const specs = drinks.map((d) => d.spec);
const texts = specs.map((spec) => JSON.stringify(spec));
const placements = specs.map((spec) => JSON.stringify(place(spec, pantry)));
const prepared = specs.map((spec) => prepareSpec(spec, pantry));

/** Each returns a number, summed and printed, so that nothing can be left out as unused. */
const VARIANTS: Record<string, (i: number) => number> = {
  /** Spec to point, covariance, doubts, volumes, cautions. */
  place: (i) => place(specs[i]!, pantry).point.abvPercent,
  /** Pours to point, on a model made once: the inner loop of the solver and of a drag. */
  finish: (i) => prepared[i]!.model.finish(prepared[i]!.volumesMl).point[2],
  /** Baseline: the spec read from JSON and written again. */
  "json-spec": (i) => JSON.stringify(JSON.parse(texts[i]!)).length,
  /** Baseline: the finished placement read from JSON. */
  "json-placement": (i) => (JSON.parse(placements[i]!) as { point: { abvPercent: number } }).point.abvPercent,
};

const name = process.argv[2] ?? "";
const variant = VARIANTS[name];
if (!variant) throw new Error(`no variant "${name}": ${Object.keys(VARIANTS).join(", ")}`);

/** Whole turns through the drinks until the time is up. */
function callsPerSecond(ms: number): { perSecond: number; sum: number } {
  let calls = 0;
  let sum = 0;
  const start = process.hrtime.bigint();
  let elapsedNs = 0n;
  while (elapsedNs < BigInt(ms) * 1_000_000n) {
    for (let i = 0; i < specs.length; i += 1) sum += variant!(i);
    calls += specs.length;
    elapsedNs = process.hrtime.bigint() - start;
  }
  return { perSecond: (calls / Number(elapsedNs)) * 1e9, sum };
}

callsPerSecond(WARM_UP_MS);
console.log(JSON.stringify({ variant: name, ...callsPerSecond(MEASURE_MS) }));
