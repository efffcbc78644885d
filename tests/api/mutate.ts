import fc from "fast-check";

/** Values put where they do not belong. */
export const junk = fc.oneof(
  fc.jsonValue({ maxDepth: 2 }),
  fc.constantFrom(null, "", [], {}, true, 1e308, -0, "__proto__"),
);

/** Replace or add one value somewhere in a body. */
export function mutate(body: unknown, steps: readonly number[], value: unknown): unknown {
  if (typeof body !== "object" || body === null || steps.length === 0) return value;
  const keys = Object.keys(body);
  const key = keys[steps[0]! % Math.max(1, keys.length)] ?? "extra";
  const copy = structuredClone(body) as Record<string, unknown>;
  copy[key] = mutate(copy[key], steps.slice(1), value);
  return copy;
}
