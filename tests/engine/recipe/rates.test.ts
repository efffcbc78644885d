import { expect, test } from "vitest";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { judgeName, judgeSpec, type Outcome, possible } from "./corpus/judge.ts";
import { namesCorpus, specsCorpus } from "./corpus/load-corpus.ts";

// The corpora were written before the reader was mended (see their heads). The figure that counts is the
// number of confident misreadings: a name taken for another product, an amount changed, a line passed over.

const { pantry: list, glasses } = loadReferenceData();
const pantry = new Map(list.map((i) => [i.id, i]));

function tally<T>(rows: readonly T[], judge: (row: T) => Outcome, name: (row: T) => string) {
  const wrong: string[] = [];
  const read = new Set<T>();
  for (const row of rows) {
    const outcome = judge(row);
    if (outcome.kind === "wrong") wrong.push(`${name(row)}: ${outcome.how}`);
    else if (outcome.kind === "read") read.add(row);
  }
  return { wrong, read };
}

test("names as people write them: none is taken for something else", () => {
  const rows = namesCorpus();
  expect(rows.length).toBeGreaterThanOrEqual(400);
  expect(new Set(rows.map((r) => r.written)).size).toBe(rows.length);
  const { wrong, read } = tally(
    rows,
    (row) => judgeName(row, pantry),
    (row) => row.written,
  );
  expect(wrong).toEqual([]);
  // Asking about everything would be no misreading either: nearly all that the pantry has is read.
  const known = rows.filter((row) => possible(row.meant, pantry).length > 0);
  expect(read.size / known.length).toBeGreaterThan(0.95);
});

test("whole specs as people write them: none is misread, and nothing is passed over", () => {
  const rows = specsCorpus();
  expect(rows.length).toBeGreaterThanOrEqual(200);
  const { wrong, read } = tally(
    rows,
    (row) => judgeSpec(row, pantry, glasses),
    (row) => row.habit,
  );
  expect(wrong).toEqual([]);
  expect(read.size / rows.length).toBeGreaterThan(0.95);
});

test("every id the corpora name is in the pantry, or a slip of the pen would count as asking", () => {
  const meant = [
    ...namesCorpus().flatMap((row) => row.meant),
    ...specsCorpus().flatMap((block) => block.facts.flatMap((fact) => fact.meant)),
  ];
  expect([...new Set(meant.map((m) => m.id).filter((id) => !pantry.has(id)))]).toEqual([]);
});
