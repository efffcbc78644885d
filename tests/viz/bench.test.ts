import { beforeEach, describe, expect, test } from "vitest";
import type { Bench, Round } from "../../engine/types.ts";
import { branchOf } from "../../viz/edit/bench-edit.ts";
import { loadBenches, readBench, saveBenches } from "../../viz/state/bench-storage.ts";

const round = (id: string, number: number, parent: string | null): Round => ({
  id,
  number,
  parent,
  label: `Round ${number}`,
  spec: { name: "Test", method: "shaken", lines: [{ ingredient: "rum-aged", amount: 2, unit: "oz" }] },
});
const BENCH: Bench = {
  id: "b",
  name: "Test bench",
  rounds: [round("r1", 1, null), round("r2", 2, "r1"), round("r3", 3, "r2"), round("r4", 4, "r1")],
  current: "r3",
  target: "family:sour",
};

/** The part of a browser's storage that the page uses. */
function memoryStorage(limit = Number.POSITIVE_INFINITY): Storage {
  const kept = new Map<string, string>();
  return {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => {
      if (value.length > limit) throw new DOMException("full", "QuotaExceededError");
      kept.set(key, value);
    },
  } as Storage;
}

describe("benches kept in the browser", () => {
  let storage: Storage;
  beforeEach(() => {
    storage = memoryStorage();
  });

  test("come back as they were kept", () => {
    expect(saveBenches(storage, [BENCH])).toBeNull();
    expect(loadBenches(storage)).toEqual({ benches: [BENCH], problem: null });
  });

  test("that cannot be read are set aside, said, and not lost", () => {
    storage.setItem("steelyard.benches.v1", '{"version":1,"benches":[{"name":"half a b');
    const { benches, problem } = loadBenches(storage);
    expect(benches).toEqual([]);
    expect(problem).toContain("set aside");
    expect(storage.getItem("steelyard.benches.v1.unreadable")).toContain("half a b");
  });

  test("a full browser is said, with the way out", () => {
    expect(saveBenches(memoryStorage(10), [BENCH])).toContain("Export");
  });
});

describe("a bench from a file", () => {
  test("round trips through JSON", () => {
    expect(readBench(JSON.parse(JSON.stringify(BENCH)))).toEqual(BENCH);
  });

  test.each([
    [null, "JSON object"],
    [{ ...BENCH, rounds: [] }, "rounds: too small for a list; give at least 1"],
    [
      {
        ...BENCH,
        rounds: [
          {
            ...round("r1", 1, null),
            spec: { name: "", method: "none", lines: [{ ingredient: "x", amount: null, unit: "oz" }] },
          },
        ],
      },
      "round 1, spec, line 1, amount: this is null; give a number",
    ],
    [{ ...BENCH, rounds: [round("r1", 1, null), round("r1", 2, "r1")] }, "same id"],
    [{ ...BENCH, rounds: [round("r2", 2, "gone")] }, "a parent that is not here"],
  ])("%# is refused with the reason", (file, reason) => {
    expect(readBench(file)).toContain(reason);
  });
});

test("abandoning a round takes along what grew from it, and nothing else", () => {
  expect([...branchOf(BENCH.rounds, "r2")].sort()).toEqual(["r2", "r3"]);
  expect([...branchOf([...BENCH.rounds].reverse(), "r1")].sort()).toEqual(["r1", "r2", "r3", "r4"]);
});
