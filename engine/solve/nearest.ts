import { AXIS_SCALE, perAxis, scaledDistance } from "../axes.ts";
import { dot3 } from "../linalg.ts";
import type { Vec3 } from "../types.ts";
import { product, setSum } from "../vectors.ts";
import {
  breachOf,
  type Constraint,
  type Constraints,
  gaugeOf,
  linearise,
  ON_SURFACE,
  scaleOf,
  tangentsAt,
} from "./constraint.ts";
import { isDrink } from "./judge.ts";
import { LeastChangeLp } from "./lp.ts";
import { type Question, volumesAfter } from "./question.ts";
import { RowSet } from "./rows.ts";

const MAX_STEPS = 80;
/** Steps that promise less than this (axis-scale units, or shares of the glass) are not worth taking. */
const CLOSE = 1e-7;
/** Moving less is preferred only between equally near drinks. */
const CHANGE_WEIGHT = 1e-9;
const MOST_DISTANCE = 1e4;
/** A rule broken by less than this share of the glass, or of a step of drift, is kept. */
const KEPT = 1e-6;
/** Shares of a step that are tried when all of it does not help. */
const SHARES = [1, 0.7, 0.5, 0.35, 0.25, 0.15, 0.08, 0.04, 0.02];
/** Halvings of the way back from a drink that breaks a rule. */
const HALVINGS = 24;
/** A start is sought this far inside the rules, so that there is room to move along them. */
const ROOM = 0.02;
/** Amounts held in a box smaller than this, mL, have nowhere better to go. */
const LEAST_BOX_ML = 1e-5;

/** A drink, and how far from wanted it is. */
interface Reached {
  x: number[];
  far: number;
}

/**
 * The reachable drink closest to the target in axis-scale distance among those that keep the rules (glass,
 * character, drift), whatever the ladder; when none keeps them, the one that breaks them least. A local
 * method from several starts.
 *
 * @param outOfTime true when it is time to stop: the nearest so far is returned
 * @returns `keepsRules` false: no drink was found that keeps every rule, and this one breaks them least; `isSettled`
 *   false: the time ran out before the search had settled
 */
export function nearestReachable(question: Question, constraints: Constraints, outOfTime: () => boolean) {
  const { target, model, variables } = question;
  const search = new Approach(question, constraints, outOfTime);
  const distance = (x: readonly number[]) => {
    const { point } = model.finish(x);
    return scaledDistance(point, target.nearest(point));
  };
  const breach = (x: readonly number[]) => breachOfRules(question, constraints, x);
  const keeps = (x: readonly number[]) => breach(x) <= KEPT;
  const toRoom = (x: readonly number[]) => Math.max(0, breach(x) + ROOM);
  const from = (start: number[]) => {
    const kept = keeps(start) ? { x: start, far: 0 } : search.approach(start, false, toRoom, () => true);
    if (!keeps(kept.x)) return { ...kept, keepsRules: false };
    return { ...search.approach(kept.x, true, distance, keeps), keepsRules: true };
  };
  const starts = [variables.map((v) => v.fromMl)];
  if (model.dilution.heat !== null) {
    // Where the ice runs out its water has a kink, and what can be reached a dent: look from all sides.
    starts.push(...(["minMl", "maxMl"] as const).map((end) => variables.map((v) => v[end])));
  }
  const reached = starts.filter(isDrink).map(from);
  const nearer = (a: (typeof reached)[number], b: (typeof reached)[number]) =>
    a.keepsRules === b.keepsRules ? a.far < b.far : a.keepsRules;
  const { x, keepsRules } = reached.reduce((best, r) => (nearer(r, best) ? r : best));
  return { volumesMl: x, keepsRules, isSettled: !outOfTime() };
}

/** How far a drink is from keeping every rule, negative with room to spare: shares of the glass, or steps of drift. */
function breachOfRules({ model }: Question, { rules, curves }: Constraints, x: readonly number[]): number {
  const { point, finishedVolumeMl } = model.finish(x);
  return Math.max(
    ...rules.map((rule) => breachOf(rule, x, finishedVolumeMl)),
    ...curves.filter((c) => c.region > 0).map((curve) => gaugeOf(curve, point) - curve.radius),
  );
}

/** Sequential linear programs towards the target, or towards the rules. */
class Approach {
  private readonly free: number[];
  private readonly from: number[];
  private readonly lp: LeastChangeLp;
  private readonly weight: Float64Array;
  private readonly set: RowSet;

  constructor(
    private readonly question: Question,
    private readonly constraints: Constraints,
    private readonly outOfTime: () => boolean,
  ) {
    const n = question.variables.length;
    this.free = question.variables.flatMap((v, i) => (v.locked ? [] : [i]));
    this.from = question.variables.map((v) => v.fromMl);
    this.lp = new LeastChangeLp(n + 1);
    this.set = new RowSet(n + 1);
    this.weight = new Float64Array(n + 1).fill(CHANGE_WEIGHT);
    this.weight[n] = 1;
  }

