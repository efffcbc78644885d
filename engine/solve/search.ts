import type { Effort } from "./effort.ts";
import type { Leaf, Leaves, Proof } from "./leaves.ts";
import { LeastChangeLp } from "./lp.ts";
import { type Node, NodeQueue } from "./node-queue.ts";
import type { RowSet } from "./rows.ts";
import {
  combinedStep,
  commonStep,
  firstAbove,
  firstAtLeast,
  lastAtMost,
  type Span,
  spanOf,
} from "./rungs.ts";

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

/** One ingredient of the problem. */
interface Amount {
  /** Its place in the problem's lists. */
  i: number;
  choices: Float64Array;
  weight: number;
  /** The step that the costs of all its choices share. */
  step: number;
  /** All of its choices, and 0 alone. */
  whole: Span;
  still: Span;
  /** Those in the box at hand. */
  span: Span;
}

/** A box is split in two by the choices of one amount: the likelier part, and the other. */
interface Split {
  on: Amount;
  now: Span;
  later: Span;
}

/** Split the box at hand: choice `at` of an amount is the last of the lower part. */
function splitAt(on: Amount, at: number, upperFirst: boolean): Split {
  const lower = spanOf(on.choices, on.span.first, at);
  const upper = spanOf(on.choices, at + 1, on.span.last);
  return upperFirst ? { on, now: upper, later: lower } : { on, now: lower, later: upper };
}

/** What is known of a box: a lower bound on its cost, and what shows it, when leaves are kept. */
type Bounded = Pick<Node, "bound" | "proof">;

/** A step of a walk: one amount's candidate goes to a neighbouring rung. */
interface Way {
  i: number;
  to: number;
}

/** Branch and bound over rungs; see FORMULATION.md. One instance serves one problem. */
export class RungSearch {
  /** The ends of the box at hand, mL of change. */
  readonly lo: Float64Array;
  readonly hi: Float64Array;
  readonly lp: LeastChangeLp;

  private readonly amounts: readonly Amount[];
  private readonly candidate: Float64Array;
  private readonly queue = new NodeQueue();
  private incumbent: Answer | null = null;
  private cutoff = Number.POSITIVE_INFINITY;
  private openBound = Number.POSITIVE_INFINITY;
  /** Cost of the candidate last offered. */
  private spent = 0;
  private quantum = 0;
  private quest: Quest = { free: [], cells: [], touched: 0 };
  private free: readonly Amount[] = [];
  private leaves: Leaf[] = [];
  /** What shows the bound last relaxed, when leaves are kept. */
  private proof: Proof | null = null;

  constructor(
    private readonly p: SearchProblem,
    readonly effort: Effort,
  ) {
    const n = p.size;
    this.lp = new LeastChangeLp(n);
    this.lo = new Float64Array(n);
    this.hi = new Float64Array(n);
    this.candidate = new Float64Array(n);
    this.amounts = p.choices.map((choices, i) => {
      const zero = choices.indexOf(0);
      if (zero < 0) throw new Error("a choice list lacks 0");
      const whole = spanOf(choices, 0, choices.length - 1);
      const still = spanOf(choices, zero, zero);
      const weight = p.weight[i]!;
      return { i, choices, weight, step: commonStep(choices, weight), whole, still, span: whole };
    });
    this.openBox();
  }

  /** Let every amount range over all of its choices. */
  openBox(): void {
    for (const amount of this.amounts) this.narrow(amount, amount.whole);
  }

  /**
   * Relax the box at hand in one cell, cutting while that helps.
   * @returns the lower bound on cost, +∞ when nothing is left; multipliers stay in the LP
   */
  relax(cell: number, free: readonly number[], touched: number, inNode: boolean): number {
    for (let round = 0; ; round += 1) {
      const rows = inNode ? this.rowsAt(cell) : this.p.cells[cell]!.rows;
      this.effort.relaxations += 1;
      const outcome = this.lp.solve(rows, free, this.lo, this.hi, this.p.weight, touched);
      const isEmpty = outcome === "infeasible";
      if (this.p.keepsLeaves) this.proof = { ...rows.combine(this.lp.multipliers), isWeighted: !isEmpty };
      if (isEmpty) return Number.POSITIVE_INFINITY;
      if (outcome === "stalled" || round === CUT_ROUNDS || !this.p.cut?.(this.lp.delta)) {
        // A stalled simplex knows no bound, but no change costs less than nothing.
        return Math.max(this.lp.bound, 0);
      }
    }
  }

