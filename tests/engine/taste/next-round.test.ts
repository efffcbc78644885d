import { describe, expect, test } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { toPoint, toVec } from "../../../engine/axes.ts";
import { KEEP_IDS } from "../../../engine/ids.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { answerTable } from "../../../engine/taste/answer.ts";
import { foresee } from "../../../engine/taste/foresee.ts";
import { aimAt } from "../../../engine/taste/judge.ts";
import { learnTable } from "../../../engine/taste/learn.ts";
import { type NextRoundRequest, nextRound } from "../../../engine/taste/next-round.ts";
import { swapsToTry } from "../../../engine/taste/swaps-to-try.ts";
import type { Tasting } from "../../../engine/taste/types.ts";
import { TASTING_WORDS, tastingWord } from "../../../engine/taste/vocabulary.ts";
import type { Spec, Vec3 } from "../../../engine/types.ts";
import { pantry, prior } from "./invented-table.ts";

const sour = (rum: number, lime: number, syrup: number): Spec => ({
  name: "Invented sour",
  method: "shaken",
  lines: [
    { ingredient: "rum-white", amount: rum, unit: "ml" },
    { ingredient: "juice-lime", amount: lime, unit: "ml" },
    { ingredient: "syrup-simple-1-1", amount: syrup, unit: "ml" },
  ],
});
const roundOf = (id: string, spec: Spec) => {
  const { model, volumesMl } = prepareSpec(spec, pantry);
  return { id, point: toPoint(model.finish(volumesMl).point) };
};
const request = (spec: Spec, extra: Partial<NextRoundRequest> = {}): NextRoundRequest => ({
  spec,
  pantry,
  ladder: LADDERS["metric-jigger"],
  additions: ["water"],
  ...extra,
});
const say = (round: string, liking: number, sweet: number, sour: number, strong: number): Tasting[] =>
  ["A", "B", "C"].map(
    (who) => ({ round, taster: `Invented ${who}`, liking, sweet, sour, strong }) as Tasting,
  );

const tooSweet = sour(50, 15, 30);
const record = { prior, rounds: [roundOf("r1", tooSweet)], tastings: say("r1", 3, 2, -1, 0) };

