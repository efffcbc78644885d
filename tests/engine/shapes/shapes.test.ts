import * as fc from "fast-check";
import { describe, expect, expectTypeOf, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import { MOST, MOST_AMOUNT } from "../../../engine/limits.ts";
import { benchShape } from "../../../engine/shapes/bench.ts";
import { check, type Shape, tryRead } from "../../../engine/shapes/check.ts";
import { specShape } from "../../../engine/shapes/spec.ts";
import { targetPartShape, viewShape } from "../../../engine/shapes/view.ts";
import type * as Engine from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const line = { ingredient: "rum-aged", amount: 2, unit: "oz" };
const spec = { name: "Sour", method: "shaken", lines: [line] };

function complaints(shape: Shape, value: unknown) {
  const read = tryRead(shape, value);
  return "issues" in read ? read.issues : [];
}

test("no part of an ingredient is changed: what follows from it is kept with it", () => {
  type Value = Engine.Ingredient["sugarsGPer100Ml"]["sucrose"];
  expectTypeOf<Value>().toEqualTypeOf<Readonly<Value>>();
});

test("every reference drink and the demo bench have their shapes", () => {
  const { drinks, demo } = loadReferenceData();
  for (const drink of drinks) expect(check(specShape, drink.spec)).toEqual(drink.spec);
  expect(check(benchShape, demo)).toEqual(demo);
});

describe("what is wrong is said by field, with what to do", () => {
  test.each<[string, unknown, string, string, string]>([
    ["missing", { method: "shaken", lines: [] }, "/name", "missing", "give it as a text"],
    [
      "another type",
      { ...spec, lines: [{ ...line, amount: "2" }] },
      "/lines/0/amount",
      "this is a text",
      "give a number",
    ],
    ["null", { ...spec, name: null }, "/name", "this is null", "give a text"],
    [
      "an unknown word",
      { ...spec, method: "shook" },
      "/method",
      "not one of the known values",
      "use one of: shaken",
    ],
    [
      "too much",
      { ...spec, lines: [{ ...line, amount: MOST_AMOUNT + 1 }] },
      "/lines/0/amount",
      "too large",
      `at most ${MOST_AMOUNT}`,
    ],
    [
      "too little",
      { ...spec, lines: [{ ...line, amount: 1e-9 }] },
      "/lines/0/amount",
      "nobody can pour so little",
      "give 0",
    ],
    [
      "too many",
      { ...spec, lines: Array(MOST.lines + 1).fill(line) },
      "/lines",
      "too large for a list",
      "items",
    ],
    ["an id with a space", { ...spec, glass: "my glass" }, "/glass", "letters, digits", "GET /v1/pantry"],
    [
      "a misspelt key",
      { ...spec, lines: [{ ...line, stgae: "top" }] },
      "/lines/0",
      'unknown field "stgae"',
      'write stage for "stgae"',
    ],
    [
      "a key of two measures",
      { ...spec, dilution: { model: "measured" } },
      "/dilution",
      "given one way",
      "exactly one of",
    ],
    [
      "a branch of a union",
      { ...spec, dilution: { model: "guess" } },
      "/dilution/model",
      "this kind is not known",
      "regression, energy, measured",
    ],
  ])("%s", (_, value, pointer, detail, remedy) => {
    const found = complaints(specShape, value);
    expect(found).toHaveLength(1);
    expect(found[0]!.pointer).toBe(pointer);
    expect(found[0]!.detail).toContain(detail);
    expect(found[0]!.remedy).toContain(remedy);
  });

  test("a bench names its broken rule", () => {
    const round = { id: "r1", number: 1, parent: null, label: "", spec };
    const bench = { id: "b", name: "B", rounds: [round], current: "r1", target: "" };
    expect(complaints(benchShape, bench)).toEqual([]);
    expect(complaints(benchShape, { ...bench, current: "r9" })[0]!.detail).toContain("current names a round");
    expect(complaints(benchShape, { ...bench, rounds: [{ ...round, parent: "r0" }] })[0]!.detail).toContain(
      "parent",
    );
    expect(complaints(benchShape, { ...bench, rounds: [round, round] })[0]!.detail).toContain("same id");
  });

  test("thrown as the engine's own error, under the pointer given", () => {
    expect(() => check(specShape, {}, "/spec")).toThrow(EngineError);
    expect(() => check(specShape, {}, "/spec")).toThrow("/spec/name: missing");
  });
});

test("a complaint is short however large the mistake", () => {
  const keys = Object.fromEntries(Array.from({ length: 4000 }, (_, i) => [`stranger${i}`, i]));
  const [found, ...more] = complaints(specShape, { ...spec, ...keys, ["x".repeat(40_000)]: 1 });
  expect(more).toEqual([]);
  expect(found!.detail.length + found!.remedy.length).toBeLessThan(2000);
  expect(found!.detail).toContain("and 3993 more");
});

test("whatever comes, there is a value or a complaint with pointer, detail and remedy, and no exception", () => {
  fc.assert(
    fc.property(
      fc.constantFrom<Shape>(specShape, benchShape, viewShape, targetPartShape),
      fc.jsonValue(),
      (shape, value) => {
        const read = tryRead(shape, value);
        if (!("issues" in read)) return;
        expect(read.issues.length).toBeGreaterThan(0);
        for (const { pointer, detail, remedy } of read.issues) {
          expect(pointer === "" || pointer.startsWith("/")).toBe(true);
          expect(detail).not.toBe("");
          expect(remedy).not.toBe("");
        }
      },
    ),
  );
});
