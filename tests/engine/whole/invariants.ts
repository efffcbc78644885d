/** What must hold of every answer, whatever was asked; each check throws with what it found. */
import { isOnLadder, rungsBetween } from "../../../engine/amounts/ladder.ts";
import { scaledDistance, toVec } from "../../../engine/axes.ts";
import { createMixModel, type Finished } from "../../../engine/dilution/model.ts";
import { EngineError } from "../../../engine/errors.ts";
import { place } from "../../../engine/place/place.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import type { SolveRequest, SolveResult } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Ingredient } from "../../../engine/types.ts";
import { checkRefutations } from "../solve/checker.ts";

export function must(holds: boolean, what: string): void {
  if (!holds) throw new Error(what);
}

export const near = (a: number, b: number, share = 1e-9) =>
  Math.abs(a - b) <= share * (1 + Math.abs(a) + Math.abs(b));

/** Walk a result: only finite numbers and readable text leave the engine. */
export function checkFinite(value: unknown, at = ""): void {
  if (typeof value === "number") must(Number.isFinite(value), `${at} is ${value}`);
  else if (typeof value === "string")
    must(!/NaN|Infinity|undefined|\[object|\d(\.\d+)?e[-+]?\d/.test(value), `${at} reads "${value}"`);
  else if (Array.isArray(value)) for (const [i, v] of value.entries()) checkFinite(v, `${at}/${i}`);
  else if (value instanceof Map || ArrayBuffer.isView(value)) throw new Error(`${at} does not survive JSON`);
  else if (typeof value === "object" && value !== null)
    for (const [k, v] of Object.entries(value)) checkFinite(v, `${at}/${k}`);
}

/** JSON keeps every number, so a result that JSON changes had something JSON cannot say. */
export function checkJson(value: unknown): void {
  const same = (a: unknown, b: unknown, at: string): void => {
    if (typeof a === "object" && a !== null) {
      const keys = (o: object) =>
        Object.keys(o).filter((k) => (o as Record<string, unknown>)[k] !== undefined);
      must(keys(a).join() === keys(b as object).join(), `${at}: keys ${keys(a)} became ${keys(b as object)}`);
      for (const k of keys(a)) same((a as never)[k], (b as never)[k], `${at}/${k}`);
    } else must(a === b, `${at}: ${String(a)} became ${String(b)}`);
  };
  same(value, JSON.parse(JSON.stringify(value)), "");
}

const FIELDS =
  /^\/(spec|pantry|target|ladder|additions|locks|bounds|maxTouched|maxFinishedMl|measure|character|firstRound|driftBudget|prices|timeBudgetMs|nodeLimit|count)(\/|$)/;

/** Bad input names a field of what was sent, what is wrong with it, and what to do. */
export function checkError(error: unknown, fields = FIELDS): asserts error is EngineError {
  if (!(error instanceof EngineError)) throw error;
  must(error.issues.length > 0, "an EngineError without issues");
  for (const { pointer, detail, remedy } of error.issues) {
    must(fields.test(pointer), `"${pointer}" is no field of the request (${detail})`);
    must(detail.length > 5 && remedy.length > 5, `${pointer}: says nothing (${detail}; ${remedy})`);
    must(!/undefined|\[object/.test(detail + remedy), `${pointer}: ${detail}; ${remedy}`);
  }
}

/** The request as the judge sees it: amounts, ranges, rules and the true model. Built without the solver. */
export class Judge {
  readonly ingredients: Ingredient[];
  readonly keys: string[] = [];
  readonly fromMl: number[];
  readonly locked: boolean[];
  readonly range: [number, number][];
  /** An addition is left out, or poured with at least this much. */
  readonly leastIfPouredMl: number[];
  readonly target;
  readonly firstPoint;
  private readonly model;
  private readonly request: SolveRequest;

  constructor(request: SolveRequest) {
    this.request = request;
    const { spec, pantry } = request;
    const base = prepareSpec(spec, pantry);
    const additions = [...new Set(request.additions ?? [])].filter(
      (id) => !spec.lines.some((l) => l.ingredient === id),
    );
    this.ingredients = [...spec.lines.map((l) => l.ingredient), ...additions].map((id) => pantry.get(id)!);
    this.fromMl = [...base.volumesMl, ...additions.map(() => 0)];
    this.ingredients.forEach(({ id }, i) => {
      const count = this.ingredients.slice(0, i + 1).filter((x) => x.id === id).length;
      this.keys.push(count === 1 ? id : `${id}#${count}`);
    });
    const stages = this.ingredients.map((ingredient, i) =>
      i < base.volumesMl.length
        ? base.model.stages[i]!
        : ingredient.addAfterDilution
          ? ("top" as const)
          : ("mix" as const),
    );
    this.model = createMixModel(
      this.ingredients.map((ingredient, i) => ({ ingredient, stage: stages[i]! })),
      spec.method,
      spec.dilution,
      this.fromMl,
    );
    this.locked = this.ingredients.map(({ id }) => request.locks?.includes(id) ?? false);
    this.leastIfPouredMl = this.ingredients.map(() => 0);
    this.range = this.ingredients.map(({ id, role }, i) => {
      const now = this.fromMl[i]!;
      if (this.locked[i]) return [now, now];
      const room = { bitters: 5, acid: 10, sugar: 20 }[role as string] ?? 60;
      const own = (request.bounds ?? []).filter((b) => b.ingredient === id);
      const least = Math.max(0, ...own.map((b) => b.minMl ?? 0));
      const stated = own.flatMap((b) => (b.maxMl === undefined ? [] : [b.maxMl]));
      const most = stated.length > 0 ? Math.min(...stated) : Math.max(2 * now + room, 2 * least);
      const isAddition = i >= base.volumesMl.length;
      if (isAddition) this.leastIfPouredMl[i] = least;
      const range: [number, number] = [isAddition ? 0 : least, most];
      return range;
    });
    this.target = compileTarget(request.target);
    const first = prepareSpec(request.firstRound ?? spec, pantry);
    this.firstPoint = first.model.finish(first.volumesMl).point;
  }

  finish(x: readonly number[]): Finished {
    return this.model.finish(x);
  }

  /** What the pours break, or null. `slack` is in axis-scale units for faces, shares of the glass for rules. */
  objection(x: readonly number[], slack = 1e-8, exceptTarget = false): string | null {
    if (!x.some((ml) => ml > 1e-6)) return "nothing is poured";
    const { point, finishedVolumeMl: volume } = this.finish(x);
    const { request } = this;
    if (!exceptTarget && !this.target.contains(point, slack)) return `${point} is outside`;
    if (request.maxFinishedMl !== undefined && volume > request.maxFinishedMl * (1 + slack))
      return `${volume} mL`;
    if (
      request.driftBudget !== undefined &&
      scaledDistance(point, this.firstPoint) > request.driftBudget + slack
    )
      return "too much drift";
    const sum = (id: string) => x.reduce((s, ml, i) => (this.ingredients[i]!.id === id ? s + ml : s), 0);
    for (const rule of request.character ?? []) {
      const own = sum(rule.ingredient);
      if (rule.minSharePercent !== undefined && 100 * own < (rule.minSharePercent - 100 * slack) * volume)
        return `${rule.ingredient} below its share`;
      if (rule.atLeastAsMuchAs !== undefined && own < sum(rule.atLeastAsMuchAs) - slack * volume)
        return `${rule.ingredient} below ${rule.atLeastAsMuchAs}`;
    }
    return null;
  }

  touched(x: readonly number[]): number {
    return x.filter((ml, i) => Math.abs(ml - this.fromMl[i]!) > 1e-6).length;
  }

  /** The measure's value of these pours (for drift: the distance). */
  cost(x: readonly number[]): number {
    const total = this.fromMl.reduce((s, v) => s + v, 0);
    if (this.request.measure === "drift") return scaledDistance(this.finish(x).point, this.firstPoint);
    return x.reduce((s, ml, i) => {
      const change = Math.abs(ml - this.fromMl[i]!);
      if (this.request.measure === "relative")
        return s + change / (this.fromMl[i]! > 0 ? this.fromMl[i]! : total);
      if (this.request.measure === "cost")
        return change > 0 ? s + (change * this.request.prices!.get(this.ingredients[i]!.id)!) / 1000 : s;
      return s + change;
    }, 0);
  }
}

/** Everything that can be said of one answer without asking again. */
export function checkResult(request: SolveRequest, result: SolveResult): void {
  checkFinite(result);
  checkJson(result);
  const judge = new Judge(request);
  const { status, proposals, certificate, limit } = result;
  const { bound, gap, proved } = certificate;
  must(gap >= 0, `gap ${gap}`);
  must(proved === (limit === undefined), `proved ${proved} with limit ${limit}`);
  must(!proved || gap === 0, `proved with gap ${gap}`);
  must(
    (status === "limit_reached" || status === "no_solution_found") === (limit !== undefined),
    `${status}, ${limit}`,
  );
  must(
    (status === "optimal" || status === "limit_reached") === proposals.length > 0,
    `${status}: ${proposals.length} proposals`,
  );
  must((status === "infeasible") === (result.infeasible !== undefined), `${status} and its report`);
  must(proposals.length <= (request.count ?? 4), `${proposals.length} proposals`);
  must(status !== "no_solution_found" || gap > 0, "nothing found, nothing proved, and no gap");
  const before = judge.finish(judge.fromMl).point;
  must(
    near(result.membershipBefore.nearest.sugarGPer100Ml, before[0]) || !result.membershipBefore.inside,
    "before",
  );
  must(
    (status === "already_inside") === (judge.objection(judge.fromMl) === null),
    `${status} for an acceptable drink`,
  );

  for (const [k, p] of proposals.entries()) {
    const at = `proposal ${k}`;
    const x = [...judge.fromMl];
    const open = new Set(judge.keys.keys());
    for (const m of p.moves) {
      const i = [...open].find(
        (j) =>
          judge.ingredients[j]!.id === m.ingredient && near(judge.fromMl[j]!, m.fromMl) && !judge.locked[j],
      );
      if (i === undefined) throw new Error(`${at}: no free line for ${m.text}`);
      open.delete(i);
      x[i] = m.toMl;
      must(Math.abs(m.deltaMl) > 1e-9, `${at}: ${m.text} changes nothing`);
      must(
        isOnLadder(m.toMl, request.ladder, judge.ingredients[i]),
        `${at}: ${m.toMl} mL is no rung (${m.text})`,
      );
      const [low, high] = judge.range[i]!;
      must(
        m.toMl >= low - 1e-6 && m.toMl <= high + 1e-6,
        `${at}: ${m.toMl} mL is not in ${low}..${high} (${m.text})`,
      );
      must(
        m.toMl === 0 || m.toMl >= judge.leastIfPouredMl[i]! - 1e-6,
        `${at}: less than the least of ${m.text}`,
      );
    }
    must(
      p.touched === p.moves.length && p.touched <= (request.maxTouched ?? 99),
      `${at}: touches ${p.touched}`,
    );
    const fault = judge.objection(x);
    must(fault === null, `${at}: ${fault}`);
    const placed = place(p.spec, request.pantry);
    toVec(placed.point).forEach((v, axis) => {
      must(
        near(v, toVec(p.after)[axis]!, 1e-8),
        `${at}: its spec is placed at ${toVec(placed.point)}, not ${toVec(p.after)}`,
      );
    });
    must(near(placed.finishedVolumeMl, p.finishedVolumeMl, 1e-8), `${at}: finished volume`);
    toVec(placed.sd).forEach((v, axis) => {
      must(near(v, toVec(p.afterSd)[axis]!, 1e-8), `${at}: afterSd`);
    });
    must(
      p.probabilityInside === null || (p.probabilityInside >= 0 && p.probabilityInside <= 1),
      `${at}: probability`,
    );
    if (k > 0 || bound === null || request.measure === "drift") continue;
    const cost = judge.cost(x);
    must(bound.volumeMl <= cost + 1e-6, `${at}: bound ${bound.volumeMl} above ${cost}`);
    must(bound.touched <= p.touched, `${at}: bound ${bound.touched} touched`);
    if (proved) must(near(bound.volumeMl, cost, 1e-7), `proved, bound ${bound.volumeMl}, value ${cost}`);
    else must(gap >= cost - bound.volumeMl - 1e-6, `gap ${gap} hides ${cost - bound.volumeMl}`);
  }

  if (certificate.ranges && proved && request.measure !== "drift") {
    const movable = certificate.ranges.filter((r) => r.maxMl > r.minMl).map((r) => r.ingredient);
    const lexicographic = (request.measure ?? "fewest-then-volume") === "fewest-then-volume";
    const top =
      status === "infeasible"
        ? Math.min(movable.length, request.maxTouched ?? 99)
        : lexicographic
          ? bound!.touched - 1
          : 0;
    if (movable.length <= 9 && lexicographic)
      for (let k = 1; k <= top; k += 1) checkRefutations(certificate, movable, k);
  }
  const { continuous } = result;
  if (continuous) {
    const x = continuous.amountsMl.map((a) => a.ml);
    must(judge.objection(x, 1e-5) === null, `continuous optimum: ${judge.objection(x, 1e-5)}`);
    for (const r of Object.values(continuous.kkt))
      must(r <= 1e-6, `continuous optimum: residuals ${JSON.stringify(continuous.kkt)}`);
  }
  if (result.infeasible) {
    const { nearest } = result.infeasible;
    const x = nearest.amountsMl.map((a) => a.ml);
    x.forEach((ml, i) => {
      const [low, high] = judge.range[i]!;
      must(
        ml >= low - 1e-6 && ml <= high + 1e-6,
        `nearest: ${ml} mL of ${judge.keys[i]} is not in ${low}..${high}`,
      );
    });
    const { point } = judge.finish(x);
    point.forEach((v, axis) => {
      must(near(v, toVec(nearest.point)[axis]!), "nearest: not where it says");
    });
    must(nearest.membership.inside === judge.target.contains(point), "nearest: inside or not");
  }
}

/** Small repeatable noise in [0, 1). */
export function noise(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (Math.imul(s ^ (s >>> 15), 0x2c1b3c6d) + 0x6d2b79f5) >>> 0;
    let t = Math.imul(s ^ (s >>> 12), 0x297a2d39);
    t ^= t >>> 15;
    return (t >>> 0) / 4294967296;
  };
}

/**
 * Pour at random, near and far and one amount at a time, and see whether anything contradicts the answer:
 * an acceptable pour that was called impossible or is better than "the best", or a drink nearer than "nearest".
 */
export function checkBySampling(request: SolveRequest, result: SolveResult, pours: number, seed = 1): void {
  if (result.status === "already_inside") return;
  const judge = new Judge(request);
  const random = noise(seed);
  const n = judge.fromMl.length;
  const rungs = judge.ingredients.map((ingredient, i) => {
    const [low, high] = judge.range[i]!;
    if (judge.locked[i] || low > high) return [];
    return rungsBetween(low, high, request.ladder, ingredient).filter(
      (ml) => ml === 0 || ml >= judge.leastIfPouredMl[i]! - 1e-9,
    );
  });
  const free = rungs.flatMap((r, i) => (r.length > 0 ? [i] : []));
  if (free.length === 0) return;
  const lexicographic = (request.measure ?? "fewest-then-volume") === "fewest-then-volume";
  const { bound, proved } = result.certificate;
  const most = Math.min(request.maxTouched ?? n, n);
  const base = result.proposals[0] && proposalPours(judge, result.proposals[0]);
  const quarters = (d: number) => Math.max(1, Math.ceil(d * 4 - 1e-9));
  /** Does this pour contradict the answer? */
  const consider = (x: number[]) => {
    const touched = judge.touched(x);
    if (touched === 0 || touched > most || judge.objection(x, 0) !== null) return;
    const pour = `${x.map((ml, i) => `${ml} ${judge.keys[i]}`).join(", ")}`;
    must(result.status !== "infeasible", `called infeasible, but ${pour} does it`);
    const cost = judge.cost(x);
    if (bound === null || (!proved && request.measure === "drift")) return;
    if (request.measure === "drift") {
      must(
        quarters(cost) >= quarters(judge.cost(base!)),
        `drift ${judge.cost(base!)}, but ${pour} drifts ${cost}`,
      );
    } else if (lexicographic) {
      must(
        touched > bound.touched || (touched === bound.touched && cost >= bound.volumeMl - 1e-6),
        `bound ${bound.touched} touched, ${bound.volumeMl} mL, but ${pour} touches ${touched} and costs ${cost}`,
      );
    } else must(cost >= bound.volumeMl - 1e-6, `bound ${bound.volumeMl}, but ${pour} costs ${cost}`);
  };
  for (let k = 0; k < pours && most > 0; k += 1) {
    const x = [...judge.fromMl];
    if (base && random() < 0.5) for (const [i, ml] of base.entries()) x[i] = ml;
    const changes = 1 + Math.floor(random() * Math.min(most, 3));
    for (let c = 0; c < changes; c += 1) {
      const i = free[Math.floor(random() * free.length)]!;
      const list = rungs[i]!;
      if (random() < 0.5) {
        // A few rungs up or down.
        const at = list.findIndex((ml) => ml >= x[i]!);
        const to = (at < 0 ? list.length : at) + Math.floor(random() * 7) - 3;
        x[i] = list[Math.max(0, Math.min(list.length - 1, to))]!;
      } else x[i] = random() < 0.2 ? judge.fromMl[i]! : list[Math.floor(random() * list.length)]!;
    }
    consider(x);
  }
  if (base && most > 0) {
    // Every pour two rungs about the best one, in the amounts it changes.
    const changed = free.filter((i) => Math.abs(base[i]! - judge.fromMl[i]!) > 1e-6).slice(0, 4);
    for (let k = 0; k < 5 ** changed.length; k += 1) {
      const x = [...base];
      changed.forEach((i, place) => {
        const list = rungs[i]!;
        const at = list.findIndex((ml) => ml >= base[i]! - 1e-6);
        const to = at + (Math.floor(k / 5 ** place) % 5) - 2;
        x[i] = list[Math.max(0, Math.min(list.length - 1, to))]!;
      });
      consider(x);
    }
  }
  // Cut short, the nearest drink is only the nearest so far.
  if (!result.infeasible?.nearest.isSettled) return;
  const { nearest } = result.infeasible;
  const x0 = nearest.amountsMl.map((a) => a.ml);
  const pourable = [...judge.fromMl, ...rungs.flat()].filter((ml) => ml > 1e-6);
  const least = Math.min(...pourable);
  const broken = judge.objection(x0, 1e-5, true);
  if (broken !== null)
    must(/keeps every rule/.test(result.infeasible.text), `nearest drink breaks a rule: ${broken}`);
  for (let k = 0; k < pours; k += 1) {
    const step = 10 ** (-3 * random());
    const x = x0.map((ml, i) => {
      const [low, high] = judge.range[i]!;
      if (judge.locked[i] || random() < 0.3) return ml;
      return Math.min(high, Math.max(low, ml + (random() - 0.5) * 2 * step * (high - low)));
    });
    // Less than the smallest pour is no drink.
    if (judge.objection(x, 0, true) !== null || x.reduce((s, ml) => s + ml, 0) < least) continue;
    must(broken === null, `no drink is said to keep every rule, but ${x} does`);
    const { point } = judge.finish(x);
    const distance = scaledDistance(point, judge.target.nearest(point));
    must(
      distance >= Math.max(0, nearest.membership.signedDistance) - 1e-3,
      `nearest is ${nearest.membership.signedDistance} away, but ${x} is ${distance}`,
    );
  }
}

function proposalPours(judge: Judge, p: SolveResult["proposals"][number]): number[] {
  const x = [...judge.fromMl];
  const open = new Set(judge.keys.keys());
  for (const m of p.moves) {
    const i = [...open].find(
      (j) =>
        judge.ingredients[j]!.id === m.ingredient && near(judge.fromMl[j]!, m.fromMl) && !judge.locked[j],
    )!;
    open.delete(i);
    x[i] = m.toMl;
  }
  return x;
}

/** Turn the lines and additions round: the question is the same. */
export function reversed(request: SolveRequest): SolveRequest {
  return {
    ...request,
    spec: { ...request.spec, lines: [...request.spec.lines].reverse() },
    additions: [...(request.additions ?? [])].reverse(),
  };
}

/** Freeze all the way down (Maps by their values). */
export function freeze<T>(value: T): T {
  if (typeof value !== "object" || value === null || Object.isFrozen(value)) return value;
  Object.freeze(value);
  for (const v of value instanceof Map ? value.values() : Object.values(value)) freeze(v);
  return value;
}