describe("the next round", () => {
  const learned = learnTable(record);
  const next = nextRound(learned, record.rounds, request(tooSweet));

  test("is pourable, answers the complaints, and is liked better", () => {
    expect(next.verdict).toBe("pour");
    const [first] = next.proposals;
    const amountOf = (id: string) => first!.proposal.spec.lines.find((l) => l.ingredient === id)?.amount ?? 0;
    const before = toVec(first!.proposal.before);
    const after = toVec(first!.proposal.after);
    expect(after[0]).toBeLessThan(before[0] - prior.spread[0]);
    expect(after[1]).toBeGreaterThan(before[1]);
    for (const { ingredient } of first!.proposal.spec.lines)
      expect(amountOf(ingredient) % 2.5).toBeCloseTo(0, 9);
    expect(first!.chancePreferred).toBeGreaterThan(0.8);
    expect(first!.gain).toBeGreaterThan(0.5);
  });

  test("is ordered by the chance of doing what no round so far does", () => {
    const chances = next.proposals.map((p) => p.newlyContent);
    expect(chances).toEqual([...chances].sort((a, b) => b - a));
    for (const p of next.proposals) expect(p.newlyContent).toBeLessThanOrEqual(p.chanceContent + 1e-12);
  });

  test("the aim is a target the solver takes, and every proposal is in it or near", () => {
    const aim = compileTarget(next.aim);
    for (const { proposal } of next.proposals) {
      expect(aim.ellipsoids[0]!.radius).toBeLessThanOrEqual(1);
      expect(aim.contains(toVec(proposal.after), 1)).toBe(true);
    }
  });

  test("keeps the drink: locks and shares hold", () => {
    const kept = nextRound(
      learned,
      record.rounds,
      request(tooSweet, {
        locks: ["rum-white"],
        character: [{ ingredient: "rum-white", minSharePercent: 30 }],
      }),
    );
    expect(kept.proposals.length).toBeGreaterThan(0);
    for (const { proposal } of kept.proposals) {
      expect(proposal.spec.lines.find((l) => l.ingredient === "rum-white")!.amount).toBe(50);
      expect((100 * 50) / proposal.finishedVolumeMl).toBeGreaterThanOrEqual(30 - 1e-9);
    }
  });

  test("keeps the habits of the trade: what the drink is named for is not halved, unless that is let go of", () => {
    const sharp = { ...sour(60, 30, 15), name: "Lime on its own (invented)" };
    const tasted = { prior, rounds: [roundOf("r1", sharp)], tastings: say("r1", 3, -1, 2, 0) };
    const limeIn = (release: NextRoundRequest["release"] & object) =>
      nextRound(learnTable(tasted), tasted.rounds, request(sharp, { release })).proposals.map(
        ({ proposal }) => proposal.spec.lines.find((l) => l.ingredient === "juice-lime")?.amount ?? 0,
      );
    const kept = limeIn([]);
    expect(kept.length).toBeGreaterThan(0);
    expect(Math.min(...kept)).toBeGreaterThanOrEqual(20);
    expect(Math.min(...limeIn([...KEEP_IDS]))).toBeLessThan(20);
  });

  test("a drink inside the region the ladder needs is moved on from, not called out of reach", () => {
    // Simulated answers to three rounds; the third lies within 0.7 spreads of the aim and nothing within 0.3.
    const poured = [sour(60, 12.5, 10), sour(50, 20, 17.5), sour(50, 20, 22.5)];
    const rounds = poured.map((spec, i) => roundOf(`r${i + 1}`, spec));
    const heard = [
      [-2, 0, 2, 3, -2, -2, 2, 1, -2, -2, 2, 2],
      [-2, 1, 0, 5, -2, 0, 0, 5, -2, 0, 0, 8],
      [0, 1, 0, 5, -1, -1, -1, 8, 1, 0, -2, 6],
    ];
    const tastings = heard.flatMap((marks, r) =>
      ["A", "B", "C"].map((who, t) => {
        const [sweet, sour, strong, liking] = marks.slice(4 * t, 4 * t + 4);
        return { round: `r${r + 1}`, taster: `Invented ${who}`, sweet, sour, strong, liking } as Tasting;
      }),
    );
    const table = learnTable({ prior, rounds, tastings });
    const { verdict, proposals, aim } = nextRound(table, rounds, request(poured[2]!));
    const here = toVec(rounds[2]!.point);
    const apart = (p: Vec3, q: Vec3) =>
      Math.hypot(...[0, 1, 2].map((k) => (p[k]! - q[k]!) / prior.spread[k]!));
    expect(apart(here, aim.mean)).toBeLessThan(0.6);
    expect(verdict).toBe("pour");
    for (const { proposal } of proposals) {
      const after = toVec(proposal.after);
      expect(apart(after, aim.mean)).toBeLessThan(apart(after, here));
    }
  });

  test("out of reach is said, not guessed around", () => {
    const stuck = request(tooSweet, {
      locks: ["rum-white", "juice-lime", "syrup-simple-1-1"],
      additions: [],
    });
    expect(nextRound(learned, record.rounds, stuck)).toMatchObject({
      verdict: "out-of-reach",
      proposals: [],
    });
  });

  test("a drink all like and nobody faults settles it", () => {
    const good = sour(60, 22.5, 20);
    const rounds = [roundOf("r1", tooSweet), ...["r2", "r3", "r4"].map((id) => roundOf(id, good))];
    const tastings = [...record.tastings, ...["r2", "r3", "r4"].flatMap((id) => say(id, 8, 0, 0, 0))];
    const settled = nextRound(learnTable({ prior, rounds, tastings }), rounds, request(good));
    expect(settled.verdict).toBe("settled");
    expect(settled.best.id).not.toBe("r1");
  });
});

