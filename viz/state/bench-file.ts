import type { Along } from "../../engine/bench/along.ts";
import { alongShape, benchShape } from "../../engine/shapes/bench.ts";
import { isObject, type Shape, tryRead } from "../../engine/shapes/check.ts";
import type { Bench } from "../../engine/types.ts";
import { newId } from "./ids.ts";

/** Where a complaint points, for people: "/rounds/2/spec/lines/0/unit" is round 3, spec, line 1, unit. */
function placeOf(pointer: string): string {
  return pointer
    .split("/")
    .slice(1)
    .map((key, i, keys) => (/^\d+$/.test(key) ? `${keys[i - 1]?.replace(/s$/, "")} ${Number(key) + 1}` : key))
    .filter((_, i, words) => !/ \d+$/.test(words[i + 1] ?? ""))
    .join(", ");
}

/** Read a bench from parsed JSON; a string is the reason it cannot be one. */
export function readBench(x: unknown): Bench | string {
  if (!isObject(x)) return "A bench is a JSON object with name and rounds.";
  const last: unknown = Array.isArray(x.rounds) ? x.rounds.at(-1) : undefined;
  // What only says where the user was may be missing.
  const current = isObject(last) ? last.id : "";
  return inShape(benchShape, { id: newId(), current, target: "", ...x }, "The bench");
}

/** The value, if it has the shape; a string is why it has not. */
function inShape<T>(shape: Shape<T>, value: unknown, whole: string): T | string {
  const read = tryRead(shape, value);
  if (!("issues" in read)) return read.value;
  const { pointer, detail, remedy } = read.issues[0]!;
  return `${pointer === "" ? whole : placeOf(pointer)}: ${detail}; ${remedy}.`;
}

/** A bench as a file hands it over, with what it brings along. */
export interface BenchFile {
  bench: Bench;
  along: Along;
}

/** Read a bench's file from parsed JSON; a string is the reason it cannot be one. */
export function readBenchFile(x: unknown): BenchFile | string {
  const { along: brought, ...rest } = isObject(x) ? x : { along: undefined };
  const bench = readBench(isObject(x) ? rest : x);
  if (typeof bench === "string") return bench;
  const along =
    brought === undefined
      ? { ingredients: [], preps: [] }
      : inShape<Along>(alongShape, brought, "What it brings along");
  return typeof along === "string" ? along : { bench, along };
}