  /**
   * Lower `far` from a start in a box that shrinks when a step does not help and grows when it does. The rows
   * to be brought down (the target's faces and the planes at right angles to the shortest lines found so far;
   * or the rules) read G(x) ≤ t·V(x), less some room for the rules; t·V is taken to first order too, which is
   * Newton's method on a ratio.
   */
  approach(
    start: number[],
    toTarget: boolean,
    far: (x: readonly number[]) => number,
    allowed: (x: readonly number[]) => boolean,
  ): Reached {
    const { model } = this.question;
    const { faces, rules } = this.constraints;
    const rows = [...faces.filter((row) => toTarget || row.subject.role !== "target"), ...rules];
    let best: Reached = { x: start, far: far(start) };
    let box = Number.POSITIVE_INFINITY;
    for (let step = 0; step < MAX_STEPS && best.far > 0 && box > LEAST_BOX_ML; step += 1) {
      if (this.outOfTime()) break;
      const { x } = best;
      rows.push(...this.seen(model.finish(x).point, toTarget));
      const planned = this.plan(rows, best, box, toTarget);
      if (planned === null) {
        box = (box === Number.POSITIVE_INFINITY ? Math.max(...x) : box) / 4;
        continue;
      }
      if (planned.gain < CLOSE) break;
      const { next } = planned;
      const move = Math.max(...next.map((ml, i) => Math.abs(ml - x[i]!)));
      // What the rows could not see at x they see at the end of the step, taken or not.
      if (isDrink(next)) rows.push(...this.seen(model.finish(next).point, toTarget));
      let taken = 0;
      for (const share of SHARES) {
        const y = within(start, between(x, next, share), allowed);
        if (!isDrink(y)) continue;
        const there = far(y);
        if (there < best.far) {
          best = { x: y, far: there };
          taken = share;
        } else if (taken > 0) break;
      }
      box = taken === 1 ? 2 * box : Math.max(taken, 0.25) * move;
    }
    return best;
  }

  /** The planes that a drink at this point shows: of the drift ball, and of the shortest way to the target. */
  private seen(point: Vec3, toTarget: boolean): Constraint[] {
    const { curves, face } = this.constraints;
    const drift = { face, curves: curves.filter(({ region }) => region > 0) };
    const planes = tangentsAt(drift, point, -ON_SURFACE);
    if (!toTarget) return planes;
    const { target } = this.question;
    const nearest = target.nearest(point);
    const distance = scaledDistance(point, nearest);
    if (!(distance > 0)) return planes;
    // Through the target's nearest point, at right angles to the line from the drink to it.
    const normal = perAxis((k) => (point[k] - nearest[k]) / (distance * AXIS_SCALE[k] ** 2));
    const offset = dot3(normal, nearest);
    const plane = face({ id: "nearest", normal, offset, label: target.name }, 0);
    return [...planes, { ...plane, volumeFactor: -offset }];
  }

  /** The best step within the box by the linear problem at a drink, and how much nearer it promises; or null. */
  private plan(rows: readonly Constraint[], { x, far }: Reached, box: number, toTarget: boolean) {
    const { question, set, lp, weight, free, from } = this;
    const { variables, model } = question;
    const n = variables.length;
    const { tangents, volumeSlopes, finished } = linearise(model, rows, x);
    const aim = toTarget ? far : far - ROOM;
    const changes = Float64Array.from(x, (ml, i) => ml - from[i]!);
    // The last column is the distance.
    const line = new Float64Array(n + 1);
    const slopes = line.subarray(0, n);
    set.clear();
    for (const { row, value, gradient } of tangents) {
      const soft = (row.subject.role === "target") === toTarget ? scaleOf(row) : 0;
      const room = toTarget ? 0 : ROOM * soft * finished.finishedVolumeMl;
      setSum(slopes, gradient, -soft * aim, volumeSlopes);
      line[n] = -soft * finished.finishedVolumeMl;
      set.add(row.id, line, product(slopes, changes) - value - room);
    }
    const lo = new Float64Array(n + 1);
    const hi = new Float64Array(n + 1).fill(MOST_DISTANCE, n);
    for (const [i, { fromMl, minMl, maxMl }] of variables.entries()) {
      lo[i] = Math.max(minMl, x[i]! - box) - fromMl;
      hi[i] = Math.min(maxMl, x[i]! + box) - fromMl;
    }
    if (lp.solve(set, [...free, n], lo, hi, weight) !== "optimal") return null;
    return { next: volumesAfter(question, lp.delta), gain: far - (lp.delta.at(-1) ?? 0) };
  }
}

const between = (from: readonly number[], to: readonly number[], share: number) =>
  from.map((ml, i) => ml + share * (to[i]! - ml));

/** The last allowed drink on the way from a start to y: a step along a curved edge ends on it, not beyond. */
function within(start: number[], y: number[], allowed: (x: readonly number[]) => boolean): number[] {
  if (isDrink(y) && allowed(y)) return y;
  let [inside, outside] = [0, 1];
  for (let k = 0; k < HALVINGS; k += 1) {
    const middle = (inside + outside) / 2;
    const z = between(start, y, middle);
    if (isDrink(z) && allowed(z)) inside = middle;
    else outside = middle;
  }
  return between(start, y, inside);
}
