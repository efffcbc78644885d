import { type Signal, signal } from "@preact/signals";
import type { z } from "zod";
import type { StartData } from "../../api/pages/data.ts";
import type { PantrySchema, ReferencesSchema, SourcesSchema } from "../../api/schemas/reference.ts";
import type { BalancedDrink, Ingredient, ReferenceDrink, Source } from "../../engine/types.ts";

/** The pantry and the classics with their other names and all that is noted of them; null until they have come. */
export interface Notes {
  ingredients: readonly Ingredient[] | null;
  drinks: readonly ReferenceDrink[] | null;
  /** What the families' ranges are judged by. */
  balanced: readonly BalancedDrink[] | null;
}

/** Before the notes have come. */
export const NO_NOTES: Notes = { ingredients: null, drinks: null, balanced: null };

/** Everything the page needs from the server. Sources and notes come when asked for: nothing is placed by them. */
export interface PageData extends StartData {
  sources: Signal<readonly Source[]>;
  notes: Signal<Notes>;
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

/** Fetch what a drink is placed with, from this origin. Throws an Error with a sentence for the user. */
export async function loadPageData(): Promise<PageData> {
  return {
    ...(await getJson<StartData>("/start-data.json")),
    notes: signal(NO_NOTES),
    sources: signal([]),
  };
}

/** Fetch where the numbers come from, once, for whoever shows it. */
export async function loadSources({ sources }: PageData): Promise<void> {
  if (sources.value.length > 0) return;
  sources.value = (await getJson<Body<typeof SourcesSchema>>("/v1/sources")).sources;
}

/**
 * Fetch the other names and notes of the pantry and the classics, once, for whoever reads, searches or shows them.
 * Without them names alone are known: never throws.
 */
export async function loadNotes({ notes }: PageData): Promise<void> {
  if (notes.peek() !== NO_NOTES) return;
  try {
    const [{ ingredients }, { drinks, balanced }] = await Promise.all([
      getJson<Body<typeof PantrySchema>>("/v1/pantry"),
      getJson<Body<typeof ReferencesSchema>>("/v1/references"),
    ]);
    notes.value = {
      ingredients: ingredients as Ingredient[],
      drinks: drinks as ReferenceDrink[],
      balanced: balanced as BalancedDrink[],
    };
  } catch {
    // Asked again the next time.
  }
}
