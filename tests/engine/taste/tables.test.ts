import { expect, test } from "vitest";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { tableRange } from "../../../engine/taste/table-range.ts";
import type { Vec3 } from "../../../engine/types.ts";
import { oneAtATime, skilled } from "../../bench/tables/developers.ts";
import { steelyard } from "../../bench/tables/learner.ts";
import { type Developer, LAST_ROUND, play, sceneOf } from "../../bench/tables/play.ts";
import { KINDS } from "../../bench/tables/simulated-tasters.ts";

// The bench of simulated tables in small: seeds the bench itself does not use, and a smaller sample. The
// bench's own figures are in engine/taste/MODEL.md.

const SEEDS = process.env.STEELYARD_DEPTH === "nightly" ? 20 : 3;
const sample = { habits: 96, latents: 4 };
const scenes = KINDS.flatMap((kind) => Array.from({ length: SEEDS }, (_, i) => sceneOf(kind, 9001 + i)));

const roundsOf = (developer: (truth: Vec3) => Developer) =>
  scenes.map((scene) => play(scene, developer(scene.table.ideal)));
type Outcomes = ReturnType<typeof roundsOf>;
const unfinished = (outcomes: Outcomes) => outcomes.filter((o) => !o.isFinished).length;
const rounds = (outcomes: Outcomes) => outcomes.reduce((sum, o) => sum + o.rounds, 0);
const spirit = (outcomes: Outcomes) => outcomes.reduce((sum, o) => sum + o.spiritMl, 0);

test("simulated tables are content sooner with the engine, and its range is as sure as it says", () => {
  const held: boolean[] = [];
  const ours = roundsOf((truth) =>
    steelyard({
      sample,
      // The first round of every table: later ones are only reached where the aim was missed.
      onLearned: (past, table) => {
        if (past.length === 1)
          held.push(compileTarget(tableRange(table, { coverage: 0.8 }).target).contains(truth));
      },
    }),
  );
  const theirs = roundsOf(skilled);
  expect(unfinished(ours)).toBeLessThanOrEqual(unfinished(theirs));
  expect(rounds(ours)).toBeLessThan(0.85 * rounds(theirs));
  expect(spirit(ours)).toBeLessThan(0.85 * spirit(theirs));
  expect(rounds(ours)).toBeLessThan(0.5 * rounds(roundsOf(oneAtATime)));
  // A share of 0.8 of 18 tables has a standard error of 0.09.
  expect(held).toHaveLength(scenes.length);
  expect(held.filter(Boolean).length / held.length).toBeGreaterThan(0.53);
});

test("a developer who never listens is told from one who does", () => {
  const deaf: Developer = (past) => past.at(-1)!.pours;
  const outcome = play(scenes[0]!, deaf);
  expect(outcome).toMatchObject({ rounds: LAST_ROUND + 1, isFinished: false });
});
