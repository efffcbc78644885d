import fc from "fast-check";
import type { AnyStored, Stamp } from "../../../engine/bench/records.ts";
import { changeOf } from "../../../engine/bench/view.ts";
import type { Spec } from "../../../engine/types.ts";

/** Stamps of few writers at few moments, so that clashes are common. */
export const stamps: fc.Arbitrary<Stamp> = fc
  .tuple(fc.integer({ min: 1, max: 6 }), fc.constantFrom("A", "B"))
  .map(([time, writer]) => `${time}`.padStart(10, "0") + writer.padStart(16, "0"));

const spec = (ml: number): Spec => ({
  name: "Sour",
  method: "shaken",
  lines: [{ ingredient: "juice-lime", amount: ml, unit: "ml" }],
});

const round = fc.record(
  {
    number: fc.integer({ min: 1, max: 4 }),
    parent: fc.constantFrom(null, "r1", "r2", "r3"),
    label: fc.string({ maxLength: 5 }),
    spec: fc.integer({ min: 10, max: 40 }).map(spec),
    notes: fc.string({ maxLength: 5, unit: "binary" }),
    faults: fc.array(fc.constantFrom("thin", "sharp"), { maxLength: 2 }),
    state: fc.constantFrom("open" as const, "kept" as const, "rejected" as const, "final" as const),
    deleted: fc.boolean(),
  },
  { requiredKeys: [] },
);
const bench = fc.record(
  {
    name: fc.string({ maxLength: 5 }),
    target: fc.constant("family:sour"),
    current: fc.constantFrom(null, "r1", "r2"),
    story: fc.option(fc.string({ maxLength: 5 })),
    invented: fc.boolean(),
    deleted: fc.boolean(),
  },
  { requiredKeys: [] },
);
const price = fc.record(
  { value: fc.integer({ min: 0, max: 90 }), deleted: fc.boolean() },
  { requiredKeys: [] },
);

/** Changes to a handful of records of two benches and of the house. */
export const changes: fc.Arbitrary<AnyStored> = fc
  .oneof(
    fc
      .tuple(fc.constantFrom("r1", "r2", "r3"), fc.constantFrom("b1", "b2"), round, stamps)
      .map(([id, of, values, at]) => changeOf("round", id, of, values, at) as AnyStored),
    fc
      .tuple(fc.constantFrom("b1", "b2"), bench, stamps)
      .map(([id, values, at]) => changeOf("bench", id, id, values, at) as AnyStored),
    fc
      .tuple(fc.constantFrom("price:gin", "price:rum"), price, stamps)
      .map(([id, values, at]) => changeOf("setting", id, null, values, at) as AnyStored),
  )
  .filter(({ values }) => Object.keys(values).length > 0);
