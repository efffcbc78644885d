import type { SeededRandom } from "../../../engine/seeded-random.ts";
import type { Mark, Tasting } from "../../../engine/taste/types.ts";
import type { Vec3 } from "../../../engine/types.ts";
import { prior, reach } from "./bar.ts";

// Simulated tables of three. Nothing is claimed of real tasters, and nothing here is shared with the model's
// likelihood but the shape of a tasting. Sizes are ours.

export const KINDS = ["as modelled", "noisy", "other masking", "two camps", "a third random", "far"] as const;
export type Kind = (typeof KINDS)[number];

export interface SimulatedTable {
  kind: Kind;
  /** What each taster likes best, axis units. */
  ideals: Vec3[];
  /** Their mean: what the table as a whole likes best. */
  ideal: Vec3;
  taste(round: string, point: Vec3, random: SeededRandom): Tasting[];
}

/** An ideal must be one this bar can nearly pour, or no method could finish; spreads. */
const REACHABLE = 0.35;
const LEAST_POINT: Vec3 = [2, 0.2, 7];
const TASTERS = 3;

const vec = (f: (k: 0 | 1 | 2) => number): Vec3 => [f(0), f(1), f(2)];
const inAxes = (u: Vec3): Vec3 => vec((k) => prior.centre[k] + u[k] * prior.spread[k]);

function direction(random: SeededRandom): Vec3 {
  const d = vec(() => random.normal());
  const length = Math.hypot(...d);
  return vec((k) => d[k] / length);
}

/** Ideals in spreads from the classics' centre. */
function drawIdeals(kind: Kind, random: SeededRandom): Vec3[] {
  // Far: three to four spreads out, beyond where any classic lies.
  const far = 3 + random.uniform();
  const out = direction(random);
  const centre = kind === "far" ? vec((k) => far * out[k]) : vec(() => random.normal());
  // Two camps: one taster against two, three spreads apart, each camp of one mind.
  const split = direction(random);
  const isSplit = kind === "two camps";
  return Array.from({ length: TASTERS }, (_, t) => {
    const side = isSplit ? (t === 0 ? 2 : -1) : 0;
    return vec((k) => centre[k] + side * split[k] + (isSplit ? 0.35 : 0.5) * random.normal());
  });
}

/** A table of the kind, or an error after thousands of ideals that cannot be poured. */
export function simulatedTable(kind: Kind, random: SeededRandom): SimulatedTable {
  for (let tries = 0; tries < 5000; tries++) {
    const ideals = drawIdeals(kind, random).map(inAxes);
    const ideal = vec((k) => ideals.reduce((sum, i) => sum + i[k], 0) / TASTERS);
    if (ideals.some((i) => i.some((x, k) => x < LEAST_POINT[k]!))) continue;
    if (reach(ideal) > REACHABLE) continue;
    const people = ideals.map((own) => simulatedTaster(kind, own, random));
    return {
      kind,
      ideals,
      ideal,
      taste: (round, point, noise) =>
        people.map((say, t) => ({ round, taster: `simulated ${t + 1}`, ...say(point, noise) })),
    };
  }
  throw new Error(`no reachable table: ${kind}`);
}

type Said = Required<Pick<Tasting, "liking" | "sweet" | "sour" | "strong">>;

/** One person: own noise, own use of both scales, kept from drink to drink. */
function simulatedTaster(kind: Kind, ideal: Vec3, random: SeededRandom) {
  const about = (middle: number, factor: number) => middle * Math.exp(factor * random.normal());
  const noise = kind === "noisy" ? 2 : 1;
  const unsteady = about(0.55 * noise, 0.2);
  const littleFrom = about(0.5, 0.2);
  const muchFrom = about(1.5, 0.15);
  const peak = 7.4 + 0.7 * random.normal();
  const steepness = about(0.8, 0.3);
  const mood = 0.9 * noise;
  const felt = kind === "other masking" ? feltByRatios(ideal) : feltLinearly(ideal, random);
  const isRandom = (r: SeededRandom) => kind === "a third random" && r.uniform() < 1 / 3;

  return (point: Vec3, r: SeededRandom): Said => {
    const excess = felt(point);
    const mark = (k: 0 | 1 | 2): Mark => {
      if (isRandom(r)) return (Math.floor(5 * r.uniform()) - 2) as Mark;
      const sip = excess[k] + unsteady * r.normal();
      const size = Math.abs(sip) < littleFrom ? 0 : Math.abs(sip) < muchFrom ? 1 : 2;
      return (size === 0 ? 0 : Math.sign(sip) * size) as Mark;
    };
    const [sweet, sour, strong] = [mark(0), mark(1), mark(2)];
    if (isRandom(r)) return { sweet, sour, strong, liking: 1 + Math.floor(9 * r.uniform()) };
    // Pleasure falls off as a bell does: flat at the ideal, steep, then flat where a drink is simply bad.
    const gap =
      kind === "other masking"
        ? Math.hypot(...excess)
        : Math.hypot(...[0, 1, 2].map((k) => (point[k as 0] - ideal[k as 0]) / prior.spread[k as 0]));
    const pleasure = 1 + (peak - 1) * Math.exp((-steepness * gap * gap) / (peak - 1));
    const liking = Math.min(9, Math.max(1, Math.round(pleasure + mood * r.normal())));
    return { sweet, sour, strong, liking };
  };
}

/** What is felt too much of, in spreads: each axis, less a share of another. */
function feltLinearly(ideal: Vec3, random: SeededRandom): (point: Vec3) => Vec3 {
  const acidHidesSugar = 0.25 + 0.15 * random.normal();
  const sugarHidesAcid = 0.25 + 0.15 * random.normal();
  return (point) => {
    const [s, a, v] = vec((k) => (point[k] - ideal[k]) / prior.spread[k]);
    return [s - acidHidesSugar * a, a - sugarHidesAcid * s, v - 0.1 * s];
  };
}

/** The same by ratios: strengths grow with the logarithm, and each is divided by a power of the others. */
function feltByRatios(ideal: Vec3): (point: Vec3) => Vec3 {
  const strengths = ([sugar, acid, abv]: Vec3): Vec3 => [
    Math.log(sugar + 0.5) - 0.45 * Math.log(1 + acid / 0.6),
    Math.log(acid + 0.05) - 0.35 * Math.log(1 + sugar / 6),
    Math.log(abv) - 0.15 * Math.log(1 + sugar / 6) + 0.1 * Math.log(1 + acid),
  ];
  const middle = strengths(prior.centre);
  const wanted = strengths(ideal);
  const unit = vec((k) => {
    const more = vec((j) => prior.centre[j] + (j === k ? prior.spread[j] : 0));
    return strengths(more)[k] - middle[k];
  });
  return (point) => {
    const found = strengths(point);
    return vec((k) => (found[k] - wanted[k]) / unit[k]);
  };
}
