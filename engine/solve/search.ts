import { LeastChangeLp, leastOn } from "./lp.ts";
import { type Node, NodeQueue } from "./node-queue.ts";
import { RowSet } from "./rows.ts";

/** Costs closer than this (mL, or the measure's own unit) are equal. */
const COST_TOLERANCE = 1e-7;
/** A relaxed amount this close to a rung (mL) is on it. */
const ON_RUNG_ML = 1e-7;
/** A common step of costs smaller than this prunes nothing. */
const LEAST_STEP = 0.05;
/** Rounds of cuts at one relaxed point before branching takes over. */
const CUT_ROUNDS = 6;
/** Sets of ingredients looked at one by one: beyond this the list of them would fill the memory. */
const MOST_SETS = 400_000;
/** Nodes spent looking for any answer after a limit struck before one was found. */
const RESCUE_NODES = 4000;

/**
 * The pure combinatorial problem: choose a change per ingredient from its list of choices so that
 * `accept` holds, at least Σ weight·|Δ| (with or without the number touched in front). Every acceptable
 * choice satisfies all rows of at least one cell; that is all the search relies on.
 */
export interface SearchProblem {
  size: number;
  /** Allowed changes in mL, ascending, 0 (leave alone) among them. */
  choices: readonly Float64Array[];
  /** Cost per mL changed, ≥ 0. */
  weight: Float64Array;
  maxTouched: number;
  cells: readonly RowSet[];
  /** Overwrite `into` with rows valid in this cell for lo ≤ Δ ≤ hi, at least as tight as the cell's. */
  tighten?(cell: number, lo: Float64Array, hi: Float64Array, into: RowSet): void;
  /** Add rows, to the cells and to what `tighten` writes, that cut off this point; false when none does. */
  cut?(delta: Float64Array): boolean;
  /** The true test, on the true model. */
  accept(delta: Float64Array): boolean;
  nodeLimit: number;
  /** True when the time is up. */
  outOfTime?: () => boolean;
}

/** A choice for every ingredient and its cost. */
export interface Answer {
  delta: Float64Array;
  cost: number;
  touched: number;
}

/** Sets of ingredients that one multiplier (or, without one, trying every pour) rules out in a cell. */
export interface Ruled {
  cell: number;
  touched: number;
  sets: "all" | number[][];
  /** By row of the cell; null when the set's pours were all tried. */
  multipliers: Float64Array | null;
}

/** A set of ingredients the relaxation cannot rule out, with its lower bound on cost. */
export interface OpenSet {
  set: number[];
  cells: number[];
  bound: number;
}

interface PoolEntry {
  constant: number;
  gains: Float64Array;
  ruled: Map<number, Ruled>;
  multipliers: Float64Array;
}

/** Exact search over ladder amounts; see FORMULATION.md. One instance serves one problem. */
export class LadderSearch {
  nodes = 0;
  relaxations = 0;
  evaluations = 0;
  limit: "time" | "nodes" | null = null;
  readonly ruled: Ruled[] = [];
  /** Cells that the relaxation with every ingredient free does not empty. */
  readonly live: number[];

  private readonly p: SearchProblem;
  private readonly lp: LeastChangeLp;
  private readonly lo: Float64Array;
  private readonly hi: Float64Array;
  private readonly loIndex: Int32Array;
  private readonly hiIndex: Int32Array;
  private readonly zero: Int32Array;
  private readonly pools: PoolEntry[][];
  private readonly candidate: Float64Array;
  private readonly queue = new NodeQueue();
  private readonly nodeRows: RowSet;
  private readonly steps: Float64Array;
  private nodeLimit: number;
  private outOfTime: (() => boolean) | undefined;
  private incumbent: Answer | null = null;
  private surveyed = 0;
  /** Lower bound on cost of the sets that a limit kept the surveys from. */
  private unsurveyed = Number.POSITIVE_INFINITY;
  private cutoff = Number.POSITIVE_INFINITY;
  private openBound = Number.POSITIVE_INFINITY;
  /** Cost of the candidate last offered. */
  private spent = 0;
  private quantum = 0;
  private free: number[] = [];
  private touchLimit = 0;
  private stopAtFirst = false;

