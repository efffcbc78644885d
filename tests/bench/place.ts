import { place } from "../../engine/place/place.ts";
import { prepareSpec } from "../../engine/place/prepare-spec.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { timeVariant } from "./time-variant.ts";

// One variant, named on the command line, timed in a process of its own: prints calls per second as JSON.
// Every call takes the next of the reference drinks, so that no drink's kindness to the processor counts.

const { drinks, pantry: ingredients } = loadReferenceData();
const pantry = new Map(ingredients.map((i) => [i.id, i]));
const specs = drinks.map((d) => d.spec);
const texts = specs.map((spec) => JSON.stringify(spec));
const placements = specs.map((spec) => JSON.stringify(place(spec, pantry)));
const prepared = specs.map((spec) => prepareSpec(spec, pantry));

timeVariant(specs.length, {
  /** Spec to point, covariance, doubts, volumes, cautions. */
  place: (i) => place(specs[i]!, pantry).point.abvPercent,
  /** Pours to point, on a model made once: the inner loop of the solver and of a drag. */
  finish: (i) => prepared[i]!.model.finish(prepared[i]!.volumesMl).point[2],
  /** Baseline: the spec read from JSON and written again. */
  "json-spec": (i) => JSON.stringify(JSON.parse(texts[i]!)).length,
  /** Baseline: the finished placement read from JSON. */
  "json-placement": (i) => (JSON.parse(placements[i]!) as { point: { abvPercent: number } }).point.abvPercent,
});
