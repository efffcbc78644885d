import { Effort } from "./effort.ts";
import { isFew, tryAll } from "./few.ts";
import type { Leaf } from "./leaves.ts";
import { leastOn, ROUNDING_SHARE } from "./lp.ts";
import type { RowSet } from "./rows.ts";
import { forEachSubset } from "./rungs.ts";
import {
  type Answer,
  COST_TOLERANCE,
  type Found,
  type Quest,
  RungSearch,
  type SearchProblem,
} from "./search.ts";

/** Sets of ingredients looked at one by one: beyond this the list of them would fill the memory. */
const MOST_SETS = 400_000;
/** Nodes spent looking for any answer after a limit struck before one was found. */
const RESCUE_NODES = 1500;

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

/** A multiplier that ruled out one set, kept to be tried on others. */
interface PoolEntry {
  constant: number;
  /** The most by which a change of each ingredient lowers the sum. */
  gains: Float64Array;
  /** What it ruled out, by how many are touched. */
  ruled: Map<number, number[][]>;
  multipliers: Float64Array;
}

/** Where a search for the cheapest may stop: at this cost, or after so much work. */
export type Within = Pick<Quest, "cutoff" | "allowance">;

/** What a search by levels found. */
export interface LevelResult {
  answer: Answer | null;
  /** Lower bound: on the number touched, and on the cost of touching so many. */
  bound: { touched: number; cost: number };
  /** The sets of that level that could not be ruled out, cheapest bound first. */
  open: OpenSet[];
}

/** Exact search over ladder amounts, by the number of ingredients touched; see FORMULATION.md. */
export class LadderSearch {
  readonly ruled: Ruled[] = [];
  /** Cells that the relaxation with every ingredient free does not empty. */
  readonly live: number[];
  /** Ingredients with more than one choice. */
  readonly movable: number[];

  /** What shows that the other cells are empty, when leaves are kept. */
  private readonly emptied: Leaf[] = [];
  private readonly rungs: RungSearch;
  private readonly pools: PoolEntry[][];
  private surveyed = 0;
  /** Lower bound on cost of the sets that a limit kept the surveys from. */
  private unsurveyed = Number.POSITIVE_INFINITY;

  constructor(
    readonly problem: SearchProblem,
    readonly effort = new Effort(Number.POSITIVE_INFINITY),
  ) {
    this.rungs = new RungSearch(problem, effort);
    this.pools = problem.cells.map(() => []);
    this.movable = problem.choices.flatMap((c, i) => (c.length > 1 ? [i] : []));
    this.live = [...problem.cells.keys()].filter((cell) => {
      if (effort.exhausted() || !this.ruleOutAll(cell, this.movable.length)) return true;
      if (problem.keepsLeaves) this.emptied.push(this.rungs.leafOf(cell));
      return false;
    });
  }

  /** One multiplier that rules out every set of `k` ingredients in a cell, if the relaxation gives one. */
  private ruleOutAll(cell: number, k: number): boolean {
    const { rungs, problem } = this;
    rungs.openBox();
    if (rungs.relax(cell, this.movable, k, false) < Number.POSITIVE_INFINITY) return false;
    const multipliers = rungs.lp.multipliers.slice(0, problem.cells[cell]!.rows.list.length);
    this.ruled.push({ cell, touched: k, sets: "all", multipliers });
    return true;
  }

  /**
   * Level k: the sets of k ingredients that could do it, cheapest bound first. Every other set of k is
   * entered in `ruled`. A set is tried first against the multipliers that ruled out others: one that works
   * costs k additions.
   */
  survey(k: number): OpenSet[] {
    const open = new Map<string, OpenSet>();
    this.effort.exhausted();
    for (const cell of this.live) {
      if (this.ruleOutAll(cell, k)) continue;
      const least = this.rungs.lp.bound;
      forEachSubset(this.movable, k, (set) => {
        this.surveyed += 1;
        if (this.surveyed > MOST_SETS) this.effort.limit ??= "nodes";
        if (this.surveyed % 64 === 0) this.effort.exhausted();
        if (this.effort.limit !== null) {
          this.unsurveyed = Math.min(this.unsurveyed, least);
          return false;
        }
        if (this.ruledByPool(cell, k, set)) return true;
        const bound = this.rungs.relax(cell, set, k, false);
        if (bound === Number.POSITIVE_INFINITY) {
          const entry = this.poolEntry(this.problem.cells[cell]!.rows);
          this.pools[cell]!.push(entry);
          this.enter(entry, cell, k, set);
          return true;
        }
        const key = set.join(",");
        const known = open.get(key) ?? { set: set.slice(), cells: [], bound };
        open.set(key, { ...known, cells: [...known.cells, cell], bound: Math.min(known.bound, bound) });
        return true;
      });
    }
    return [...open.values()].sort((x, y) => x.bound - y.bound);
  }

