import { type Signal, signal } from "@preact/signals";
import type { z } from "zod";
import type { DemoSchema } from "../../api/schemas/bench.ts";
import type {
  CautionsSchema,
  GlassesSchema,
  PantrySchema,
  ReferencesSchema,
  SourcesSchema,
  TargetsSchema,
} from "../../api/schemas/reference.ts";
import type {
  Bench,
  Ingredient,
  ReferenceData,
  ReferenceDrink,
  Source,
  TargetSpec,
} from "../../engine/types.ts";

/** Everything the page needs from the server. The sources come a little later: nothing is placed by them. */
export interface PageData extends Omit<ReferenceData, "sources"> {
  sources: Signal<readonly Source[]>;
}

/** The body a route answers with, by its schema (types only: the schemas stay on the server). */
type Body<S extends z.ZodType> = z.infer<S>;

async function getJson<T>(path: string): Promise<T> {
  let response: Response;
  try {
    response = await fetch(path, { headers: { accept: "application/json" } });
  } catch {
    throw new Error(`The server did not answer (${path}). Is it still running? Reload to try again.`);
  }
  if (!response.ok)
    throw new Error(`The server answered ${response.status} for ${path}. Reload to try again.`);
  return (await response.json()) as T;
}

/** Fetch the reference data from this origin. Throws an Error with a sentence for the user. */
export async function loadPageData(): Promise<PageData> {
  const [pantry, references, targets, glasses, cautions, demo] = await Promise.all([
    getJson<Body<typeof PantrySchema>>("/v1/pantry"),
    getJson<Body<typeof ReferencesSchema>>("/v1/references"),
    getJson<Body<typeof TargetsSchema>>("/v1/targets"),
    getJson<Body<typeof GlassesSchema>>("/v1/glasses"),
    getJson<Body<typeof CautionsSchema>>("/v1/cautions"),
    getJson<Body<typeof DemoSchema>>("/v1/demo"),
  ]);
  return {
    pantry: pantry.ingredients as Ingredient[],
    drinks: references.drinks as ReferenceDrink[],
    families: references.families,
    bands: targets.targets
      .filter((entry) => entry.origin === "published")
      .map((entry) => ({
        id: entry.id.replace(/^band:/, ""),
        name: entry.name,
        target: entry.target as TargetSpec,
        source: entry.source ?? "",
        ...(entry.memory && { memory: true }),
        ...(entry.note && { note: entry.note }),
      })),
    glasses: glasses.glasses,
    sources: signal([]),
    cautions: cautions.cautions,
    demo: demo.bench as Bench,
  };
}

/** Fetch the sources, once, for whoever shows them. */
export async function loadSources({ sources }: PageData): Promise<void> {
  if (sources.value.length > 0) return;
  sources.value = (await getJson<Body<typeof SourcesSchema>>("/v1/sources")).sources;
}
