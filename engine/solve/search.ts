import type { Effort } from "./effort.ts";
import { type Leaf, type Leaves, type Proof, proofOf } from "./leaves.ts";
import { LeastChangeLp } from "./lp.ts";
import { type Node, NodeQueue } from "./node-queue.ts";
import type { RowSet } from "./rows.ts";
import { combinedStep, commonStep, firstAtLeast, lastAtMost } from "./rungs.ts";

/** Costs closer than this (mL, or the measure's own unit) are equal. */
export const COST_TOLERANCE = 1e-7;
/** A relaxed amount this close to a rung (mL) is on it. */
const ON_RUNG_ML = 1e-7;
/** A bound this little below a whole step (mL) is on it: rounding of the simplex, far below any step. */
const STEP_ROUNDING = 1e-6;
/** A search for any answer walks from every so-manieth node, at most so many steps. */
const WALK_EVERY = 32;
const WALK_STEPS = 12;
/** Rounds of cuts at one relaxed point before branching takes over. */
const CUT_ROUNDS = 6;
/** Coefficients below this (rows are scaled to 1) say nothing about an amount. */
const NO_COEFFICIENT = 1e-9;
/** Slack of a row when an interval is read off it: absolute (mL), and as a share of the terms summed. */
const ROW_SLACK_ML = 1e-9;
const ROW_SLACK_SHARE = 1e-12;

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
  cells: readonly { rows: RowSet }[];
  /** Rows valid in this cell for lo ≤ Δ ≤ hi, at least as tight as the cell's; overwritten by the next call. */
  rowsIn?(cell: number, lo: Float64Array, hi: Float64Array): RowSet;
  /** Add rows, to the cells and to what `rowsIn` gives, that cut off this point; false when none does. */
  cut?(delta: Float64Array): boolean;
  /** Whether the boxes that a search is done with are to be kept, with what shows that they are. */
  keepsLeaves?: boolean;
  /** The true test, on the true model. */
  accept(delta: Float64Array): boolean;
  /** How far from acceptable a choice is, negative well inside; only ever used to look for one sooner. */
  breach?(delta: Float64Array): number;
}

/** A choice for every ingredient and its cost. */
export interface Answer {
  delta: Float64Array;
  cost: number;
  touched: number;
}

/** What is asked of one search over rungs. */
export interface Quest {
  /** Ingredients that may change. */
  free: readonly number[];
  cells: readonly number[];
  /** Most of them that may. */
  touched: number;
  /** Only answers below this cost count. */
  cutoff?: number;
  stopAtFirst?: boolean;
  /** Give up after so many nodes and tested drinks; an answer is then not known to be the cheapest. */
  allowance?: number;
}

/** What one search over rungs found. */
export interface Found {
  answer: Answer | null;
  /** Lower bound on the cost of every acceptable choice below the cutoff. */
  bound: number;
  /** False when the allowance ran out. */
  isSettled: boolean;
  /** Boxes that together hold every choice, each with what closed it; only when asked for, and when settled. */
  leaves?: Leaves;
}

/** Where a box is split: index `at` of ingredient `on` is the last of the lower part. */
interface Split {
  on: number;
  at: number;
  upperFirst: boolean;
  bound: number;
  proof: Proof | null;
}

/** Branch and bound over rungs; see FORMULATION.md. One instance serves one problem. */
export class RungSearch {
  /** The ends of the box at hand, mL of change. */
  readonly lo: Float64Array;
  readonly hi: Float64Array;
  readonly lp: LeastChangeLp;
  readonly effort: Effort;

  private readonly p: SearchProblem;
  private readonly loIndex: Int32Array;
  private readonly hiIndex: Int32Array;
  private readonly zero: Int32Array;
  private readonly steps: Float64Array;
  private readonly candidate: Float64Array;
  private readonly queue = new NodeQueue();
  private incumbent: Answer | null = null;
  private cutoff = Number.POSITIVE_INFINITY;
  private openBound = Number.POSITIVE_INFINITY;
  /** Cost of the candidate last offered. */
  private spent = 0;
  private quantum = 0;
  private free: readonly number[] = [];
  private touchLimit = 0;
  private stopAtFirst = false;
  private leaves: Leaf[] = [];
  /** What shows the bound last relaxed, when leaves are kept. */
  private proof: Proof | null = null;

