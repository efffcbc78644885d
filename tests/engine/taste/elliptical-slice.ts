import { type SeededRandom, seededRandom } from "../../../engine/seeded-random.ts";
import * as S from "../../../engine/taste/settings.ts";
import type { TableRecord } from "../../../engine/taste/types.ts";
import type { Vec3 } from "../../../engine/types.ts";

// The table's model a second time, from its description alone (MODEL.md) and by another method: a Markov
// chain by elliptical slice sampling (I. Murray, R. Adams and D. MacKay, AISTATS 2010), which needs nothing but
// the chance of the answers. Shares with the engine only the settings and the record.

/** Φ by the rational approximation 7.1.26 of Abramowitz and Stegun, error below 1.5e-7. */
function phi(x: number): number {
  const t = 1 / (1 + (0.3275911 * Math.abs(x)) / Math.SQRT2);
  const poly =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const tail = 0.5 * poly * Math.exp((-x * x) / 2);
  return x < 0 ? tail : 1 - tail;
}

/** Lower factor of the correlations, by hand. */
function factor([a, b, c]: TableRecord["prior"]["correlation"]): Vec3[] {
  const l11 = Math.sqrt(a[0]);
  const l21 = b[0] / l11;
  const l31 = c[0] / l11;
  const l22 = Math.sqrt(b[1] - l21 * l21);
  const l32 = (c[1] - l31 * l21) / l22;
  return [
    [l11, 0, 0],
    [l21, l22, 0],
    [l31, l32, Math.sqrt(c[2] - l31 * l31 - l32 * l32)],
  ];
}

/** What a vector of independent standard normals stands for. */
function read(z: readonly number[], tasters: number, l: readonly Vec3[]) {
  let next = 0;
  const take = () => z[next++]!;
  const factorOf = ({ median, logSd }: S.LogNormal) => median * Math.exp(logSd * take());
  const width = factorOf(S.PRIOR_WIDTH);
  const spread = factorOf(S.TASTER_SPREAD);
  const steadiness = take();
  const noise = S.MARK_NOISE.median * Math.exp(S.MARK_NOISE.logSd * steadiness);
  const right = factorOf(S.JUST_RIGHT);
  const much = right + factorOf(S.LITTLE);
  const lapse = 1 / (1 + Math.exp(-(S.LAPSE_LOG_ODDS.mean + S.LAPSE_LOG_ODDS.sd * take())));
  const slope = factorOf(S.LIKING_SLOPE);
  // Two normals with the stated correlation.
  const rho = S.SHARED_NOISE;
  const ofLiking = rho * steadiness + Math.sqrt(1 - rho * rho) * take();
  const likingNoise = S.LIKING_NOISE.median * Math.exp(S.LIKING_NOISE.logSd * ofLiking);
  const cross = S.CROSS.map((row, i) => row.map(({ mean, sd }, j) => (i === j ? 1 : mean + sd * take())));
  const e = [take(), take(), take()];
  const centre = l.map((row) => width * (row[0] * e[0]! + row[1] * e[1]! + row[2] * e[2]!));
  const people = Array.from({ length: tasters }, () => ({
    ideal: centre.map((x) => x + spread * take()),
    peak: S.LIKING_PEAK.mean + S.LIKING_PEAK.sd * take(),
  }));
  return { noise, right, much, lapse, slope, likingNoise, cross, people };
}

export const CHAIN_SIZE = (tasters: number): number => 17 + 4 * tasters;

/** Log chance of every mark, liking and comparison of a record, given the normals. */
export function logChanceOfAll(z: readonly number[], record: TableRecord, names: readonly string[]): number {
  const { prior } = record;
  const m = read(z, names.length, factor(prior.correlation));
  const at = (id: string) => {
    const { point } = record.rounds.find((r) => r.id === id)!;
    const p = [point.sugarGPer100Ml, point.acidGPer100Ml, point.abvPercent];
    return p.map((x, k) => (x - prior.centre[k]!) / prior.spread[k]!);
  };
  const chance = (low: number, high: number, value: number, sd: number, share: number) =>
    Math.log(
      (1 - m.lapse) * Math.max(0, phi((high - value) / sd) - phi((low - value) / sd)) + m.lapse * share,
    );
  const liked = (who: number, x: readonly number[]) => {
    const { ideal, peak } = m.people[who]!;
    return peak - 2 * m.slope * (Math.hypot(1, ...x.map((v, k) => v - ideal[k]!)) - 1);
  };
  let sum = 0;
  for (const t of record.tastings) {
    const who = names.indexOf(t.taster);
    const x = at(t.round);
    const excess = x.map((v, k) => v - m.people[who]!.ideal[k]!);
    [t.sweet, t.sour, t.strong].forEach((mark, axis) => {
      if (mark === null || mark === undefined) return;
      const felt = m.cross[axis]!.reduce((s, c, k) => s + c * excess[k]!, 0);
      const edges = [-1e9, -m.much, -m.right, m.right, m.much, 1e9];
      sum += chance(edges[mark + 2]!, edges[mark + 3]!, felt, m.noise, 1 / 5);
    });
    if (typeof t.liking === "number") {
      const low = t.liking === 1 ? -1e9 : t.liking - 0.5;
      const high = t.liking === 9 ? 1e9 : t.liking + 0.5;
      sum += chance(low, high, liked(who, x), m.likingNoise, 1 / 9);
    }
  }
  for (const c of record.comparisons ?? []) {
    const who = names.indexOf(c.taster);
    const sd = m.likingNoise * Math.SQRT2;
    const even = S.TIE_SHARE * sd;
    const [low, high] = c.tie ? [-even, even] : [even, 1e9];
    sum += chance(low, high, liked(who, at(c.preferred)) - liked(who, at(c.other)), sd, 1 / 3);
  }
  return sum;
}

/** The mean ideal of the table at each step of the chain, spreads. */
export function chainOfIdeals(
  record: TableRecord,
  names: readonly string[],
  steps: number,
  seed: number,
): Vec3[] {
  const random = seededRandom(seed);
  const l = factor(record.prior.correlation);
  let z = Array.from({ length: CHAIN_SIZE(names.length) }, () => 0);
  let log = logChanceOfAll(z, record, names);
  const ideals: Vec3[] = [];
  for (let step = 0; step < steps; step++) {
    [z, log] = slice(z, log, random, (x) => logChanceOfAll(x, record, names));
    if (step < steps / 10) continue;
    const { people } = read(z, names.length, l);
    const mean = (k: number) => people.reduce((s, p) => s + p.ideal[k]!, 0) / people.length;
    ideals.push([mean(0), mean(1), mean(2)]);
  }
  return ideals;
}

function slice(
  z: number[],
  log: number,
  random: SeededRandom,
  f: (z: number[]) => number,
): [number[], number] {
  const other = z.map(() => random.normal());
  const level = log + Math.log(random.uniform() + 1e-300);
  let angle = 2 * Math.PI * random.uniform();
  let [low, high] = [angle - 2 * Math.PI, angle];
  for (;;) {
    const next = z.map((x, k) => x * Math.cos(angle) + other[k]! * Math.sin(angle));
    const found = f(next);
    if (found > level) return [next, found];
    if (angle < 0) low = angle;
    else high = angle;
    angle = low + (high - low) * random.uniform();
  }
}