  constructor(problem: SearchProblem) {
    this.p = problem;
    const n = problem.size;
    this.lp = new LeastChangeLp(n);
    this.lo = new Float64Array(n);
    this.hi = new Float64Array(n);
    this.loIndex = new Int32Array(n);
    this.hiIndex = new Int32Array(n);
    this.zero = new Int32Array(n);
    this.candidate = new Float64Array(n);
    this.nodeRows = new RowSet(n);
    this.nodeLimit = problem.nodeLimit;
    this.outOfTime = problem.outOfTime;
    this.pools = problem.cells.map(() => []);
    for (let i = 0; i < n; i += 1) {
      this.zero[i] = problem.choices[i]!.indexOf(0);
      if (this.zero[i]! < 0) throw new Error(`choice list ${i} lacks 0`);
    }
    this.steps = Float64Array.from(problem.choices, (c, i) => commonStep(c, problem.weight[i]!));
    this.openBox();
    this.live = problem.cells.map((_, cell) => cell).filter((cell) => !this.ruleOutCell(cell));
  }

  /** A cell that fails even with every ingredient free holds nothing at all. */
  private ruleOutCell(cell: number): boolean {
    const movable = this.movable();
    const rows = this.p.cells[cell]!;
    if (this.relax(cell, rows, movable, movable.length, false) < Number.POSITIVE_INFINITY) return false;
    const multipliers = this.lp.multipliers.slice(0, rows.count);
    this.ruled.push({ cell, touched: movable.length, sets: "all", multipliers });
    return true;
  }

  private openBox(): void {
    for (let i = 0; i < this.p.size; i += 1) {
      const c = this.p.choices[i]!;
      this.loIndex[i] = 0;
      this.hiIndex[i] = c.length - 1;
      this.lo[i] = c[0]!;
      this.hi[i] = c[c.length - 1]!;
    }
  }

  private exhausted(): boolean {
    if (this.limit === null) {
      if (this.nodes >= this.nodeLimit) this.limit = "nodes";
      else if ((this.nodes & 31) === 0) this.checkTime();
    }
    return this.limit !== null;
  }

  private checkTime(): void {
    if (this.limit === null && this.outOfTime?.()) this.limit = "time";
  }

  /** Ingredients with more than one choice. */
  movable(): number[] {
    const out: number[] = [];
    for (let i = 0; i < this.p.size; i += 1) if (this.p.choices[i]!.length > 1) out.push(i);
    return out;
  }

  /**
   * Relax one set in one cell, cutting while that helps.
   * @returns the lower bound on cost, +∞ when nothing is left; multipliers stay in the LP
   */
  private relax(cell: number, rows: RowSet, free: number[], touched: number, inNode: boolean): number {
    for (let round = 0; ; round += 1) {
      this.relaxations += 1;
      const outcome = this.lp.solve(rows, free, this.lo, this.hi, this.p.weight, touched);
      if (outcome === "infeasible") return Number.POSITIVE_INFINITY;
      if (outcome === "stalled" || round === CUT_ROUNDS || !this.p.cut?.(this.lp.delta)) {
        // A stalled simplex knows no bound, but no change costs less than nothing.
        return Math.max(this.lp.bound, 0);
      }
      if (inNode && rows !== this.p.cells[cell]) this.p.tighten!(cell, this.lo, this.hi, rows);
    }
  }

