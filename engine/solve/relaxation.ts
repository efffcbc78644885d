import { MEMBERSHIP_TOLERANCE } from "../tolerances.ts";
import { addTimes, product, setSum } from "../vectors.ts";
import { Affine } from "./affine.ts";
import {
  boxFaces,
  breachOf,
  type Constraint,
  type Constraints,
  excessOf,
  type Subject,
  scaleOf,
  tangentPlane,
} from "./constraint.ts";
import { isDrink, type Judge } from "./judge.ts";
import { LeastChangeLp } from "./lp.ts";
import { type Question, volumesAfter } from "./question.ts";
import type { PourBox } from "./request.ts";
import { RowSet } from "./rows.ts";
import type { SearchProblem } from "./search.ts";
import { emptyBounds, type VolumeBounds, VolumeEnclosure } from "./volume-bounds.ts";

/** Ice water is enclosed to within this share of the mix in each cell. */
const CELL_SHARE = 0.002;
const MAX_CELLS = 24;
/** A sub-box narrows the enclosure when its range of strength is this share of the last. */
const WORTH_NARROWING = 0.7;
/** Rows let points in by this share of the membership tolerance more than the true test does. */
const ROW_TOLERANCE = 2 * MEMBERSHIP_TOLERANCE;
/** A curved face must be overstepped by this share of its radius for a new cut to pay. */
const WORTH_CUTTING = 1e-5;
const MAX_CUTS = 60;

/** Rows that hold a cell's range of strength. */
const STRENGTH_LEAST = "strength-least";
const STRENGTH_MOST = "strength-most";

/** A constraint, loosened by the row tolerance. */
interface LooseConstraint extends Constraint {
  /** Its left side less its limit at the present pours, without the volume. */
  now: number;
}

/** A range of the mix's strength, with linear bounds on the finished volume there and the rows they give. */
export interface Cell {
  from: number;
  to: number;
  bounds: VolumeBounds;
  rows: RowSet;
}

/**
 * Linear rows that every acceptable drink satisfies: each constraint with the finished volume replaced by an
 * affine function above or below it. V depends on the strength of what is mixed with ice, so the range of
 * strength is cut into cells that together hold every drink.
 */
export class Relaxation implements SearchProblem {
  readonly size: number;
  readonly choices: readonly Float64Array[];
  readonly weight: Float64Array;
  readonly maxTouched: number;
  readonly keepsLeaves: boolean;
  readonly cells: Cell[] = [];

  private readonly enclosure: VolumeEnclosure;
  /** The rules, loosened. */
  private readonly rules: readonly LooseConstraint[];
  /** The faces and the cuts so far, loosened; cuts are appended. */
  private readonly faces: LooseConstraint[];
  private readonly from: Float64Array;
  /** The mix's strengths within the ranges. */
  private readonly whole: readonly [number, number];
  private cuts = 0;

  private readonly line: Affine;
  /** The box of pours at hand: the whole ranges while the cells are cut, then each node's. */
  private readonly box: { low: Float64Array; high: Float64Array };
  private readonly narrowed: VolumeBounds;
  private readonly nodeRows: RowSet;

  /** @param outOfTime true when it is time to stop cutting the range of strength into cells */
  constructor(
    private readonly question: Question,
    private readonly constraints: Constraints,
    private readonly judge: Judge,
    private readonly outOfTime: () => boolean = () => false,
  ) {
    const { variables, model } = question;
    const n = variables.length;
    this.size = n;
    this.choices = question.choices;
    this.weight = question.weight;
    this.maxTouched = question.maxTouched;
    this.keepsLeaves = question.request.leaves === true;
    this.enclosure = new VolumeEnclosure(model);
    this.from = Float64Array.from(variables, (v) => v.fromMl);
    this.box = {
      low: Float64Array.from(variables, (v) => v.minMl),
      high: Float64Array.from(variables, (v) => v.maxMl),
    };
    this.line = new Affine(new Float64Array(n));
    this.narrowed = emptyBounds(n);
    this.nodeRows = new RowSet(n);
    /** More than any finished drink within the ranges holds, ice included. */
    const mostMl = 3 * this.box.high.reduce((sum, x) => sum + x, 0);
    this.rules = constraints.rules.map((rule) =>
      this.loosened({
        ...rule,
        limit: rule.limit + ROW_TOLERANCE * (1 + Math.abs(rule.volumeFactor)) * mostMl,
      }),
    );
    this.faces = [...constraints.faces, ...boxFaces(constraints)].map((face) => this.looseFace(face));
    this.whole = this.enclosure.strengthRange(this.box);
    this.divide(this.whole, MAX_CELLS, new LeastChangeLp(n));
  }