  /**
   * The cheapest acceptable choice. Best-first, each node followed down its likelier side until it closes.
   * Answer null when there is none, or none was found before a limit.
   */
  best(quest: Quest): Found {
    const { free, cells, touched, cutoff = Number.POSITIVE_INFINITY } = quest;
    const isFree = ({ i }: Amount) => free.includes(i);
    for (const amount of this.amounts) this.narrow(amount, isFree(amount) ? amount.whole : amount.still);
    this.quest = quest;
    this.free = this.amounts.filter(isFree);
    this.incumbent = null;
    this.cutoff = cutoff;
    this.openBound = Number.POSITIVE_INFINITY;
    this.quantum = combinedStep(this.free.map(({ step }) => step));
    const { queue } = this;
    queue.clear();
    this.leaves = [];
    for (const cell of cells) {
      const bound = this.effort.exhausted() ? 0 : this.relax(cell, free, touched, false);
      queue.push({ cell, bound, proof: this.proof, box: this.box() });
    }
    const { effort } = this;
    const end = effort.spent + (quest.allowance ?? Number.POSITIVE_INFINITY);
    while (!this.hopeless(queue.leastBound) && effort.limit === null && effort.spent < end) {
      const node = queue.pop();
      if (node) this.dive(node);
    }
    const isSettled = this.hopeless(queue.leastBound);
    if (!isSettled) this.openBound = Math.min(this.openBound, queue.leastBound);
    const answer = this.incumbent as Answer | null;
    const bound = Math.min(this.openBound, answer?.cost ?? Number.POSITIVE_INFINITY);
    if (!isSettled || !this.p.keepsLeaves) return { answer, bound, isSettled };
    for (const { cell, proof, box } of queue.rest()) {
      this.enter(box);
      this.close(cell, proof);
    }
    return { answer, bound, isSettled, leaves: { cells: this.p.cells.length, boxes: this.leaves } };
  }

  /** The box at hand as a leaf; what was last relaxed shows it, unless something else does. */
  leafOf(cell: number, proof: Proof | null = this.proof): Leaf {
    return { cell, low: this.lo.slice(), high: this.hi.slice(), proof };
  }

  /** Enter the box at hand among the leaves, when they are kept. Null: a closed box is not split. */
  private close(cell: number, proof: Proof | null): null {
    if (this.p.keepsLeaves) this.leaves.push(this.leafOf(cell, proof));
    return null;
  }

  private rowsAt(cell: number): RowSet {
    return this.p.rowsIn?.(cell, this.lo, this.hi) ?? this.p.cells[cell]!.rows;
  }

  private narrow(amount: Amount, span: Span): void {
    amount.span = span;
    this.lo[amount.i] = span.low;
    this.hi[amount.i] = span.high;
  }

  /** The box at hand, to come back to. */
  private box(): Span[] {
    return this.amounts.map(({ span }) => span);
  }

  /** Come back to a box. */
  private enter(box: readonly Span[]): void {
    for (const amount of this.amounts) this.narrow(amount, box[amount.i]!);
  }

  private hopeless(bound: number): boolean {
    if (this.quest.stopAtFirst && this.incumbent) return true;
    const q = this.quantum;
    const reachable = q > 0 ? Math.ceil((bound - STEP_ROUNDING) / q) * q : bound;
    return reachable >= this.cutoff - COST_TOLERANCE;
  }