  /**
   * Level k of the lexicographic search: the sets of k ingredients that could do it, cheapest bound
   * first. Every other set of k is entered in `ruled`. A set is tried first against the multipliers
   * that ruled out others: one that works costs k additions.
   */
  survey(k: number): OpenSet[] {
    const movable = this.movable();
    const open = new Map<string, OpenSet>();
    this.openBox();
    this.checkTime();
    for (const cell of this.live) {
      const rows = this.p.cells[cell]!;
      if (this.relax(cell, rows, movable, k, false) === Number.POSITIVE_INFINITY) {
        this.ruled.push({
          cell,
          touched: k,
          sets: "all",
          multipliers: this.lp.multipliers.slice(0, rows.count),
        });
        continue;
      }
      const least = this.lp.bound;
      const pool = this.pools[cell]!;
      forEachSubset(movable, k, (set) => {
        this.surveyed += 1;
        if (this.surveyed > MOST_SETS) this.limit ??= "nodes";
        else if (this.surveyed % 64 === 0) this.checkTime();
        if (this.limit !== null) {
          this.unsurveyed = Math.min(this.unsurveyed, least);
          return false;
        }
        for (let e = pool.length - 1; e >= 0; e -= 1) {
          const entry = pool[e]!;
          let value = entry.constant;
          for (let s = 0; s < k; s += 1) value += entry.gains[set[s]!]!;
          if (value > 0) {
            this.enter(entry, cell, k, set);
            if (e < pool.length - 1) {
              pool[e] = pool[e + 1]!;
              pool[e + 1] = entry;
            }
            return true;
          }
        }
        const bound = this.relax(cell, rows, set, k, false);
        if (bound === Number.POSITIVE_INFINITY) {
          const entry = this.poolEntry(rows);
          pool.push(entry);
          this.enter(entry, cell, k, set);
          return true;
        }
        const key = set.join(",");
        const known = open.get(key);
        if (known) {
          known.cells.push(cell);
          known.bound = Math.min(known.bound, bound);
        } else open.set(key, { set: set.slice(), cells: [cell], bound });
        return true;
      });
    }
    return [...open.values()].sort((x, y) => x.bound - y.bound);
  }

  private poolEntry(rows: RowSet): PoolEntry {
    const multipliers = this.lp.multipliers.slice(0, rows.count);
    const gains = new Float64Array(this.p.size);
    let constant = 0;
    let magnitude = 0;
    for (let r = 0; r < rows.count; r += 1) {
      constant -= multipliers[r]! * rows.b[r]!;
      magnitude += Math.abs(multipliers[r]! * rows.b[r]!);
    }
    for (let i = 0; i < this.p.size; i += 1) {
      let c = 0;
      for (let r = 0; r < rows.count; r += 1) c += multipliers[r]! * rows.a[r * rows.width + i]!;
      gains[i] = leastOn(c, 0, this.lo[i]!, this.hi[i]!);
      magnitude -= gains[i]!;
    }
    return { constant: constant - 1e-12 * magnitude, gains, ruled: new Map(), multipliers };
  }

  private enter(entry: PoolEntry, cell: number, k: number, set: number[]): void {
    let ruled = entry.ruled.get(k);
    if (!ruled) {
      ruled = { cell, touched: k, sets: [], multipliers: entry.multipliers };
      entry.ruled.set(k, ruled);
      this.ruled.push(ruled);
    }
    (ruled.sets as number[][]).push(set.slice());
  }

  /**
   * The cheapest acceptable choice that touches only `free`, at most `touched` of them, below `cutoff`.
   * Best-first, each node followed down its likelier side until it closes. Answer null when there is none, or
   * none was found before a limit.
   * @returns with a lower bound on the cost of every acceptable choice below `cutoff`
   */
  best(
    free: number[],
    cells: readonly number[],
    touched: number,
    cutoff = Number.POSITIVE_INFINITY,
    stopAtFirst = false,
  ): { answer: Answer | null; bound: number } {
    this.openBox();
    for (let i = 0; i < this.p.size; i += 1) {
      if (!free.includes(i)) this.fix(i, this.zero[i]!, this.zero[i]!);
    }
    this.free = free;
    this.touchLimit = touched;
    this.incumbent = null;
    this.cutoff = cutoff;
    this.openBound = Number.POSITIVE_INFINITY;
    this.stopAtFirst = stopAtFirst;
    this.quantum = 0;
    for (const i of free) this.quantum = commonDivisor(this.quantum, this.steps[i]!);
    if (this.quantum < LEAST_STEP || free.some((i) => this.steps[i] === 0)) this.quantum = 0;
    const { queue } = this;
    queue.clear();
    for (const cell of cells) {
      const bound = this.relax(cell, this.p.cells[cell]!, free, touched, false);
      queue.push({ cell, bound, loIndex: this.loIndex.slice(), hiIndex: this.hiIndex.slice() });
    }
    while (!this.hopeless(queue.leastBound) && this.limit === null) this.dive(queue.pop()!);
    if (this.limit !== null) this.openBound = Math.min(this.openBound, queue.leastBound);
    const answer = this.incumbent as Answer | null;
    return { answer, bound: Math.min(this.openBound, answer?.cost ?? Number.POSITIVE_INFINITY) };
  }

