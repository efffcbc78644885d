import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  canonical,
  latestStamp,
  mergeRecord,
  mergeRecords,
  type Records,
} from "../../../engine/bench/merge.ts";
import { type AnyStored, recordKey } from "../../../engine/bench/records.ts";
import { benchesOf, changeOf } from "../../../engine/bench/view.ts";
import { changes, stamps } from "./arbitrary-records.ts";

const NONE: Records = new Map();
const merged = (...lists: AnyStored[][]): Records =>
  lists.reduce((records: Records, list) => mergeRecords(records, list), NONE);
/** What a set of records is, whatever the order in which it came about. */
const same = (records: Records) =>
  canonical(Object.fromEntries([...records].sort(([a], [b]) => (a < b ? -1 : 1))));
const lists = fc.array(changes, { maxLength: 12 });

describe("records written apart come together", () => {
  test("in whatever order, grouping and repetition they arrive", () => {
    fc.assert(
      fc.property(lists, lists, lists, (a, b, c) => {
        const whole = same(merged(a, b, c));
        expect(same(merged(c, a, b))).toBe(whole);
        expect(same(merged([...a].reverse(), c, b))).toBe(whole);
        expect(same(mergeRecords(merged(a), merged(b, c).values()))).toBe(whole);
        expect(same(mergeRecords(merged(a, b), merged(c, a).values()))).toBe(whole);
        expect(same(merged(a, a, b, c, b, a))).toBe(whole);
      }),
    );
  });

  test("with no record lost and none doubled", () => {
    fc.assert(
      fc.property(lists, lists, (a, b) => {
        const records = merged(a, b);
        expect([...records.keys()].sort()).toEqual([...new Set([...a, ...b].map(recordKey))].sort());
        for (const [key, record] of records) expect(recordKey(record)).toBe(key);
      }),
    );
  });

  test("each field holds what was written last", () => {
    fc.assert(
      fc.property(lists, (list) => {
        for (const [key, record] of merged(list)) {
          const writes = list.filter((change) => recordKey(change) === key);
          for (const [field, value] of Object.entries(record.values)) {
            const of = writes.filter(({ values }) => Object.hasOwn(values, field));
            const last = of
              .map(({ stamps: s }) => (s as Record<string, string>)[field]!)
              .sort()
              .at(-1)!;
            const latest = of.filter(({ stamps: s }) => (s as Record<string, string>)[field] === last);
            expect(latest.map(({ values: v }) => canonical((v as Record<string, unknown>)[field]))).toContain(
              canonical(value),
            );
          }
        }
      }),
    );
  });

  test("what brings nothing new leaves the very same objects", () => {
    fc.assert(
      fc.property(lists, (list) => {
        const records = merged(list);
        expect(mergeRecords(records, list)).toBe(records);
        for (const record of records.values()) expect(mergeRecord(record, record)).toBe(record);
      }),
    );
  });

  test("inputs are never written on", () => {
    fc.assert(
      fc.property(lists, lists, (a, b) => {
        const before = canonical([a, b]);
        merged(a, b);
        expect(canonical([a, b])).toBe(before);
      }),
    );
  });
});

test("one taster's words and another's spec of the same round are both kept", () => {
  const at = (n: number) => `${n}`.padStart(26, "0");
  const whole = changeOf("round", "r1", "b1", { number: 1, label: "First", notes: "" }, at(1)) as AnyStored;
  const phone = changeOf("round", "r1", "b1", { notes: "thin" }, at(3)) as AnyStored;
  const desk = changeOf("round", "r1", "b1", { label: "With lemon" }, at(2)) as AnyStored;
  const record = merged([whole], [phone], [desk]).get("b1/round/r1");
  expect(record?.values).toEqual({ number: 1, label: "With lemon", notes: "thin" });
});

test("the latest stamp is the one the next write has to pass", () => {
  expect(latestStamp([])).toBeUndefined();
  fc.assert(
    fc.property(fc.array(stamps, { minLength: 1 }), (list) => {
      const records = list.map((at, i) => changeOf("bench", `b${i}`, `b${i}`, { name: "" }, at) as AnyStored);
      expect(latestStamp(records)).toBe([...list].sort().at(-1));
    }),
  );
});

test("any set of records can be shown: parents that are there, numbers once each, no loop", () => {
  fc.assert(
    fc.property(fc.array(changes, { maxLength: 40 }), (list) => {
      for (const bench of benchesOf(merged(list))) {
        const ids = new Set(bench.rounds.map((r) => r.id));
        expect(new Set(bench.rounds.map((r) => r.number)).size).toBe(bench.rounds.length);
        for (const round of bench.rounds) {
          let at = round.parent;
          for (let steps = 0; at !== null; steps += 1) {
            expect(ids.has(at)).toBe(true);
            expect(steps).toBeLessThan(bench.rounds.length);
            at = bench.rounds.find((r) => r.id === at)!.parent;
          }
        }
      }
    }),
  );
});