  /** Take the candidate if it is acceptable and cheaper. */
  private offer(): boolean {
    let cost = 0;
    let touched = 0;
    for (const { i, weight } of this.free) {
      const change = this.candidate[i]!;
      if (change === 0) continue;
      cost += weight * Math.abs(change);
      touched += 1;
    }
    this.spent = cost;
    if (touched > this.quest.touched || cost >= this.cutoff - COST_TOLERANCE) return false;
    this.effort.evaluations += 1;
    if (!this.p.accept(this.candidate)) return false;
    this.incumbent = { delta: this.candidate.slice(), cost, touched };
    this.cutoff = cost;
    return true;
  }

  /** Follow a node down, queueing the sides not taken. */
  private dive({ cell, box, bound, proof }: Node): void {
    this.enter(box);
    let state: Bounded = { bound, proof };
    for (;;) {
      this.effort.nodes += 1;
      if (this.effort.exhausted()) {
        this.openBound = Math.min(this.openBound, state.bound);
        return;
      }
      const split = this.examine(cell, state);
      if (split === null) return;
      state = split;
      const later = this.box();
      later[split.on.i] = split.later;
      this.queue.push({ cell, bound: split.bound, proof: split.proof, box: later });
      this.narrow(split.on, split.now);
    }
  }

  /** Bound the present box, try its rounded relaxation, and say where to split it; null when it is closed. */
  private examine(cell: number, parent: Bounded): (Split & Bounded) | null {
    const undecided = this.free.filter(({ span }) => span.first < span.last);
    if (undecided.length <= 1) {
      this.scan(this.rowsAt(cell), undecided[0], parent.bound);
      return this.close(cell, null);
    }
    const own = this.relax(cell, this.quest.free, this.quest.touched, true);
    const { bound, proof } = own > parent.bound ? { bound: own, proof: this.proof } : parent;
    if (this.hopeless(bound)) return this.close(cell, proof);
    const between = this.roundRelaxed();
    const isTaken = this.offer();
    if (this.quest.stopAtFirst && !isTaken && this.effort.nodes % WALK_EVERY === 1) {
      if (this.walk()) return null;
      this.roundRelaxed();
    }
    if (isTaken && between === null) return this.close(cell, proof);
    return { ...(between ?? this.splitAtPour(undecided)), bound, proof };
  }

  /** Write the relaxed point, rounded to rungs, as the candidate; the most fractional amount, or null on rungs. */
  private roundRelaxed(): Split | null {
    let split: Split | null = null;
    let most = -1;
    this.candidate.fill(0);
    for (const on of this.free) {
      const { i, choices, span } = on;
      const v = Math.min(span.high, Math.max(span.low, this.lp.delta[i]!));
      const at = lastAtMost(choices, v + ON_RUNG_ML, span.first, span.last);
      const { low: below, high: above } = spanOf(choices, at, Math.min(at + 1, span.last));
      if (v - below <= ON_RUNG_ML) {
        this.candidate[i] = below;
        continue;
      }
      const share = (v - below) / (above - below);
      this.candidate[i] = share <= 0.5 ? below : above;
      if (Math.min(share, 1 - share) <= most) continue;
      most = Math.min(share, 1 - share);
      split = splitAt(on, at, share >= 0.5);
    }
    return split;
  }

  /**
   * Walk from the candidate over neighbouring rungs, one amount or two at a time, always to what breaks least,
   * and offer what breaks nothing; true when one was taken. A short cut to any answer: it proves nothing.
   */
  private walk(): boolean {
    let least: number | null = this.breach();
    for (let step = 0; step < WALK_STEPS && least !== null; step += 1) {
      least = this.bestNeighbour(least);
      if (least !== null && least <= 0 && this.offer()) return true;
    }
    return false;
  }

  /** How far from acceptable the candidate is; +∞ where the problem does not tell. */
  private breach(): number {
    return this.p.breach?.(this.candidate) ?? Number.POSITIVE_INFINITY;
  }