  constructor(problem: SearchProblem, effort: Effort) {
    const n = problem.size;
    this.p = problem;
    this.effort = effort;
    this.lp = new LeastChangeLp(n);
    this.lo = new Float64Array(n);
    this.hi = new Float64Array(n);
    this.loIndex = new Int32Array(n);
    this.hiIndex = new Int32Array(n);
    this.candidate = new Float64Array(n);
    this.zero = Int32Array.from(problem.choices, (c) => c.indexOf(0));
    this.steps = Float64Array.from(problem.choices, (c, i) => commonStep(c, problem.weight[i]!));
    if (this.zero.includes(-1)) throw new Error("a choice list lacks 0");
    this.openBox();
  }

  /** Let every amount range over all of its choices. */
  openBox(): void {
    for (const [i, c] of this.p.choices.entries()) this.fix(i, 0, c.length - 1);
  }

  /**
   * Relax the box at hand in one cell, cutting while that helps.
   * @returns the lower bound on cost, +∞ when nothing is left; multipliers stay in the LP
   */
  relax(cell: number, free: readonly number[], touched: number, inNode: boolean): number {
    let rows = inNode ? this.rowsAt(cell) : this.p.cells[cell]!.rows;
    for (let round = 0; ; round += 1) {
      this.effort.relaxations += 1;
      const outcome = this.lp.solve(rows, free, this.lo, this.hi, this.p.weight, touched);
      const isEmpty = outcome === "infeasible";
      if (this.p.keepsLeaves) this.proof = proofOf(rows, this.lp.multipliers, !isEmpty);
      if (isEmpty) return Number.POSITIVE_INFINITY;
      if (outcome === "stalled" || round === CUT_ROUNDS || !this.p.cut?.(this.lp.delta)) {
        // A stalled simplex knows no bound, but no change costs less than nothing.
        return Math.max(this.lp.bound, 0);
      }
      if (inNode) rows = this.rowsAt(cell);
    }
  }

  /**
   * The cheapest acceptable choice. Best-first, each node followed down its likelier side until it closes.
   * Answer null when there is none, or none was found before a limit.
   */
  best(quest: Quest): Found {
    const { free, cells, touched, cutoff = Number.POSITIVE_INFINITY, stopAtFirst = false } = quest;
    this.openBox();
    for (const [i, zero] of this.zero.entries()) if (!free.includes(i)) this.fix(i, zero, zero);
    this.free = free;
    this.touchLimit = touched;
    this.incumbent = null;
    this.cutoff = cutoff;
    this.openBound = Number.POSITIVE_INFINITY;
    this.stopAtFirst = stopAtFirst;
    this.quantum = combinedStep(free.map((i) => this.steps[i]!));
    const { queue } = this;
    queue.clear();
    this.leaves = [];
    for (const cell of cells) {
      const bound = this.effort.exhausted() ? 0 : this.relax(cell, free, touched, false);
      const { proof } = this;
      queue.push({ cell, bound, proof, loIndex: this.loIndex.slice(), hiIndex: this.hiIndex.slice() });
    }
    const { effort } = this;
    const end = effort.spent + (quest.allowance ?? Number.POSITIVE_INFINITY);
    while (!this.hopeless(queue.leastBound) && effort.limit === null && effort.spent < end)
      this.dive(queue.pop()!);
    const isSettled = this.hopeless(queue.leastBound);
    if (!isSettled) this.openBound = Math.min(this.openBound, queue.leastBound);
    const answer = this.incumbent as Answer | null;
    const bound = Math.min(this.openBound, answer?.cost ?? Number.POSITIVE_INFINITY);
    if (!isSettled || !this.p.keepsLeaves) return { answer, bound, isSettled };
    for (const { cell, proof, loIndex, hiIndex } of queue.rest()) {
      for (let i = 0; i < this.p.size; i += 1) this.fix(i, loIndex[i]!, hiIndex[i]!);
      this.close(cell, proof);
    }
    return { answer, bound, isSettled, leaves: { cells: this.p.cells.length, boxes: this.leaves } };
  }

  /** Enter the box at hand among the leaves, when they are kept. */
  private close(cell: number, proof: Proof | null): void {
    if (this.p.keepsLeaves) this.leaves.push({ cell, low: this.lo.slice(), high: this.hi.slice(), proof });
  }

  private rowsAt(cell: number): RowSet {
    return this.p.rowsIn?.(cell, this.lo, this.hi) ?? this.p.cells[cell]!.rows;
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
    const reachable = q > 0 ? Math.ceil((bound - STEP_ROUNDING) / q) * q : bound;
    return reachable >= this.cutoff - COST_TOLERANCE;
  }

  /** Take the candidate if it is acceptable and cheaper. */
  private offer(): boolean {
    let cost = 0;
    let touched = 0;
    for (const i of this.free) {
      const d = this.candidate[i]!;
      if (d === 0) continue;
      cost += this.p.weight[i]! * Math.abs(d);
      touched += 1;
    }
    this.spent = cost;
    if (touched > this.touchLimit || cost >= this.cutoff - COST_TOLERANCE) return false;
    this.effort.evaluations += 1;
    if (!this.p.accept(this.candidate)) return false;
    this.incumbent = { delta: this.candidate.slice(), cost, touched };
    this.cutoff = cost;
    return true;
  }