  /** Try the multipliers that ruled out other sets, the latest first; one that works moves up. */
  private ruledByPool(cell: number, k: number, set: number[]): boolean {
    const pool = this.pools[cell]!;
    for (let e = pool.length - 1; e >= 0; e -= 1) {
      const entry = pool[e]!;
      const value = set.reduce((sum, i) => sum + entry.gains[i]!, entry.constant);
      if (!(value > 0)) continue;
      this.enter(entry, cell, k, set);
      const next = pool[e + 1];
      if (next) [pool[e], pool[e + 1]] = [next, entry];
      return true;
    }
    return false;
  }

  private poolEntry(rows: RowSet): PoolEntry {
    const { lp, lo, hi } = this.rungs;
    const multipliers = lp.multipliers.slice(0, rows.list.length);
    const { coefficient, limit, magnitude } = rows.combine(multipliers);
    const gains = coefficient.map((c, i) => leastOn(c, 0, lo[i]!, hi[i]!));
    const summed = gains.reduce((sum, gain) => sum - gain, magnitude);
    return { constant: -limit - ROUNDING_SHARE * summed, gains, ruled: new Map(), multipliers };
  }

  private enter(entry: PoolEntry, cell: number, k: number, set: number[]): void {
    const sets = entry.ruled.get(k) ?? [];
    if (sets.length === 0) {
      entry.ruled.set(k, sets);
      this.ruled.push({ cell, touched: k, sets, multipliers: entry.multipliers });
    }
    sets.push(set.slice());
  }

  /**
   * Fewest touched, then least cost. Level by level: a level whose every set is ruled out or tried empty
   * proves that more must be touched.
   */
  fewest(): LevelResult {
    const most = Math.min(this.problem.maxTouched, this.movable.length);
    for (let k = 1; k <= most && this.live.length > 0; k += 1) {
      const open = this.survey(k);
      const { answer, bound, empty } = this.cheapestOf(open, k);
      if (answer || this.effort.limit !== null) {
        // With the level ruled out in full just as the limit struck, what is known is that none is free.
        return { answer, bound: { touched: k, cost: Number.isFinite(bound) ? bound : 0 }, open };
      }
      for (const { set, cells } of empty) {
        for (const cell of cells) this.ruled.push({ cell, touched: k, sets: [set], multipliers: null });
      }
    }
    return { answer: null, bound: { touched: most, cost: Number.POSITIVE_INFINITY }, open: [] };
  }

  /** The cheapest answer among the open sets of a level, cheapest bound first. */
  private cheapestOf(open: readonly OpenSet[], touched: number) {
    let answer: Answer | null = null;
    let bound = this.unsurveyed;
    const empty: OpenSet[] = [];
    for (const set of open) {
      if (this.effort.limit !== null) {
        bound = Math.min(bound, set.bound);
        continue;
      }
      if (answer && set.bound >= answer.cost - COST_TOLERANCE) break;
      const found = this.cheapestIn(set, touched, { cutoff: answer?.cost });
      bound = Math.min(bound, Math.max(set.bound, found.bound));
      if (found.answer) answer = found.answer;
      else empty.push(set);
    }
    return { answer, bound, empty };
  }

  /** The cheapest answer that touches only this set: a small one's pours are tried, a larger one is searched. */
  cheapestIn({ set: free, cells }: OpenSet, touched: number, within: Within = {}): Found {
    if (isFew(this.problem, free)) {
      return tryAll(this.problem, this.effort, free, within.cutoff ?? Number.POSITIVE_INFINITY);
    }
    return this.rungs.best({ free, cells, touched, ...within });
  }

  /** The cheapest answer of all, any number touched up to the limit; or of a narrower quest. */
  cheapest(quest: Partial<Quest> = {}): Found {
    const all = { free: this.movable, touched: this.problem.maxTouched, cells: this.live };
    const { leaves, ...found } = this.rungs.best({ ...all, ...quest });
    if (!leaves) return found;
    return { ...found, leaves: { ...leaves, boxes: [...this.emptied, ...leaves.boxes] } };
  }
}

/** Last resort after a limit: dive for any acceptable choice with a small allowance of nodes, and of time. */
export function rescue(problem: SearchProblem, effort: Effort, outOfTime?: () => boolean): Answer | null {
  const last = new Effort(RESCUE_NODES, outOfTime);
  const { answer } = new LadderSearch(problem, last).cheapest({ stopAtFirst: true });
  effort.add(last);
  return answer;
}