  /** True test of changes on the true model. */
  accept(delta: Float64Array): boolean {
    return this.judge(delta) !== null;
  }

  /** How far from acceptable changes are, axis-scale units or shares of the glass; the further test left out. */
  breach(delta: Float64Array): number {
    const { model } = this.question;
    const x = volumesAfter(this.question, delta);
    if (!isDrink(x)) return Number.POSITIVE_INFINITY;
    const { point, finishedVolumeMl } = model.finish(x);
    let most = Number.NEGATIVE_INFINITY;
    for (const region of this.constraints.regions) most = Math.max(most, region.margin(point));
    for (const rule of this.constraints.rules) {
      const breach = breachOf(rule, x, finishedVolumeMl);
      if (breach > 0) most = Math.max(most, breach);
    }
    return most;
  }

  /** Rows valid in a cell for lo ≤ Δ ≤ hi, at least as tight as the cell's; overwritten by the next call. */
  rowsIn(index: number, lo: Float64Array, hi: Float64Array): RowSet {
    const { enclosure, from, box, nodeRows } = this;
    const cell = this.cells[index]!;
    if (!enclosure.bent && !this.question.request.shrink) return cell.rows;
    setSum(box.low, from, 1, lo);
    setSum(box.high, from, 1, hi);
    const inBox = enclosure.strengthRange(box);
    const [e1, e2] = [Math.max(cell.from, inBox[0]), Math.min(cell.to, inBox[1])];
    if (e1 > e2) {
      nodeRows.clear();
      nodeRows.add(STRENGTH_LEAST, new Float64Array(this.size), -1);
      return nodeRows;
    }
    // With a correction by heat the bounds depend on the box itself, not on its strengths alone.
    const narrower = enclosure.isHeld || e2 - e1 < WORTH_NARROWING * (cell.to - cell.from);
    if (narrower) this.enclose([e1, e2], this.narrowed);
    this.fill({ ...cell, rows: nodeRows, bounds: narrower ? this.narrowed : cell.bounds }, inBox, box);
    return nodeRows;
  }

  /** Cut a relaxed point off with tangent planes of the curved faces it oversteps; false when there are none. */
  cut(delta: Float64Array): boolean {
    const { curves } = this.constraints;
    if (curves.length === 0 || this.cuts >= MAX_CUTS) return false;
    const x = volumesAfter(this.question, delta);
    if (!isDrink(x)) return false;
    const { point, finishedVolumeMl } = this.question.model.finish(x);
    const before = this.cuts;
    for (const curve of curves) {
      const half = tangentPlane(curve, point, -1);
      if (half === null) continue;
      // With a margin asked of the face, a drink inside the curve may still be cut off by it.
      const id = `${curve.id}:cut-${this.cuts + 1}`;
      const plane = this.constraints.face({ ...half, id }, curve.region, curve.id);
      if (!(excessOf(plane, x, finishedVolumeMl) > WORTH_CUTTING * curve.radius * finishedVolumeMl)) continue;
      this.cuts += 1;
      const face = this.looseFace(plane);
      this.faces.push(face);
      for (const { rows, bounds } of this.cells) this.put(rows, bounds, face);
    }
    return this.cuts > before;
  }

  /** What a row of a cell or node is about. */
  subjectOf(row: string): Subject {
    const known = [...this.rules, ...this.faces].find((c) => c.id === row);
    return known?.subject ?? { role: "strength", side: row === STRENGTH_LEAST ? "least" : "most" };
  }

