import { expect, test } from "vitest";
import { EngineError } from "../../../engine/errors.ts";
import { answersToDecide } from "../../../engine/taste/panel/binomial.ts";
import { friedman, page } from "../../../engine/taste/panel/ranks.ts";
import { panelReport } from "../../../engine/taste/panel/report.ts";
import type { Tasting } from "../../../engine/taste/types.ts";

const likings = (rows: Record<string, number[]>): Tasting[] =>
  Object.entries(rows).flatMap(([taster, row]) =>
    row.map((liking, i) => ({ round: `r${i + 1}`, taster, liking })),
  );

test("a panel of one mind: ranked, told apart, rising as expected", () => {
  const tastings = likings({ A: [3, 5, 8], B: [4, 6, 7], C: [2, 5, 9], D: [3, 4, 6], E: [4, 5, 8] });
  const report = panelReport({ tastings, expectedOrder: ["r1", "r2", "r3"] });
  expect(report.ranking!.standings.map((s) => s.id)).toEqual(["r3", "r2", "r1"]);
  // All five alike: of 6⁵ deals, 6 are as uneven.
  expect(report.scores!.friedman.p).toBeCloseTo(6 / 6 ** 5, 12);
  expect(report.scores!.page!.p).toBeCloseTo(1 / 6 ** 5, 12);
  expect(report.text.join(" ")).toContain("r3 ranks first");
  expect(report.text.join(" ")).toContain("rise as expected");
});

test("who did not score every round is left out of the rank tests, not of the ranking", () => {
  const tastings = [
    ...likings({ A: [3, 5], B: [4, 6] }),
    { round: "r2", taster: "late", liking: 9 } as Tasting,
  ];
  const report = panelReport({ tastings, comparisons: [{ taster: "late", preferred: "r2", other: "r1" }] });
  expect(report.scores!.tasters).toEqual(["A", "B"]);
  expect(report.scores!.page).toBeNull();
  expect(report.ranking!.standings[0]!.id).toBe("r2");
});

test("nothing tasted says nothing", () => {
  expect(panelReport({ tastings: [] })).toEqual({
    ranking: null,
    scores: null,
    choice: null,
    planned: null,
    text: [],
  });
});

test("how many answers more would decide: none when decided, fewer when nearly, no number when alike", () => {
  expect(answersToDecide("triangle", 8, 8)).toBe(0);
  const nearly = answersToDecide("triangle", 6, 10)!;
  const early = answersToDecide("triangle", 3, 5)!;
  expect(nearly).toBeGreaterThan(0);
  expect(nearly).toBeLessThan(early);
  expect(answersToDecide("triangle", 10, 30)).toBeNull();
  expect(answersToDecide("pair", 10, 20, { sides: 2 })).toBeNull();
  // Which side is ahead does not matter two-sided.
  expect(answersToDecide("pair", 14, 20, { sides: 2 })).toBe(answersToDecide("pair", 6, 20, { sides: 2 }));
});

test("a choice and a plan in words", () => {
  const report = panelReport({
    tastings: [],
    choice: { test: "pair", right: 14, answers: 20 },
    plan: { test: "triangle", real: 0.6 },
  });
  expect(report.choice!.moreToDecide).toBeGreaterThan(0);
  expect(report.planned!.tasters).toBeGreaterThan(10);
  expect(report.text).toHaveLength(3);
});

test("large panels fall back to the usual approximations and say so", () => {
  const rows = Array.from({ length: 60 }, (_, i) =>
    Array.from({ length: 8 }, (_, j) => (i * 7 + j * 3) % 11),
  );
  expect(friedman(rows).isExact).toBe(false);
  expect(page(rows).isExact).toBe(false);
});

test("bad counts and ragged scores are named", () => {
  expect(() => panelReport({ tastings: [], choice: { test: "pair", right: 3, answers: 2 } })).toThrow(
    EngineError,
  );
  expect(() => friedman([[1, 2], [1]])).toThrow(/scores\/1/);
  expect(() => panelReport({ tastings: [], plan: { test: "pair", real: 0.5 } })).toThrow(/plan\/real/);
});
