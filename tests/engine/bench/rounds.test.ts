import { describe, expect, test } from "vitest";
import { compareRounds } from "../../../engine/bench/rounds.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

const data = loadReferenceData();
const { demo } = data;
const pantry = new Map(data.pantry.map((item) => [item.id, item]));
const round = (id: string) => demo.rounds.find((r) => r.id === id)!;

describe("two rounds side by side", () => {
  test("nothing between a round and itself", () => {
    expect(compareRounds(round("r1"), round("r1"), pantry)).toEqual({
      changes: [],
      line: null,
      moreThanOne: false,
    });
  });

  test("one change in one line, without a warning", () => {
    const { spec } = round("r1");
    const lines = spec.lines.map((line) => (line.ingredient === "rum-aged" ? { ...line, amount: 2 } : line));
    const { line, moreThanOne, changes } = compareRounds(round("r1"), { spec: { ...spec, lines } }, pantry);
    expect(line).toContain("1½ oz → 2 oz");
    expect(line).not.toContain(";");
    expect(changes).toHaveLength(1);
    expect(moreThanOne).toBe(false);
  });

  test("warns that several things moved, far apart in the tree too", () => {
    const compared = compareRounds(round("r1"), round("r6"), pantry);
    expect(compared.moreThanOne).toBe(true);
    expect(compared.line?.split("; ")).toHaveLength(compared.changes.length);
  });
});
