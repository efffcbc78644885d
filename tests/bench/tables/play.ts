import { type SeededRandom, seededRandom } from "../../../engine/seeded-random.ts";
import type { Tasting } from "../../../engine/taste/types.ts";
import type { Vec3 } from "../../../engine/types.ts";
import { finish, ladder, type Pours, poured, spreadsApart } from "./bar.ts";
import { KINDS, type Kind, type SimulatedTable, simulatedTable } from "./simulated-tasters.ts";

/** A round as whoever develops the drink knows it. */
export interface Past {
  id: string;
  pours: Pours;
  point: Vec3;
  said: Tasting[];
}

/** Somebody who develops a drink: from the rounds so far to the next pours. */
export type Developer = (past: readonly Past[]) => Pours;

/** The table is content with a drink this close to its ideal, spreads of the family. */
export const CONTENT = 0.7;
/** After this many rounds the development is given up. */
export const LAST_ROUND = 20;

export interface Outcome {
  /** Rounds poured until the table was content, the first drink among them; LAST_ROUND + 1 when it never was. */
  rounds: number;
  spiritMl: number;
  isFinished: boolean;
}

export interface Scene {
  table: SimulatedTable;
  start: Pours;
  seed: number;
}

/** How far from the table's ideal the first drink lies, spreads. */
export interface StartRange {
  from: number;
  to: number;
}

/** A drink that does not work: about as far out as the edge of a family's range, or further. */
export const OUT_OF_RANGE: StartRange = { from: 2.5, to: 6 };

/** Table and first drink number `seed` of a kind. */
export function sceneOf(kind: Kind, seed: number, range: StartRange = OUT_OF_RANGE): Scene {
  const random = seededRandom(seed * 7919 + KINDS.indexOf(kind) * 104729);
  const table = simulatedTable(kind, random);
  for (;;) {
    const steps = (count: number) => ladder.stepMl * Math.floor(random.uniform() * count);
    const start = poured([45 + steps(7), 7.5 + steps(13), 7.5 + steps(13), 0]);
    const apart = spreadsApart(finish(start), table.ideal);
    if (apart > range.from && apart < range.to) return { table, start, seed };
  }
}

/**
 * Pour until the table is content; every developer hears the same noise in the same round. `atLeast`: rounds
 * poured even so, which change nothing of the outcome.
 */
export function play({ table, start, seed }: Scene, developer: Developer, atLeast = 0): Outcome {
  const past: Past[] = [];
  let outcome: Outcome | null = null;
  let pours = start;
  let spiritMl = 0;
  for (let round = 1; round <= LAST_ROUND; round++) {
    spiritMl += pours[0];
    const point = finish(pours);
    if (spreadsApart(point, table.ideal) <= CONTENT)
      outcome ??= { rounds: round, spiritMl, isFinished: true };
    if (outcome && round >= atLeast) return outcome;
    const id = `round ${round}`;
    past.push({ id, pours, point, said: table.taste(id, point, noiseOf(seed, round)) });
    pours = developer(past);
  }
  return outcome ?? { rounds: LAST_ROUND + 1, spiritMl, isFinished: false };
}

function noiseOf(seed: number, round: number): SeededRandom {
  return seededRandom(seed * 15485863 + round * 32452843 + 17);
}
