import { beforeEach, describe, expect, test } from "vitest";
import type { Bench, Round } from "../../engine/types.ts";
import { freeName } from "../../viz/bench/benches-edit.ts";
import { branchOf } from "../../viz/bench/round-edit.ts";
import { readBench } from "../../viz/state/bench-file.ts";
import { createKeeper, loadBenches } from "../../viz/state/storage.ts";

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
    expect(createKeeper(storage, []).save([BENCH])).toEqual({ merged: [BENCH], refused: null });
    expect(loadBenches(storage, readBench)).toEqual({ benches: [BENCH], problem: null });
  });

  test("that cannot be read are set aside, said, and not lost", () => {
    storage.setItem("steelyard.benches.v1", '{"version":1,"benches":[{"name":"half a b');
    const { benches, problem } = loadBenches(storage, readBench);
    expect(benches).toEqual([]);
    expect(problem).toContain("set aside");
    expect(storage.getItem("steelyard.benches.v1.unreadable")).toContain("half a b");
  });

  test("of which one cannot be read: the others are there, and it is set aside", () => {
    const other = { ...BENCH, id: "b2", rounds: [{ id: "r1" }] };
    storage.setItem("steelyard.benches.v1", JSON.stringify({ version: 1, benches: [other, BENCH] }));
    const { benches, problem } = loadBenches(storage, readBench);
    expect(benches).toEqual([BENCH]);
    expect(problem).toMatch(/^Of the benches kept in this browser 1 could not be read/);
    expect(storage.getItem("steelyard.benches.v1.unreadable")).toContain("b2");
  });

  test("a full browser is said, with the way out", () => {
    expect(createKeeper(memoryStorage(10), []).save([BENCH]).refused).toContain("Save a file");
  });
});

describe("two tabs of one browser", () => {
  const edited = (bench: Bench, ...more: Round[]): Bench => ({
    ...bench,
    rounds: [...bench.rounds, ...more],
  });

  test("lose no round: what each made is in both, told apart by number", () => {
    const storage = memoryStorage();
    createKeeper(storage, []).save([BENCH]);
    const [one, two] = [createKeeper(storage, [BENCH]), createKeeper(storage, [BENCH])];
    one.save([edited(BENCH, round("a5", 5, "r3"))]);
    const { merged } = two.save([edited(BENCH, round("b5", 5, "r3"))]);
    const rounds = merged[0]!.rounds.map(({ id, number }) => [id, number]);
    expect(rounds.slice(4)).toEqual([
      ["b5", 6],
      ["a5", 5],
    ]);
    const seen = one.take(storage.getItem("steelyard.benches.v1")!, [edited(BENCH, round("a5", 5, "r3"))]);
    expect(seen![0]!.rounds.map(({ id, number }) => [id, number]).slice(4)).toEqual([
      ["a5", 5],
      ["b5", 6],
    ]);
  });

  test("keep a round that one renamed and the other deleted, and let go of one that was only deleted", () => {
    const storage = memoryStorage();
    createKeeper(storage, []).save([BENCH]);
    const [one, two] = [createKeeper(storage, [BENCH]), createKeeper(storage, [BENCH])];
    one.save([{ ...BENCH, rounds: BENCH.rounds.filter(({ id }) => id !== "r3" && id !== "r4") }]);
    const renamed = BENCH.rounds.map((r) => (r.id === "r4" ? { ...r, label: "Mine" } : r));
    const { merged } = two.save([{ ...BENCH, rounds: renamed }]);
    expect(merged[0]!.rounds.map(({ id }) => id)).toEqual(["r1", "r2", "r4"]);
    expect(merged[0]!.rounds.at(-1)!.label).toBe("Mine");
  });

  test("each keep the benches the other made", () => {
    const storage = memoryStorage();
    createKeeper(storage, []).save([BENCH]);
    const [one, two] = [createKeeper(storage, [BENCH]), createKeeper(storage, [BENCH])];
    one.save([BENCH, { ...BENCH, id: "x", name: "From one" }]);
    const { merged } = two.save([BENCH, { ...BENCH, id: "y", name: "From two" }]);
    expect(merged.map(({ name }) => name)).toEqual(["Test bench", "From two", "From one"]);
  });
});

test("a new bench's name is one no other has", () => {
  const named = (name: string): Bench => ({ ...BENCH, name });
  expect(freeName([], "New bench")).toBe("New bench");
  expect(freeName([named("New bench"), named("New bench 2")], "New bench")).toBe("New bench 3");
});

describe("a bench from a file", () => {
  test("round trips through JSON", () => {
    expect(readBench(JSON.parse(JSON.stringify(BENCH)))).toEqual(BENCH);
  });

  test.each([
    [null, "JSON object"],
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

test("setting a round aside takes along what grew from it, and nothing else", () => {
  expect([...branchOf(BENCH.rounds, "r2")].sort()).toEqual(["r2", "r3"]);
  expect([...branchOf([...BENCH.rounds].reverse(), "r1")].sort()).toEqual(["r1", "r2", "r3", "r4"]);
});
