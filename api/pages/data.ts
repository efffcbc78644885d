import type { Hono } from "hono";
import { once } from "../../engine/once.ts";
import type { ReferenceData } from "../../engine/types.ts";
import type { ApiEnv } from "../context.ts";
import { fixedJson, sendFixed } from "../fixed.ts";

/**
 * What the page starts from: the reference data without its sources, its notes, the other names of ingredients and
 * the drinks that only judge the families.
 * Nothing is placed by those; they are half of the bytes, and come when something is read, searched or looked up.
 */
export type StartData = Omit<ReferenceData, "sources" | "balanced">;

/** The same value without the named fields, however deep they lie. */
function without(x: unknown, fields: ReadonlySet<string>): unknown {
  if (Array.isArray(x)) return x.map((entry) => without(entry, fields));
  if (typeof x !== "object" || x === null) return x;
  return Object.fromEntries(
    Object.entries(x).flatMap(([key, value]) => (fields.has(key) ? [] : [[key, without(value, fields)]])),
  );
}

function startData(data: ReferenceData) {
  const { sources: _, balanced: __, pantry, drinks, ...rest } = data;
  const asides = new Set(["note", "disagreements"]);
  const named = pantry.map((ingredient) => ({ ...ingredient, aliases: [] }));
  return { ...rest, pantry: without(named, asides), drinks: without(drinks, asides) };
}

/** Everything the page needs before it can place a drink, in one answer, as small as it can be. */
export function serveStartData(app: Hono<ApiEnv>, data: ReferenceData): void {
  const answer = once(() => fixedJson(startData(data)));
  app.get("/start-data.json", (c) => sendFixed(c, answer()));
}
