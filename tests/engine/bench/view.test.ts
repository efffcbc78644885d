import { describe, expect, test } from "vitest";
import { mergeRecords, type Records } from "../../../engine/bench/merge.ts";
import type { AnyStored } from "../../../engine/bench/records.ts";
import { takeBack } from "../../../engine/bench/take-back.ts";
import { benchesOf, benchOf, changesTo } from "../../../engine/bench/view.ts";
import type { Bench, Round } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { fork } from "./fork.ts";

const at = (n: number) => `${n}`.padStart(26, "0");
const DEMO = loadReferenceData().demo;
const asRecords = (...lists: AnyStored[][]): Records =>
  lists.reduce((records: Records, list) => mergeRecords(records, list), new Map());
const without = (bench: Bench, id: string): Bench => ({
  ...bench,
  rounds: bench.rounds.filter((round) => round.id !== id),
});
/** The bench with its parents as they are shown while a round is put away. */
const shown = (records: Records, id = DEMO.id) => benchOf(records, id)!;

describe("a bench and its records", () => {
  const made = changesTo(null, DEMO, at(1));

  test("are the same thing: there and back", () => {
    const { rounds, ...rest } = shown(asRecords(made));
    const plain = (round: Round) => ({ ...round, state: undefined });
    expect({ ...rest, rounds: rounds.map(plain) }).toEqual({ ...DEMO, rounds: DEMO.rounds.map(plain) });
    expect(changesTo(DEMO, DEMO, at(2))).toEqual([]);
  });

  test("only what was changed is written", () => {
    const renamed = { ...DEMO, name: "Roof garden" };
    expect(changesTo(DEMO, renamed, at(2))).toEqual([
      { kind: "bench", id: "demo", bench: "demo", values: { name: "Roof garden" }, stamps: { name: at(2) } },
    ]);
  });

  test("the round a tab made is not lost to another tab's", () => {
    const [one, two] = ["one", "two"].map((tab) => {
      const round = fork(DEMO, DEMO.rounds[5]!, `round-${tab}`, `from tab ${tab}`);
      return { ...DEMO, rounds: [...DEMO.rounds, round], current: round.id };
    });
    const fromOne = changesTo(DEMO, one!, at(2));
    const fromTwo = changesTo(DEMO, two!, at(3));
    const both = shown(asRecords(made, fromOne, fromTwo));
    expect(both.rounds.slice(6).map(({ number, label }) => [number, label])).toEqual([
      [7, "from tab one"],
      [8, "from tab two"],
    ]);
    expect(shown(asRecords(fromTwo, fromOne, made))).toEqual(both);
  });

  test("a round put away hands its children to its parent, and takes them back", () => {
    const records = asRecords(made);
    const child = DEMO.rounds.find((round) => round.parent === "r3")!;
    const away = asRecords(made, changesTo(DEMO, without(DEMO, "r3"), at(2)));
    expect(shown(away).rounds.find((round) => round.id === child.id)!.parent).toBe("r2");
    const back = mergeRecords(away, changesTo(shown(away), shown(records), at(3)));
    expect(shown(back)).toEqual(shown(records));
  });

  test("work on a round that another put away brings it back", () => {
    const away = changesTo(DEMO, without(DEMO, "r6"), at(2));
    const noted = changesTo(
      DEMO,
      { ...DEMO, rounds: DEMO.rounds.map((r) => (r.id === "r6" ? { ...r, notes: "longer shake" } : r)) },
      at(3),
    );
    expect(shown(asRecords(made, away)).rounds.map((r) => r.id)).not.toContain("r6");
    expect(shown(asRecords(made, away, noted)).rounds.find((r) => r.id === "r6")?.notes).toBe("longer shake");
  });

  test("a bench put away is not listed, and half a bench is not shown", () => {
    expect(benchesOf(asRecords(made, changesTo(DEMO, null, at(2))))).toEqual([]);
    expect(benchesOf(asRecords(changesTo(DEMO, { ...DEMO, name: "Other" }, at(2))))).toEqual([]);
  });
});

describe("taking back", () => {
  const made = changesTo(null, DEMO, at(1));
  const label = (text: string, n: number) =>
    changesTo(
      DEMO,
      { ...DEMO, rounds: DEMO.rounds.map((r) => (r.id === "r2" ? { ...r, label: text } : r)) },
      at(n),
    )[0]!;

  test("gives each field what it had before, and can itself be taken back", () => {
    const renamed = label("Second", 2);
    const undone = takeBack(renamed, [...made, renamed], at(3));
    if (!("change" in undone)) throw new Error("refused");
    expect(undone.change.values).toEqual({ label: DEMO.rounds[1]!.label });
    const redone = takeBack(undone.change, [...made, renamed, undone.change], at(4));
    expect("change" in redone && redone.change.values).toEqual({ label: "Second" });
  });

  test("puts away what it made", () => {
    expect(takeBack(made[1]!, made, at(2))).toMatchObject({ change: { values: { deleted: true } } });
  });

  test("is refused where someone wrote since, naming the field", () => {
    const first = label("Second", 2);
    expect(takeBack(first, [...made, first, label("Third", 3)], at(4))).toEqual({ overwritten: ["label"] });
  });
});