  /** Cut a range of strength into cells, except where the relaxation already shows that it holds nothing. */
  private divide([e1, e2]: readonly [number, number], room: number, lp: LeastChangeLp): void {
    const { question, enclosure, box, from } = this;
    const cell: Cell = { from: e1, to: e2, bounds: emptyBounds(this.size), rows: new RowSet(this.size) };
    this.enclose([e1, e2], cell.bounds);
    this.fill(cell, this.whole);
    const [lo, hi] = [box.low.slice(), box.high.slice()];
    addTimes(lo, -1, from);
    addTimes(hi, -1, from);
    const free = question.variables.flatMap((v, i) => (v.locked ? [] : [i]));
    const isEmpty = lp.solve(cell.rows, free, lo, hi, question.weight) === "infeasible";
    if (isEmpty || e2 - e1 <= enclosure.cellWidth(CELL_SHARE) || room <= 1 || this.outOfTime()) {
      this.cells.push(cell);
      return;
    }
    const middle = (e1 + e2) / 2;
    this.divide([e1, middle], room / 2, lp);
    this.divide([middle, e2], room / 2, lp);
  }

  /** All rows of a cell, leaving out what the box alone ensures. Faces last: cuts are appended. */
  private fill({ from, to, bounds, rows }: Cell, inBox: readonly [number, number], box?: PourBox): void {
    rows.clear();
    for (const rule of this.rules) this.put(rows, bounds, rule);
    if (from > inBox[0]) this.putStrength(rows, STRENGTH_LEAST, from, -1);
    if (to < inBox[1]) this.putStrength(rows, STRENGTH_MOST, to, 1);
    for (const face of this.faces) this.put(rows, bounds, box ? this.tightened(face, box) : face);
  }

  /** A face of the target, moved inwards as far as the hook says for a box of pours. */
  private tightened(face: LooseConstraint, box: PourBox): LooseConstraint {
    const { shrink } = this.question.request;
    if (!shrink || face.subject.role !== "target") return face;
    const { normal } = face.subject.face;
    const more = shrink(normal, box) - shrink(normal);
    return more > 0 ? { ...face, volumeFactor: face.volumeFactor + more } : face;
  }

  /** A constraint with V replaced: its lower bound keeps the row true for a factor above 0, the upper for one below. */
  private put(into: RowSet, { lower, upper }: VolumeBounds, c: LooseConstraint): void {
    const { line } = this;
    const volume = c.volumeFactor > 0 ? lower : upper;
    setSum(line.perMl, c.coefficient, c.volumeFactor, volume.perMl);
    line.fixed = c.now + c.volumeFactor * volume.fixed;
    this.putLine(into, c.id);
  }

  /** sign·(E − e·P) ≤ 0: the mix is no weaker (−1) or no stronger (1) than e. */
  private putStrength(into: RowSet, id: string, e: number, sign: 1 | -1): void {
    const { mixEthanol, mixPour } = this.enclosure;
    this.line
      .set(sign, mixEthanol)
      .add(-sign * e, mixPour)
      .recentre(this.from);
    this.putLine(into, id);
  }

  /** What the line gives of the changes is at most 0. */
  private putLine(into: RowSet, id: string): void {
    into.add(id, this.line.perMl, -this.line.fixed);
  }

  /** Linear bounds on the finished volume, as functions of the changes. */
  private enclose(strengths: readonly [number, number], out: VolumeBounds): void {
    this.enclosure.enclose(strengths, this.box, out);
    out.lower.recentre(this.from);
    out.upper.recentre(this.from);
  }

  /** A face moved outwards by the row tolerance. */
  private looseFace(face: Constraint): LooseConstraint {
    return this.loosened({ ...face, volumeFactor: face.volumeFactor - ROW_TOLERANCE * scaleOf(face) });
  }

  /** A loosened constraint as it is put into cells. */
  private loosened(c: Constraint): LooseConstraint {
    return { ...c, now: product(c.coefficient, this.from) - c.limit };
  }
}