  /**
   * Fewest touched, then least cost. Level by level: a level whose every set is ruled out or tried empty
   * proves that more must be touched.
   * @returns the answer; the level reached with its open sets; a lower bound on cost at that level
   */
  fewest(): { answer: Answer | null; level: number; open: OpenSet[]; bound: number } {
    const most = Math.min(this.p.maxTouched, this.movable().length);
    let open: OpenSet[] = [];
    for (let k = 1; k <= most && this.live.length > 0; k += 1) {
      open = this.survey(k);
      let answer: Answer | null = null;
      let bound = this.unsurveyed;
      const empty: OpenSet[] = [];
      for (const set of open) {
        if (this.limit !== null) {
          bound = Math.min(bound, set.bound);
          continue;
        }
        if (answer && set.bound >= answer.cost - COST_TOLERANCE) break;
        const found = this.best(set.set, set.cells, k, answer?.cost);
        bound = Math.min(bound, Math.max(set.bound, found.bound));
        if (found.answer) answer = found.answer;
        else empty.push(set);
      }
      if (answer || this.limit !== null) {
        // With the level ruled out in full just as the limit struck, what is known is that none is free.
        return { answer, level: k, open, bound: Number.isFinite(bound) ? bound : 0 };
      }
      for (const { set, cells } of empty) {
        for (const cell of cells) this.ruled.push({ cell, touched: k, sets: [set], multipliers: null });
      }
    }
    return { answer: null, level: most, open: [], bound: Number.POSITIVE_INFINITY };
  }

  /** Last resort after a limit: dive for any acceptable choice with a small allowance of nodes, and of time. */
  rescue(cells: readonly number[], outOfTime?: () => boolean): Answer | null {
    const limit = this.limit;
    this.limit = null;
    this.outOfTime = outOfTime;
    this.nodeLimit = this.nodes + RESCUE_NODES;
    const { answer } = this.best(this.movable(), cells, this.p.maxTouched, Number.POSITIVE_INFINITY, true);
    this.limit = limit;
    return answer;
  }

  private fix(i: number, lo: number, hi: number): void {
    this.loIndex[i] = lo;
    this.hiIndex[i] = hi;
    this.lo[i] = this.p.choices[i]![lo]!;
    this.hi[i] = this.p.choices[i]![hi]!;
  }

  private hopeless(bound: number): boolean {
    if (this.stopAtFirst && this.incumbent) return true;
    const q = this.quantum;
    const reachable = q > 0 ? Math.ceil((bound - 1e-6) / q) * q : bound;
    return reachable >= this.cutoff - COST_TOLERANCE;
  }

  /** Take the candidate if it is acceptable and cheaper. */
  private offer(): boolean {
    let cost = 0;
    let touched = 0;
    for (const i of this.free) {
      const d = this.candidate[i]!;
      if (d !== 0) {
        cost += this.p.weight[i]! * Math.abs(d);
        touched += 1;
      }
    }
    this.spent = cost;
    if (touched > this.touchLimit || cost >= this.cutoff - COST_TOLERANCE) return false;
    this.evaluations += 1;
    if (!this.p.accept(this.candidate)) return false;
    this.incumbent = { delta: this.candidate.slice(), cost, touched };
    this.cutoff = cost;
    return true;
  }