  /** Move the candidate to the neighbour that breaks least, if that is less than `least`: what it breaks, or null. */
  private bestNeighbour(least: number): number | null {
    const { candidate } = this;
    const here = candidate.slice();
    const ways = this.free.flatMap(({ i, choices }) => {
      const at = firstAtLeast(choices, here[i]! - ON_RUNG_ML, 0, choices.length - 1);
      return [choices[at - 1], choices[at + 1]].flatMap((to) => (to === undefined ? [] : [{ i, to }]));
    });
    const take = (moves: readonly Way[]) => {
      for (const { i, to } of moves) candidate[i] = to;
    };
    let best = least;
    let move: Way[] = [];
    const tryMoves = (moves: Way[]) => {
      take(moves);
      const value = this.breach();
      candidate.set(here);
      if (value < best) [best, move] = [value, moves];
    };
    for (const way of ways) tryMoves([way]);
    if (move.length === 0) {
      for (const [k, way] of ways.entries()) {
        for (const other of ways.slice(k + 1)) if (other.i !== way.i) tryMoves([way, other]);
      }
    }
    take(move);
    return move.length > 0 ? best : null;
  }

  /** The relaxed optimum is a pour, but one the true model (or the touch limit) turns down: split there. */
  private splitAtPour(undecided: readonly Amount[]): Split {
    const isTouched = ({ i }: Amount) => this.candidate[i] !== 0;
    const overTouched = this.free.filter(isTouched).length > this.quest.touched;
    const mayStayOrNot = (amount: Amount) =>
      isTouched(amount) && amount.span.low <= 0 && amount.span.high >= 0;
    const [widest] = (overTouched ? undecided.filter(mayStayOrNot) : undecided)
      .slice()
      .sort((a, b) => b.span.high - b.span.low - (a.span.high - a.span.low));
    if (widest === undefined) throw new Error("a box with two amounts undecided can be split");
    const { i, choices, span, still } = widest;
    const change = this.candidate[i]!;
    if (overTouched) return splitAt(widest, change > 0 ? still.first : still.first - 1, true);
    const at = lastAtMost(choices, change + ON_RUNG_ML, span.first, span.last);
    return at === span.last ? splitAt(widest, at - 1, true) : splitAt(widest, at, false);
  }

  /** All but one ingredient decided: the rows leave an interval; try its rungs, least change first. */
  private scan(rows: RowSet, undecided: Amount | undefined, bound: number): void {
    this.candidate.fill(0);
    for (const { i, span } of this.free) this.candidate[i] = span.low;
    if (undecided === undefined) {
      this.offer();
      return;
    }
    const { i, choices, span } = undecided;
    const [least, most] = this.interval(rows, undecided);
    if (least > most) return;
    const left = choices.slice(
      firstAtLeast(choices, least, span.first, span.last),
      firstAbove(choices, most, span.first, span.last),
    );
    for (const change of left.sort((x, y) => Math.abs(x) - Math.abs(y) || y - x)) {
      if (this.effort.exhausted()) {
        this.openBound = Math.min(this.openBound, bound);
        return;
      }
      this.candidate[i] = change;
      if (this.offer() || this.spent >= this.cutoff - COST_TOLERANCE) return;
    }
  }

  /** What the rows leave of one amount when the candidate's others are held. */
  private interval(rows: RowSet, undecided: Amount): [number, number] {
    let { low: least, high: most } = undecided.span;
    for (const { a, b } of rows.list) {
      let rest = b;
      let magnitude = Math.abs(rest);
      for (const amount of this.free) {
        if (amount === undecided) continue;
        const { i } = amount;
        const term = a[i]! * this.candidate[i]!;
        rest -= term;
        magnitude += Math.abs(term);
      }
      const slack = ROW_SLACK_SHARE * magnitude + ROW_SLACK_ML;
      const c = a[undecided.i]!;
      if (c > NO_COEFFICIENT) most = Math.min(most, (rest + slack) / c);
      else if (c < -NO_COEFFICIENT) least = Math.max(least, (rest + slack) / c);
      else if (rest + slack + NO_COEFFICIENT * (most - least) < 0) return [1, 0];
    }
    return [least, most];
  }
}
