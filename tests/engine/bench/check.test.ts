import Ajv2020 from "ajv/dist/2020.js";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { readRecords, recordIssues, recordSchema } from "../../../engine/bench/check.ts";
import { FIRST_STAMP, RECORD_KINDS, type RecordKind } from "../../../engine/bench/records.ts";
import { changesTo } from "../../../engine/bench/view.ts";
import { EngineError } from "../../../engine/errors.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { changes } from "./arbitrary-records.ts";

const DEMO = loadReferenceData().demo;
const made = changesTo(null, DEMO, FIRST_STAMP);

// The outside judge: a JSON Schema validator from the registry (ajv, draft 2020-12).
const ajv = new Ajv2020({ strict: true, allErrors: true });
const judges = Object.fromEntries(
  RECORD_KINDS.map((kind) => [kind, { change: ajv.compile(recordSchema(kind, false)) }]),
);

/** What a slip or an attacker puts where something belongs. */
const strange = fc.oneof(
  fc.constantFrom<unknown>(null, undefined, "", "x".repeat(30_000), -1, 0, 1.5, 1e308, NaN, true, [], {}),
  fc.constantFrom<unknown>({ __proto__: 1 }, [null], ["thin"], { model: "energy" }, "shaken", "../etc"),
  fc.jsonValue(),
);

/** A record with one place in it overwritten. */
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

describe("a record from outside", () => {
  test("is let in by the check exactly when the published schema lets it in", () => {
    let refused = 0;
    fc.assert(
      fc.property(spoilt, (record) => {
        const judge = judges[record.kind as RecordKind]?.change;
        const issues = recordIssues(record);
        // What the schema does not say: whose a bench is, which settings exist, how long JSON is once written.
        const beyond = issues.every(
          ({ pointer, detail }) =>
            ["no such setting", "a bench belongs to itself", "nothing is set"].includes(detail) ||
            ["a stamp without its value", "a value without its stamp"].includes(detail) ||
            ["nobody can pour so little", "a measured glass is given one way"].includes(detail) ||
            pointer.startsWith("/values/value"),
        );
        const lets = judge?.(record) === true;
        if (issues.length === 0) expect(lets, JSON.stringify(judge?.errors)).toBe(true);
        else if (lets) expect(beyond, JSON.stringify(issues)).toBe(true);
        refused += lets ? 0 : 1;
        for (const issue of issues) expect(issue.remedy).not.toBe("");
      }),
      { numRuns: 1500 },
    );
    expect(refused).toBeGreaterThan(200);
  });

  test("made here is let in", () => {
    expect(readRecords(JSON.parse(JSON.stringify(made)))).toEqual(made);
    for (const record of made) expect(judges[record.kind]!.change(record)).toBe(true);
    fc.assert(
      fc.property(changes, (change) => {
        expect(recordIssues(change)).toEqual([]);
      }),
    );
  });

  test.each([
    [{ kind: "round", id: "r1", bench: null }, "/bench", "no round is kept there"],
    [{ kind: "bench", id: "b1", bench: "b2" }, "/bench", "a bench belongs to itself"],
    [{ kind: "setting", id: "colour", bench: null }, "/id", "no such setting"],
    [{ kind: "cocktail" }, "/kind", "not one of the known values"],
    [{ id: "../secret" }, "/id", "an id has letters, digits and : . _ - only"],
    [{ values: {} }, "/values", "nothing is set"],
    [{ values: { label: 3 } }, "/values/label", "this is a number"],
    [{ values: { note: "" } }, "/values", 'unknown field "note"'],
    [{ stamps: { label: "yesterday" } }, "/stamps/label", "no ULID"],
  ])("that is wrong is refused by name: %j", (wrong, pointer, detail) => {
    const right = {
      kind: "round",
      id: "r1",
      bench: "b1",
      values: { label: "" },
      stamps: { label: FIRST_STAMP },
    };
    expect(recordIssues(right)).toEqual([]);
    expect(recordIssues({ ...right, ...wrong })).toContainEqual(expect.objectContaining({ pointer, detail }));
    expect(() => readRecords([right, { ...right, ...wrong }])).toThrow(EngineError);
    expect(() => readRecords([right, { ...right, ...wrong }])).toThrow(`/1${pointer}`);
  });

  test("a price has its own form", () => {
    const price = (value: unknown) => ({
      kind: "setting",
      id: "price:gin",
      bench: null,
      values: { value },
      stamps: { value: FIRST_STAMP },
    });
    expect(recordIssues(price(31.5))).toEqual([]);
    expect(recordIssues(price("cheap"))).toMatchObject([{ pointer: "/values/value" }]);
  });
});
