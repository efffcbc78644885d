import { Ajv2020 } from "ajv/dist/2020.js";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { z } from "zod";
import { changeShape, readRecords } from "../../../engine/bench/check.ts";
import { FIRST_STAMP } from "../../../engine/bench/records.ts";
import { changesTo } from "../../../engine/bench/view.ts";
import { EngineError, type FieldIssue } from "../../../engine/errors.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { changes } from "./arbitrary-records.ts";

const DEMO = loadReferenceData().demo;
const made = changesTo(null, DEMO, FIRST_STAMP);

// The outside judge: a JSON Schema validator from the registry (ajv, draft 2020-12), on the schema published.
const judge = new Ajv2020({ strict: false }).compile(z.toJSONSchema(changeShape, { io: "input" }));

/** What a slip or an attacker puts where something belongs. */
const strange = fc.oneof(
  fc.constantFrom<unknown>(null, undefined, "", "x".repeat(30_000), -1, 0, 1.5, 1e308, NaN, true, [], {}),
  fc.constantFrom<unknown>({ __proto__: 1 }, [null], ["thin"], { model: "energy" }, "shaken", "../etc"),
  fc.jsonValue(),
);

/** A record with one place in it overwritten or emptied. */
const spoilt = fc
  .tuple(fc.oneof(changes, fc.constantFrom(...made)), fc.nat(), strange, fc.boolean())
  .map(([record, where, value, remove]) => {
    const copy = structuredClone(record) as unknown as Record<string, unknown>;
    const places: [Record<string, unknown>, string][] = [];
    const walk = (node: unknown): void => {
      if (typeof node !== "object" || node === null) return;
      for (const key of [...Object.keys(node), "stray"]) {
        places.push([node as Record<string, unknown>, key]);
        walk((node as Record<string, unknown>)[key]);
      }
    };
    walk(copy);
    const [node, key] = places[where % places.length]!;
    if (remove) delete node[key];
    else node[key] = value;
    // As it would come over the wire: no undefined, no NaN.
    return JSON.parse(JSON.stringify(copy)) as Record<string, unknown>;
  });

function issuesOf(x: unknown): readonly FieldIssue[] {
  try {
    readRecords([x]);
    return [];
  } catch (error) {
    if (!(error instanceof EngineError)) throw error;
    return error.issues.map((issue) => ({ ...issue, pointer: issue.pointer.replace(/^\/0/, "") }));
  }
}

describe("a record from outside", () => {
  test("is let in by the check exactly when the published schema lets it in", () => {
    // What JSON Schema cannot say, each with words of its own.
    const beyond =
      /^(nothing is set|values and stamps|a bench belongs|no such setting|more than \d+ characters|nobody can pour|this is next to nothing|a measured glass|two glasses)/;
    let refused = 0;
    fc.assert(
      fc.property(spoilt, (record) => {
        const issues = issuesOf(record);
        const lets = judge(record);
        if (issues.length === 0) expect(lets, JSON.stringify(judge.errors)).toBe(true);
        else if (lets) for (const { detail } of issues) expect(detail).toMatch(beyond);
        refused += lets ? 0 : 1;
        for (const { remedy } of issues) expect(remedy).not.toBe("");
      }),
      { numRuns: 1500 },
    );
    expect(refused).toBeGreaterThan(200);
  });

  test("made here is let in", () => {
    for (const record of made) {
      expect(readRecords([JSON.parse(JSON.stringify(record))])).toEqual([record]);
      expect(judge(record)).toBe(true);
    }
    fc.assert(
      fc.property(changes, (change) => {
        expect(issuesOf(change)).toEqual([]);
      }),
    );
  });

  test.each([
    [{ bench: null }, "/bench"],
    [{ kind: "bench", id: "b2", values: { name: "" }, stamps: { name: FIRST_STAMP } }, ""],
    [
      { kind: "setting", id: "colour", bench: null, values: { value: 1 }, stamps: { value: FIRST_STAMP } },
      "",
    ],
    [
      {
        kind: "setting",
        id: "price:gin",
        bench: null,
        values: { value: "dear" },
        stamps: { value: FIRST_STAMP },
      },
      "/values/value",
    ],
    // A value some other setting may have.
    [
      {
        kind: "setting",
        id: "price:gin",
        bench: null,
        values: { value: { dashMl: 1 } },
        stamps: { value: FIRST_STAMP },
      },
      "",
    ],
    [{ kind: "cocktail" }, "/kind"],
    [{ id: "../secret" }, "/id"],
    [{ values: {}, stamps: {} }, "/values"],
    [{ values: { label: 3 } }, "/values/label"],
    [{ values: { note: "" } }, "/values"],
    [{ stamps: { label: "yesterday" } }, "/stamps/label"],
    [{ stamps: {} }, ""],
  ])("that is wrong is refused by name: %j", (wrong, pointer) => {
    const right = {
      kind: "round",
      id: "r1",
      bench: "b1",
      values: { label: "" },
      stamps: { label: FIRST_STAMP },
    };
    expect(issuesOf(right)).toEqual([]);
    expect(issuesOf({ ...right, ...wrong }).map((issue) => issue.pointer)).toContain(pointer);
  });
});