  /** Follow a node down, queueing the sides not taken. */
  private dive(node: Node): void {
    for (let i = 0; i < this.p.size; i += 1) this.fix(i, node.loIndex[i]!, node.hiIndex[i]!);
    let { bound, proof } = node;
    for (;;) {
      this.effort.nodes += 1;
      if (this.effort.exhausted()) {
        this.openBound = Math.min(this.openBound, bound);
        return;
      }
      const split = this.examine(node.cell, bound, proof);
      if (split === null) return;
      ({ bound, proof } = split);
      const { on, at, upperFirst } = split;
      const lo = this.loIndex[on]!;
      const hi = this.hiIndex[on]!;
      const loIndex = this.loIndex.slice();
      const hiIndex = this.hiIndex.slice();
      if (upperFirst) hiIndex[on] = at;
      else loIndex[on] = at + 1;
      this.queue.push({ cell: node.cell, bound, proof, loIndex, hiIndex });
      this.fix(on, upperFirst ? at + 1 : lo, upperFirst ? hi : at);
    }
  }

  /** Bound the present box, try its rounded relaxation, and say where to split it; null when it is closed. */
  private examine(cell: number, parentBound: number, parentProof: Proof | null): Split | null {
    const undecided = this.free.filter((i) => this.loIndex[i]! < this.hiIndex[i]!);
    if (undecided.length <= 1) {
      this.scan(this.rowsAt(cell), undecided[0], parentBound);
      this.close(cell, null);
      return null;
    }
    const own = this.relax(cell, this.free, this.touchLimit, true);
    const bound = Math.max(parentBound, own);
    const proof = own > parentBound ? this.proof : parentProof;
    if (this.hopeless(bound)) {
      this.close(cell, proof);
      return null;
    }
    const between = this.roundRelaxed();
    const isTaken = this.offer();
    if (this.stopAtFirst && !isTaken && this.effort.nodes % WALK_EVERY === 1) {
      if (this.walk()) return null;
      this.roundRelaxed();
    }
    if (isTaken && between === null) {
      this.close(cell, proof);
      return null;
    }
    return { ...(between ?? this.splitAtPour(undecided)), bound, proof };
  }

  /** Write the relaxed point, rounded to rungs, as the candidate; the most fractional amount, or null on rungs. */
  private roundRelaxed(): Omit<Split, "bound" | "proof"> | null {
    let split: Omit<Split, "bound" | "proof"> | null = null;
    let most = -1;
    this.candidate.fill(0);
    for (const i of this.free) {
      const c = this.p.choices[i]!;
      const v = Math.min(this.hi[i]!, Math.max(this.lo[i]!, this.lp.delta[i]!));
      const at = lastAtMost(c, v + ON_RUNG_ML, this.loIndex[i]!, this.hiIndex[i]!);
      const below = c[at]!;
      if (v - below <= ON_RUNG_ML) {
        this.candidate[i] = below;
        continue;
      }
      const above = c[at + 1]!;
      const share = (v - below) / (above - below);
      this.candidate[i] = share <= 0.5 ? below : above;
      if (Math.min(share, 1 - share) <= most) continue;
      most = Math.min(share, 1 - share);
      split = { on: i, at, upperFirst: share >= 0.5 };
    }
    return split;
  }

  /**
   * Walk from the candidate over neighbouring rungs, one amount or two at a time, always to what breaks least,
   * and offer what breaks nothing; true when one was taken. A short cut to any answer: it proves nothing.
   */
  private walk(): boolean {
    const { breach } = this.p;
    if (!breach) return false;
    let least = breach.call(this.p, this.candidate);
    for (let step = 0; step < WALK_STEPS; step += 1) {
      const next = this.bestNeighbour(least);
      if (next === null) return false;
      least = next;
      if (least <= 0 && this.offer()) return true;
    }
    return false;
  }