describe("the aim", () => {
  // Ideals all about a drink that was poured, a third as many again on one side.
  const ring = Array.from({ length: 60 }, (_, i): Vec3 => {
    const turn = (2 * Math.PI * i) / 45;
    return i < 45 ? [Math.cos(turn), Math.sin(turn), 0] : [-1, 0.02 * (i - 52), 0.3];
  });
  const even = ring.map(() => 1 / ring.length);
  const haze = (at: Vec3) =>
    ring.reduce((sum, p) => sum + Math.exp(-2 * p.reduce((s, x, k) => s + (x - at[k]!) ** 2, 0)), 0);

  test("is where what is left lies closest together, as a grid finds it", () => {
    const steps = Array.from({ length: 31 }, (_, i) => 0.1 * i - 1.5);
    const grid = steps.flatMap((x) => steps.flatMap((y) => steps.map((z): Vec3 => [x, y, z])));
    const best = grid.reduce((top, at) => (haze(at) > haze(top) ? at : top));
    const found = aimAt(ring, even, []);
    expect(Math.hypot(...found.map((x, k) => x - best[k]!))).toBeLessThan(0.1);
    expect(haze(found)).toBeGreaterThanOrEqual(haze(best));
  });

  test("is not the drink that was poured, though that is the middle of what is left", () => {
    expect(Math.hypot(...aimAt(ring, even, [[0, 0, 0]]))).toBeGreaterThan(0.5);
    // What a drink is near to is no longer aimed at; with nothing left, all counts again.
    expect(aimAt(ring, even, [[-1, 0, 0.3]])[0]).toBeGreaterThan(0);
    expect(aimAt(ring, even, ring)).toEqual(aimAt(ring, even, []));
  });
});

test("the forecast shortens as a table tells more", () => {
  const good = sour(60, 22.5, 20);
  const rounds = [roundOf("r1", tooSweet), roundOf("r2", good), roundOf("r3", good)];
  const tastings = [...record.tastings, ...say("r2", 7, 0, 0, 0), ...say("r3", 7, 0, 0, 1)];
  const early = foresee(learnTable(record), record.rounds);
  const late = foresee(learnTable({ prior, rounds, tastings }), rounds);
  expect(late.likely ?? 99).toBeLessThan(early.likely ?? 99);
  for (const { settledAfter } of [early, late]) {
    expect(settledAfter).toEqual([...settledAfter].sort((a, b) => a - b));
  }
});

describe("words", () => {
  test("each is one thing, however written; directions have unit length; blind words have roles", () => {
    const names = TASTING_WORDS.flatMap((w) => [w.id, ...w.aliases]);
    expect(new Set(names).size).toBe(names.length);
    for (const { meaning } of TASTING_WORDS) {
      if (meaning.kind === "move") expect(Math.hypot(...meaning.direction)).toBeCloseTo(1, 12);
      if (meaning.kind === "swap") expect(meaning.roles.length).toBeGreaterThan(0);
    }
    expect(tastingWord(" Too Sweet ")?.id).toBe("sweet");
    expect(tastingWord("fruit lost")?.meaning.kind).toBe("swap");
    expect(tastingWord("unheard of")).toBeNull();
  });

  test("what the map cannot see leads to swaps of a fitting role, nearest in composition first", () => {
    const spec: Spec = { ...sour(50, 20, 0), lines: [...sour(50, 20, 1).lines.slice(0, 2)] };
    spec.lines.push({ ingredient: "syrup-maple-1-1", amount: 15, unit: "ml" });
    const [lost, harsh] = swapsToTry(
      [{ words: ["fruit lost", "thin"] }, { words: ["no fruit", "harsh"] }, { words: ["bright"] }],
      spec,
      pantry,
    );
    expect(lost).toMatchObject({ word: "fruit-lost", said: 2 });
    expect(lost!.candidates.map((c) => c.ingredient)).toEqual(["juice-lime", "syrup-maple-1-1"]);
    expect(harsh).toMatchObject({ word: "harsh", said: 1 });
    for (const { ingredient, alternatives } of [...lost!.candidates, ...harsh!.candidates]) {
      for (const id of alternatives) expect(pantry.get(id)!.role).toBe(pantry.get(ingredient)!.role);
      expect(alternatives).not.toContain(ingredient);
    }
  });
});

test("the whole answer is plain data with sober sentences", () => {
  const answer = answerTable({ record, request: request(tooSweet) });
  expect(JSON.parse(JSON.stringify(answer))).toEqual(answer);
  expect(answer.text.next).toContain("chance");
  expect(answer.text.care).toContain("the tasters decide");
  expect(Object.values(answer.text).join(" ")).not.toMatch(/NaN|undefined|null/);
  expect(answer.tasters).toHaveLength(3);
  expect(answer.camps?.verdict).toBe("one-table");
});
