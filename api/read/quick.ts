import type { z } from "zod";
import { check, type Shape } from "../../engine/shapes/check.ts";

/*
 * zod reads any shape and says what is wrong with it. Most bodies are right, and then a plain walk of the same
 * schema gives the same value in a fraction of the time. What the walk refuses, or a schema it has no words for,
 * goes to zod: every complaint is still zod's.
 */

/** The value as zod would give it (known fields in the schema's order), or undefined where zod must decide. */
type Quick = (value: unknown) => unknown;

type Def = z.core.$ZodTypes["_zod"]["def"];
type Check = (value: never) => boolean;

/** zod must decide: nothing from JSON is undefined. */
const ask: Quick = () => undefined;

const KEPT = new WeakMap<Shape, Quick>();

function quickOf(shape: Shape): Quick {
  let kept = KEPT.get(shape);
  if (kept === undefined) {
    kept = workOut((shape as z.core.$ZodTypes)._zod.def);
    KEPT.set(shape, kept);
  }
  return kept;
}

/** Its checks as one; null where there is one that this walk does not know. */
function checksOf(def: Def): Check | null {
  const checks: Check[] = [];
  for (const each of def.checks ?? []) {
    const rule = (each as z.core.$ZodChecks)._zod.def;
    switch (rule.check) {
      case "min_length":
        checks.push((v: string | unknown[]) => v.length >= rule.minimum);
        break;
      case "max_length":
        checks.push((v: string | unknown[]) => v.length <= rule.maximum);
        break;
      case "greater_than":
      case "less_than": {
        const { check: side, value: end, inclusive } = rule;
        if (typeof end !== "number") return null;
        const sign = side === "less_than" ? -1 : 1;
        checks.push((v: number) => (inclusive ? sign * (v - end) >= 0 : sign * (v - end) > 0));
        break;
      }
      default: {
        const { check: name, fn, pattern } = rule as { check: string; fn?: Check; pattern?: RegExp };
        if (name === "custom" && fn) checks.push((v) => Boolean(fn(v)));
        else if (name === "string_format" && pattern && pattern.flags === "") {
          checks.push((v: string) => pattern.test(v));
        } else if (name !== "describe" && name !== "meta") return null;
      }
    }
  }
  if (checks.length === 1) return checks[0]!;
  return (value) => {
    for (const holds of checks) if (!holds(value)) return false;
    return true;
  };
}

function workOut(def: Def): Quick {
  const holds = checksOf(def);
  if (holds === null || ("coerce" in def && def.coerce)) return ask;
  const held = (value: unknown) => (holds(value as never) ? value : undefined);
  switch (def.type) {
    case "string":
      return "format" in def ? ask : (v) => (typeof v === "string" ? held(v) : undefined);
    case "number":
      return "format" in def ? ask : (v) => (Number.isFinite(v) ? held(v) : undefined);
    case "boolean":
      return (v) => (typeof v === "boolean" ? held(v) : undefined);
    case "enum":
      return oneOf(Object.values(def.entries));
    case "literal":
      return oneOf(def.values);
    case "optional":
      return quickOf(def.innerType);
    case "array":
      return listOf(quickOf(def.element), holds);
    case "union":
      return firstOf(def.options.map(quickOf));
    case "object":
      return def.catchall?._zod.def.type === "never" ? fields(def.shape, holds) : ask;
    default:
      return ask;
  }
}

function oneOf(values: readonly unknown[]): Quick {
  const known = new Set(values);
  return (v) => (known.has(v) ? v : undefined);
}

function firstOf(options: readonly Quick[]): Quick {
  return (value) => {
    for (const option of options) {
      const read = option(value);
      if (read !== undefined) return read;
    }
    return undefined;
  };
}

function listOf(item: Quick, holds: Check): Quick {
  return (value) => {
    if (!Array.isArray(value)) return undefined;
    const read: unknown[] = [];
    for (const each of value) {
      const own = item(each);
      if (own === undefined) return undefined;
      read.push(own);
    }
    return holds(read as never) ? read : undefined;
  };
}

/** An object that has no field but these. */
function fields(shape: Readonly<Record<string, Shape>>, holds: Check): Quick {
  const known = Object.entries(shape).map(([name, of]) => ({
    name,
    read: quickOf(of),
    isOptional: (of as z.core.$ZodTypes)._zod.def.type === "optional",
  }));
  return (value) => {
    if (typeof value !== "object" || value === null || Array.isArray(value)) return undefined;
    const given = value as Readonly<Record<string, unknown>>;
    const read: Record<string, unknown> = {};
    let count = 0;
    for (const { name, read: quick, isOptional } of known) {
      const field = given[name];
      if (field === undefined) {
        if (isOptional) continue;
        return undefined;
      }
      const own = quick(field);
      if (own === undefined) return undefined;
      read[name] = own;
      count += 1;
    }
    for (const _ in given) count -= 1;
    return count === 0 && holds(read as never) ? read : undefined;
  };
}

/** A value from JSON as its schema has it; undefined where zod must decide. */
export function readQuickly<T>(shape: Shape<T>, value: unknown): T | undefined {
  return quickOf(shape)(value) as T | undefined;
}

/**
 * A body from JSON, as its schema has it.
 *
 * @throws EngineError naming each bad field
 */
export function readBody<T>(shape: Shape<T>, value: unknown): T {
  return readQuickly(shape, value) ?? check(shape, value);
}