  /** Move the candidate to the neighbour that breaks least, if that is less than `least`: what it breaks, or null. */
  private bestNeighbour(least: number): number | null {
    const { candidate } = this;
    const breach = (): number => this.p.breach?.(candidate) ?? Number.POSITIVE_INFINITY;
    let best = least;
    let move: [number, number][] = [];
    /** Neighbouring rungs of one amount. */
    const beside = (i: number): number[] => {
      const c = this.p.choices[i]!;
      const at = firstAtLeast(c, candidate[i]! - ON_RUNG_ML, 0, c.length - 1);
      return [c[at - 1], c[at + 1]].filter((d) => d !== undefined);
    };
    const ways = this.free.flatMap((i) => beside(i).map((d): [number, number] => [i, d]));
    const tryMoves = (moves: [number, number][]) => {
      const before = moves.map(([i]) => candidate[i]!);
      for (const [i, d] of moves) candidate[i] = d;
      const value = breach();
      moves.forEach(([i], k) => {
        candidate[i] = before[k]!;
      });
      if (value < best) [best, move] = [value, moves];
    };
    for (const way of ways) tryMoves([way]);
    if (move.length === 0) {
      for (const [k, way] of ways.entries()) {
        for (const other of ways.slice(k + 1)) if (other[0] !== way[0]) tryMoves([way, other]);
      }
    }
    if (move.length === 0) return null;
    for (const [i, d] of move) candidate[i] = d;
    return best;
  }

  /** The relaxed optimum is a pour, but one the true model (or the touch limit) turns down: split there. */
  private splitAtPour(undecided: readonly number[]): Omit<Split, "bound" | "proof"> {
    const touched = this.free.reduce((count, i) => count + (this.candidate[i] !== 0 ? 1 : 0), 0);
    const overTouched = touched > this.touchLimit;
    let split: Omit<Split, "bound" | "proof"> | null = null;
    let widest = -1;
    for (const i of undecided) {
      const [lo, hi, z] = [this.loIndex[i]!, this.hiIndex[i]!, this.zero[i]!];
      if (overTouched && (this.candidate[i] === 0 || lo > z || hi < z)) continue;
      const spread = this.hi[i]! - this.lo[i]!;
      if (spread <= widest) continue;
      widest = spread;
      if (overTouched) {
        split = { on: i, at: this.candidate[i]! > 0 ? z : z - 1, upperFirst: true };
      } else {
        const at = lastAtMost(this.p.choices[i]!, this.candidate[i]! + ON_RUNG_ML, lo, hi);
        split = at === hi ? { on: i, at: at - 1, upperFirst: true } : { on: i, at, upperFirst: false };
      }
    }
    if (split === null) throw new Error("a box with two amounts undecided can be split");
    return split;
  }

  /** All but one ingredient decided: the rows leave an interval; try its rungs, least change first. */
  private scan(rows: RowSet, undecided: number | undefined, bound: number): void {
    this.candidate.fill(0);
    for (const i of this.free) this.candidate[i] = this.lo[i]!;
    if (undecided === undefined) {
      this.offer();
      return;
    }
    const [least, most] = this.interval(rows, undecided);
    if (least > most) return;
    const c = this.p.choices[undecided]!;
    const from = this.loIndex[undecided]!;
    const to = this.hiIndex[undecided]!;
    // Upwards from the first rung that is no reduction, downwards from the last that is.
    let up = firstAtLeast(c, Math.max(0, least), from, to);
    let down = firstAtLeast(c, Math.min(0, most), from, to);
    if (down > to || c[down]! >= 0 || c[down]! > most) down -= 1;
    while (!this.effort.exhausted()) {
      const upCost = up <= to && c[up]! <= most ? c[up]! : Number.POSITIVE_INFINITY;
      const downCost = down >= from && c[down]! >= least ? -c[down]! : Number.POSITIVE_INFINITY;
      if (Math.min(upCost, downCost) === Number.POSITIVE_INFINITY) return;
      this.candidate[undecided] = downCost < upCost ? c[down--]! : c[up++]!;
      if (this.offer() || this.spent >= this.cutoff - COST_TOLERANCE) return;
    }
    this.openBound = Math.min(this.openBound, bound);
  }

  /** What the rows leave of one amount when the candidate's others are held. */
  private interval(rows: RowSet, undecided: number): [number, number] {
    let least = this.lo[undecided]!;
    let most = this.hi[undecided]!;
    for (const { a, b } of rows.list) {
      let rest = b;
      let magnitude = Math.abs(rest);
      for (const i of this.free) {
        if (i === undecided) continue;
        const term = a[i]! * this.candidate[i]!;
        rest -= term;
        magnitude += Math.abs(term);
      }
      const slack = ROW_SLACK_SHARE * magnitude + ROW_SLACK_ML;
      const c = a[undecided]!;
      if (c > NO_COEFFICIENT) most = Math.min(most, (rest + slack) / c);
      else if (c < -NO_COEFFICIENT) least = Math.max(least, (rest + slack) / c);
      else if (rest + slack + NO_COEFFICIENT * (most - least) < 0) return [1, 0];
    }
    return [least, most];
  }
}