  /** Follow a node down, queueing the sides not taken. */
  private dive(node: Node): void {
    for (let i = 0; i < this.p.size; i += 1) this.fix(i, node.loIndex[i]!, node.hiIndex[i]!);
    let { bound } = node;
    for (;;) {
      this.nodes += 1;
      if (this.exhausted()) {
        this.openBound = Math.min(this.openBound, bound);
        return;
      }
      const split = this.examine(node.cell, bound);
      if (split === null) return;
      ({ bound } = split);
      const { on, at, upperFirst } = split;
      const lo = this.loIndex[on]!;
      const hi = this.hiIndex[on]!;
      const loIndex = this.loIndex.slice();
      const hiIndex = this.hiIndex.slice();
      if (upperFirst) hiIndex[on] = at;
      else loIndex[on] = at + 1;
      this.queue.push({ cell: node.cell, bound, loIndex, hiIndex });
      this.fix(on, upperFirst ? at + 1 : lo, upperFirst ? hi : at);
    }
  }

  /** Bound the present box, try its rounded relaxation, and say where to split it; null when it is closed. */
  private examine(
    cell: number,
    parentBound: number,
  ): { on: number; at: number; upperFirst: boolean; bound: number } | null {
    let rows = this.p.cells[cell]!;
    if (this.p.tighten) {
      rows = this.nodeRows;
      this.p.tighten(cell, this.lo, this.hi, rows);
    }
    let undecided = -1;
    let undecidedCount = 0;
    for (const i of this.free) {
      if (this.loIndex[i]! < this.hiIndex[i]!) {
        undecided = i;
        undecidedCount += 1;
      }
    }
    if (undecidedCount <= 1) {
      this.scan(rows, undecided);
      return null;
    }
    const bound = Math.max(parentBound, this.relax(cell, rows, this.free, this.touchLimit, true));
    if (this.hopeless(bound)) return null;
    const { delta } = this.lp;

    // Where each relaxed amount sits among its rungs; the most fractional one is branched on.
    let branchOn = -1;
    let splitAt = -1;
    let value = 0;
    let score = -1;
    let touched = 0;
    this.candidate.fill(0);
    for (const i of this.free) {
      const c = this.p.choices[i]!;
      const v = Math.min(this.hi[i]!, Math.max(this.lo[i]!, delta[i]!));
      const below = lastAtMost(c, v + ON_RUNG_ML, this.loIndex[i]!, this.hiIndex[i]!);
      const atRung = v - c[below]! <= ON_RUNG_ML;
      const above = atRung ? below : below + 1;
      this.candidate[i] = v - c[below]! <= c[above]! - v ? c[below]! : c[above]!;
      if (!atRung) {
        const gap = c[above]! - c[below]!;
        const fractional = Math.min(v - c[below]!, c[above]! - v) / gap;
        if (fractional > score) {
          score = fractional;
          branchOn = i;
          splitAt = below;
          value = (v - c[below]!) / gap;
        }
      }
      if (this.candidate[i] !== 0) touched += 1;
    }
    const onRungs = branchOn < 0;
    if (this.offer() && onRungs) return null;
    if (onRungs) {
      // The relaxed optimum is a pour, but one the true model (or the touch limit) turns down.
      const overTouched = touched > this.touchLimit;
      for (const i of this.free) {
        if (this.loIndex[i]! === this.hiIndex[i]!) continue;
        const spread = this.hi[i]! - this.lo[i]!;
        if (overTouched) {
          const z = this.zero[i]!;
          if (this.candidate[i] === 0 || this.loIndex[i]! > z || this.hiIndex[i]! < z) continue;
          if (spread > score) {
            score = spread;
            branchOn = i;
            splitAt = this.candidate[i]! > 0 ? z : z - 1;
            value = 1;
          }
        } else if (spread > score) {
          score = spread;
          branchOn = i;
          const at = lastAtMost(
            this.p.choices[i]!,
            this.candidate[i]! + ON_RUNG_ML,
            this.loIndex[i]!,
            this.hiIndex[i]!,
          );
          splitAt = at === this.hiIndex[i]! ? at - 1 : at;
          value = at === this.hiIndex[i]! ? 1 : 0;
        }
      }
    }

    return { on: branchOn, at: splitAt, upperFirst: value >= 0.5, bound };
  }

  /** All but one ingredient decided: the rows leave an interval; try its rungs, least change first. */
  private scan(rows: RowSet, undecided: number): void {
    this.candidate.fill(0);
    for (const i of this.free) this.candidate[i] = this.lo[i]!;
    if (undecided < 0) {
      this.offer();
      return;
    }
    let least = this.lo[undecided]!;
    let most = this.hi[undecided]!;
    const { a, b, width } = rows;
    for (let r = 0; r < rows.count; r += 1) {
      let rest = b[r]!;
      let magnitude = Math.abs(rest);
      for (const i of this.free) {
        if (i === undecided) continue;
        const term = a[r * width + i]! * this.candidate[i]!;
        rest -= term;
        magnitude += Math.abs(term);
      }
      const slack = 1e-12 * magnitude + 1e-9;
      const c = a[r * width + undecided]!;
      if (c > 1e-9) most = Math.min(most, (rest + slack) / c);
      else if (c < -1e-9) least = Math.max(least, (rest + slack) / c);
      else if (rest + slack + 1e-9 * (this.hi[undecided]! - this.lo[undecided]!) < 0) return;
    }
    if (least > most) return;
    const c = this.p.choices[undecided]!;
    const from = this.loIndex[undecided]!;
    const to = this.hiIndex[undecided]!;
    // Upwards from the first rung that is no reduction, downwards from the last that is.
    let up = firstAtLeast(c, Math.max(0, least), from, to);
    let down = firstAtLeast(c, Math.min(0, most), from, to);
    if (down > to || c[down]! >= 0 || c[down]! > most) down -= 1;
    for (;;) {
      const upCost = up <= to && c[up]! <= most ? c[up]! : Number.POSITIVE_INFINITY;
      const downCost = down >= from && c[down]! >= least ? -c[down]! : Number.POSITIVE_INFINITY;
      const takeDown = downCost < upCost;
      const size = takeDown ? downCost : upCost;
      if (size === Number.POSITIVE_INFINITY) return;
      this.candidate[undecided] = takeDown ? c[down--]! : c[up++]!;
      if (this.offer()) return;
      if (this.spent >= this.cutoff - COST_TOLERANCE) return;
    }
  }
}

/** Smallest index in [from, to] whose value is at least v; to + 1 when none is. */
function firstAtLeast(values: Float64Array, v: number, from: number, to: number): number {
  let lo = from;
  let hi = to + 1;
  while (lo < hi) {
    const mid = (lo + hi) >> 1;
    if (values[mid]! >= v) hi = mid;
    else lo = mid + 1;
  }
  return lo;
}

/** Largest index in [from, to] whose value is at most v; `from` when none is. */
function lastAtMost(values: Float64Array, v: number, from: number, to: number): number {
  let lo = from;
  let hi = to;
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1;
    if (values[mid]! <= v) lo = mid;
    else hi = mid - 1;
  }
  return lo;
}

/** Call `visit` with every subset of `size` of the items, in order, until it says false; the array is reused. */
function forEachSubset(items: readonly number[], size: number, visit: (set: number[]) => boolean): void {
  const set: number[] = new Array(size).fill(0);
  const walk = (at: number, from: number): boolean => {
    if (at === size) return visit(set);
    for (let i = from; i <= items.length - (size - at); i += 1) {
      set[at] = items[i]!;
      if (!walk(at + 1, i + 1)) return false;
    }
    return true;
  };
  walk(0, 0);
}

/**
 * The step every cost of these choices is a whole multiple of, or 0 when there is none worth using. All
 * pours on one jigger cost multiples of its step, so a bound just above one multiple is as good as the next.
 */
function commonStep(choices: Float64Array, weight: number): number {
  let step = 0;
  for (let c = 0; c < choices.length; c += 1) {
    step = commonDivisor(step, Math.abs(choices[c]!) * weight);
    if (step > 0 && step < LEAST_STEP) return 0;
  }
  return step;
}

/** Greatest common divisor of two lengths, to 1e-8; 0 divides nothing and is passed over. */
function commonDivisor(x: number, y: number): number {
  let a = Math.max(x, y);
  let b = Math.min(x, y);
  while (b > 1e-8) {
    const rest = a % b;
    a = b;
    b = b - rest < 1e-8 ? 0 : rest;
  }
  return a;
}
