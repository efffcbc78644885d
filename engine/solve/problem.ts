import { rungsBetween } from "../amounts/ladder.ts";
import { AXIS_INDICES, AXIS_SCALE } from "../axes.ts";
import { createMixModel, type Finished, type MixModel } from "../dilution/model.ts";
import { EngineError, type FieldIssue, under } from "../errors.ts";
import { MEASURE_IDS } from "../ids.ts";
import { LEAST_DRIFT, MOST_DRIFT } from "../limits.ts";
import { dot3, invert3, matVec3, subtract3 } from "../linalg.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import { type PreparedSpec, prepareSpec } from "../place/prepare-spec.ts";
import { type CompiledTarget, compileTarget } from "../targets/compile-target.ts";
import { MEMBERSHIP_TOLERANCE } from "../tolerances.ts";
import type { HalfSpace, Ingredient, Mat3, MeasureId, Role, TargetSpec, Vec3 } from "../types.ts";
import { lowerFirst } from "../wording.ts";
import { LeastChangeLp } from "./lp.ts";
import type { SolveRequest } from "./request.ts";
import { RowSet } from "./rows.ts";
import type { SearchProblem } from "./search.ts";
import { type VolumeBounds, VolumeEnclosure } from "./volume-bounds.ts";

/** Without a bound an amount may grow to twice itself plus this many mL, by role. */
const DEFAULT_ROOM_ML: Partial<Record<Role, number>> = { bitters: 5, acid: 10, sugar: 20 };
const DEFAULT_ROOM_OTHER_ML = 60;
/** Ice water is enclosed to within this share of the mix in each cell. */
const CELL_SHARE = 0.002;
const MAX_CELLS = 24;
/** A sub-box narrows the enclosure when its range of strength is this share of the last. */
const WORTH_NARROWING = 0.7;
const DEFAULT_NODE_LIMIT = 200_000;
/** Rows let points in by this share of the membership tolerance more than the true test does. */
const ROW_TOLERANCE = 2 * MEMBERSHIP_TOLERANCE;
/** A curved face must be overstepped by this share of its radius for a new cut to pay. */
const WORTH_CUTTING = 1e-5;
const MAX_CUTS = 60;

/** One amount that may change. */
export interface Variable {
  /** The ingredient's id, with "#2" for its second line in the spec. */
  key: string;
  ingredient: Ingredient;
  /** The name without its qualifiers, in lower case, when that is clear within this drink. */
  shortName: string;
  fromMl: number;
  minMl: number;
  maxMl: number;
  /** An addition may be left out, or let in with at least this much. */
  leastIfPouredMl: number;
  locked: boolean;
  /** Spec line, or null for an addition. */
  line: number | null;
  stage: "mix" | "top";
}

/** A row of the relaxation that is not a face of the target. */
interface PlainRow {
  name: string;
  label: string;
  /** Σ coefficient·x ≤ limit, plus volumeFactor × finished volume on the left. */
  coefficient: Float64Array;
  volumeFactor: number;
  limit: number;
}

/** A half-space n·point ≤ h as the row 100·n·u(x) − h·V(x) ≤ 0. */
interface FaceRow {
  name: string;
  label: string;
  half: HalfSpace;
  /** 100·n·u per mL. */
  coefficient: Float64Array;
  /** h with the row tolerance, less the request's shrink. */
  offset: number;
}

/** An ellipsoid √((p−mean)ᵀ inverse (p−mean)) ≤ radius of one of the regions. */
interface Curve {
  id: string;
  region: number;
  mean: Vec3;
  inverse: Mat3;
  radius: number;
  label: string;
}

/**
 * The half-space that touches an ellipsoid where the ray from its middle to p leaves it, or null when p is
 * no further out than 1 + `share` radii. It contains the ellipsoid and, for share > 0, not p.
 */
export function tangentPlane(curve: Curve, p: Vec3, share: number): HalfSpace | null {
  const d = subtract3(p, curve.mean);
  const weighted = matVec3(curve.inverse, d);
  const gauge = Math.sqrt(dot3(weighted, d));
  if (!(gauge > curve.radius * (1 + share))) return null;
  const normal: Vec3 = [weighted[0] / gauge, weighted[1] / gauge, weighted[2] / gauge];
  return {
    id: `${curve.id}:tangent`,
    normal,
    offset: dot3(normal, curve.mean) + curve.radius,
    label: curve.label,
  };
}

/** A request read, checked and turned into numbers. */
export interface Problem {
  request: SolveRequest;
  prepared: PreparedSpec;
  model: MixModel;
  variables: Variable[];
  from: Float64Array;
  measure: MeasureId;
  maxTouched: number;
  /** The target asked for. */
  target: CompiledTarget;
  /** The target, the drift ball and any extra part: a finished drink must be inside each. */
  regions: CompiledTarget[];
  /** The regions' curved parts. */
  curves: Curve[];
  firstPoint: Vec3;
  faces: FaceRow[];
  plain: PlainRow[];
  enclosure: VolumeEnclosure;
  /** Together they hold every drink; each a range of the mix's strength. */
  cells: {
    from: number;
    to: number;
    bounds: VolumeBounds;
    rows: RowSet;
  }[];
  search: SearchProblem;
  /** True test of changes (mL by variable); the finished drink when everything holds. */
  finishIfAccepted(delta: ArrayLike<number>): Finished | null;
  volumes(delta: ArrayLike<number>): number[];
  labelOf(row: string): string;
}

/** The hook's margin for a face of the target; it says nothing about the drift ball and other regions. */
export function shrinkOf(request: SolveRequest, region: number, normal: Vec3): number {
  return region === 0 ? (request.shrink?.(normal) ?? 0) : 0;
}

/** Weight per mL of change by variable, or null when the measure needs another target (drift). */
function weightsFor(measure: MeasureId, variables: Variable[], request: SolveRequest): Float64Array {
  const total = variables.reduce((s, v) => s + v.fromMl, 0);
  return Float64Array.from(variables, (v) => {
    if (measure === "relative") return 1 / (v.fromMl > 0 ? v.fromMl : total);
    if (measure === "cost") return v.locked ? 0 : request.prices!.get(v.ingredient.id)! / 1000;
    return 1;
  });
}

/**
 * Read a request: check every field, fix variables, ranges and rows, and enclose the finished volume.
 *
 * @param extraRegion a further part of the target (the drift measure narrows its ball this way)
 * @throws EngineError naming each bad field and its remedy
 */
export function readProblem(request: SolveRequest, extraRegion?: TargetSpec): Problem {
  const { now, timeBudgetMs } = request;
  const start = now?.() ?? 0;
  const { prepared, variables, measure, maxTouched } = readVariables(request);
  const { pantry } = request;
  const from = Float64Array.from(variables, (v) => v.fromMl);
  const model =
    variables.length === prepared.volumesMl.length
      ? prepared.model
      : createMixModel(variables, request.spec.method, request.spec.dilution, [...from]);

  const firstPoint = request.firstRound
    ? under("/firstRound", () => {
        const first = prepareSpec(request.firstRound!, pantry, { unitSettings: request.unitSettings });
        return first.model.finish(first.volumesMl).point;
      })
    : prepared.model.finish(prepared.volumesMl).point;

  const target = compileTarget(request.target, "/target");
  const parts: TargetSpec[] = [];
  if (request.driftBudget !== undefined) parts.push(driftBall(firstPoint, request.driftBudget));
  if (extraRegion) parts.push(extraRegion);
  // Compiled apart, so that a ball that misses the target is an outcome and not a malformed target.
  const regions = [target, ...parts.map((part) => compileTarget(part))];

  const low = Float64Array.from(variables, (v) => (v.locked ? v.fromMl : v.minMl));
  const high = Float64Array.from(variables, (v) => (v.locked ? v.fromMl : v.maxMl));
  const enclosure = new VolumeEnclosure(model);
  /** More than any finished drink within the ranges holds, ice included. */
  const mostMl = 3 * high.reduce((sum, x) => sum + x, 0);
  const n = variables.length;
  const content = model.coeffs.map((c): Vec3 => [c.sugarG, c.acidCitricEqG, c.ethanolMl]);
  const faces: FaceRow[] = [];
  const addFace = (half: HalfSpace, region: number) => {
    const { normal } = half;
    const scaled = Math.hypot(
      normal[0] * AXIS_SCALE[0],
      normal[1] * AXIS_SCALE[1],
      normal[2] * AXIS_SCALE[2],
    );
    const offset = half.offset + ROW_TOLERANCE * scaled - shrinkOf(request, region, normal);
    const coefficient = Float64Array.from(content, (u) => 100 * dot3(normal, u));
    faces.push({ name: half.id, label: half.label, half, coefficient, offset });
  };
  regions.forEach((region, r) => {
    for (const half of region.halfSpaces) addFace({ ...half, id: faceName(half.id, r) }, r);
    if (region.isPolyhedral) return;
    for (const half of boxFaces(region)) addFace({ ...half, id: faceName(half.id, r) }, r);
  });

  const curves = regions.flatMap((region, r) =>
    region.ellipsoids.map(
      ({ id, mean, covariance, radius }): Curve => ({
        id: faceName(id, r),
        region: r,
        mean,
        inverse: invert3(covariance)!,
        radius,
        label: `the edge of ${region.name}`,
      }),
    ),
  );
  const choices = variables.map((v) => {
    if (v.locked) return Float64Array.of(0);
    const rungs = rungsBetween(v.minMl, v.maxMl, request.ladder, v.ingredient, request.unitSettings);
    const pourable = rungs.filter((ml) => ml === 0 || ml >= v.leastIfPouredMl - 1e-9);
    const changes = pourable.map((ml) => (Math.abs(ml - v.fromMl) < 1e-6 ? 0 : ml - v.fromMl));
    if (!changes.includes(0)) changes.push(0);
    return Float64Array.from(changes).sort();
  });

  // Nothing in the glass meets every other row, so say that something is: at least the smallest pour.
  const leastMl = choices.reduce(
    (least, c, i) => c.reduce((l, d) => (from[i]! + d > 1e-9 ? Math.min(l, from[i]! + d) : l), least),
    Number.POSITIVE_INFINITY,
  );
  const plain = plainRows(request, variables);
  plain.push({
    name: "poured",
    label: "something in the glass",
    coefficient: new Float64Array(n).fill(-1),
    volumeFactor: 0,
    limit: -leastMl,
  });
  const relaxed = plain.map((p) => ({
    ...p,
    limit: p.limit + ROW_TOLERANCE * (1 + Math.abs(p.volumeFactor)) * mostMl,
  }));
  const cells: Problem["cells"] = [];
  const line = new Float64Array(n);
  /** Append coefficient·x + factor·V ≤ limit; V's lower bound keeps it true for factor > 0, the upper for < 0. */
  const putRow = (into: RowSet, bounds: VolumeBounds, row: Omit<PlainRow, "label">) => {
    const { coefficient, volumeFactor: factor } = row;
    const volume = factor > 0 ? bounds.lower : bounds.upper;
    let b = row.limit - factor * (factor > 0 ? bounds.lower0 : bounds.upper0);
    for (let i = 0; i < n; i += 1) {
      const a = coefficient[i]! + (factor === 0 ? 0 : factor * volume[i]!);
      line[i] = a;
      b -= a * from[i]!;
    }
    into.add(row.name, line, b);
  };
  const put = (into: RowSet, bounds: VolumeBounds, { name, coefficient, offset }: FaceRow) =>
    putRow(into, bounds, { name, coefficient, volumeFactor: -offset, limit: 0 });
  const { mixEthanol, mixPour } = enclosure;
  const strength = new Float64Array(n);
  const putStrength = (into: RowSet, bounds: VolumeBounds, name: string, e: number, sign: number) => {
    for (let i = 0; i < n; i += 1) strength[i] = sign * (mixEthanol[i]! - e * mixPour[i]!);
    putRow(into, bounds, { name, coefficient: strength, volumeFactor: 0, limit: 0 });
  };
  /** All rows of a cell, leaving out what the box alone ensures. Faces last: cuts are appended. */
  const fill = (
    into: RowSet,
    bounds: VolumeBounds,
    { from: e1, to: e2 }: Pick<Problem["cells"][number], "from" | "to">,
    inBox: readonly [number, number],
  ) => {
    into.clear();
    for (const row of relaxed) putRow(into, bounds, row);
    if (e1 > inBox[0]) putStrength(into, bounds, "strength-floor", e1, -1);
    if (e2 < inBox[1]) putStrength(into, bounds, "strength-ceiling", e2, 1);
    for (const face of faces) put(into, bounds, face);
  };

  const newBounds = (): VolumeBounds => ({
    upper: new Float64Array(n),
    upper0: 0,
    lower: new Float64Array(n),
    lower0: 0,
  });
  const whole = enclosure.strengthRange(low, high);
  const lp = new LeastChangeLp(n);
  const weight = weightsFor(measure, variables, request);
  const movable = variables.map((_, i) => i).filter((i) => high[i]! > low[i]!);
  const loDelta = Float64Array.from(low, (x, i) => x - from[i]!);
  const hiDelta = Float64Array.from(high, (x, i) => x - from[i]!);
  const width = enclosure.cellWidth(CELL_SHARE);
  const divide = (e1: number, e2: number, room: number) => {
    const bounds = newBounds();
    enclosure.enclose([e1, e2], low, high, bounds);
    const rows = new RowSet(n);
    const cell = { from: e1, to: e2, bounds, rows };
    fill(rows, bounds, cell, whole);
    const empty = lp.solve(rows, movable, loDelta, hiDelta, weight) === "infeasible";
    if (empty || e2 - e1 <= width || room <= 1) {
      cells.push(cell);
      return;
    }
    const middle = (e1 + e2) / 2;
    divide(e1, middle, room / 2);
    divide(middle, e2, room / 2);
  };
  divide(whole[0], Math.min(1, whole[1]), MAX_CELLS);

  const volumes = (delta: ArrayLike<number>): number[] =>
    variables.map((v, i) => {
      const ml = v.fromMl + delta[i]!;
      return ml < 1e-9 ? 0 : ml;
    });
  const finishIfAccepted = (delta: ArrayLike<number>): Finished | null => {
    const x = volumes(delta);
    if (!isDrink(x)) return null;
    const finished = model.finish(x);
    if (!plain.every((p) => holds(p, x, finished.finishedVolumeMl))) return null;
    if (!regions.every((region) => region.contains(finished.point))) return null;
    return request.extraAccept && !request.extraAccept(x, finished) ? null : finished;
  };

  let cuts = 0;
  const cut = (delta: Float64Array): boolean => {
    if (cuts >= MAX_CUTS) return false;
    const x = volumes(delta);
    if (!isDrink(x)) return false;
    const { point } = model.finish(x);
    const before = cuts;
    for (const curve of curves) {
      // With a margin asked of the face, a drink inside the curve may still be cut off by it.
      const half = tangentPlane(curve, point, -1);
      if (half === null) continue;
      const edge = half.offset - shrinkOf(request, curve.region, half.normal);
      if (!(dot3(half.normal, point) > edge + WORTH_CUTTING * curve.radius)) continue;
      cuts += 1;
      addFace({ ...half, id: `${curve.id}:cut-${cuts}` }, curve.region);
      for (const cell of cells) put(cell.rows, cell.bounds, faces.at(-1)!);
    }
    return cuts > before;
  };

  const boxLow = new Float64Array(n);
  const boxHigh = new Float64Array(n);
  const narrowed = newBounds();
  const tighten = (index: number, lo: Float64Array, hi: Float64Array, into: RowSet) => {
    const cell = cells[index]!;
    for (let i = 0; i < n; i += 1) {
      boxLow[i] = from[i]! + lo[i]!;
      boxHigh[i] = from[i]! + hi[i]!;
    }
    const inBox = enclosure.strengthRange(boxLow, boxHigh);
    const e1 = Math.max(cell.from, inBox[0]);
    const e2 = Math.min(cell.to, inBox[1]);
    if (e1 > e2) {
      into.clear();
      into.add("strength-floor", new Float64Array(n), -1);
      return;
    }
    const narrower = e2 - e1 < WORTH_NARROWING * (cell.to - cell.from);
    if (narrower) enclosure.enclose([e1, e2], boxLow, boxHigh, narrowed);
    fill(into, narrower ? narrowed : cell.bounds, cell, inBox);
  };

  const search: SearchProblem = {
    size: n,
    choices,
    weight,
    maxTouched,
    cells: cells.map((cell) => cell.rows),
    accept: (delta) => finishIfAccepted(delta) !== null,
    nodeLimit: request.nodeLimit ?? DEFAULT_NODE_LIMIT,
    ...(enclosure.bent && { tighten }),
    ...(curves.length > 0 && { cut }),
    ...(now && timeBudgetMs !== undefined && { outOfTime: () => now() - start >= timeBudgetMs }),
  };

  const labels = new Map<string, string>([
    ["strength-floor", "the mix's least strength in this cell"],
    ["strength-ceiling", "the mix's most strength in this cell"],
    ...plain.map((p): [string, string] => [p.name, p.label]),
  ]);
  const labelOf = (row: string) => labels.get(row) ?? faces.find((f) => f.name === row)?.label ?? row;
  return {
    request,
    prepared,
    model,
    variables,
    from,
    measure,
    maxTouched,
    target,
    regions,
    curves,
    firstPoint,
    faces,
    plain,
    enclosure,
    cells,
    search,
    finishIfAccepted,
    volumes,
    labelOf,
  };
}

const faceName = (id: string, region: number) => (region === 0 ? id : `drift-${region}:${id}`);

/** Something is poured that the model can place. */
export function isDrink(x: readonly number[]): boolean {
  return x.some((ml) => ml >= SMALLEST_POUR_ML);
}

/** All points within `radius` axis-scale units of a point. */
export function driftBall(centre: Vec3, radius: number): TargetSpec {
  const [s, a, e] = AXIS_SCALE;
  return {
    kind: "ellipsoid",
    name: "the drift budget",
    mean: centre,
    covariance: [
      [s * s, 0, 0],
      [0, a * a, 0],
      [0, 0, e * e],
    ],
    radius,
  };
}

/** True when a plain row holds for the pours and their finished volume, to rounding. */
function holds(row: PlainRow, x: ArrayLike<number>, finishedMl: number): boolean {
  let left = row.volumeFactor * finishedMl;
  for (let i = 0; i < x.length; i += 1) left += row.coefficient[i]! * x[i]!;
  return left <= row.limit + 1e-9 * (1 + Math.abs(row.volumeFactor)) * finishedMl;
}

function boxFaces(region: CompiledTarget): HalfSpace[] {
  const [low, high] = region.boundingBox;
  const words = ["sugar", "acid", "ABV"];
  return AXIS_INDICES.flatMap((k) => {
    const unit = (sign: number): Vec3 => [k === 0 ? sign : 0, k === 1 ? sign : 0, k === 2 ? sign : 0];
    return [
      { id: `${words[k]}-least`, normal: unit(-1), offset: -low[k], label: `${words[k]} of ${region.name}` },
      { id: `${words[k]}-most`, normal: unit(1), offset: high[k], label: `${words[k]} of ${region.name}` },
    ];
  });
}

function plainRows(request: SolveRequest, variables: Variable[]): PlainRow[] {
  const rows: PlainRow[] = [];
  const zeros = () => new Float64Array(variables.length);
  /** A rule names an ingredient: all its lines count together. */
  const sumOf = (row: Float64Array, id: string, factor: number) => {
    variables.forEach((v, i) => {
      if (v.ingredient.id === id) row[i] = row[i]! + factor;
    });
    return row;
  };
  if (request.maxFinishedMl !== undefined) {
    rows.push({
      name: "glass",
      label: "the glass",
      coefficient: zeros(),
      volumeFactor: 1,
      limit: request.maxFinishedMl,
    });
  }
  request.character?.forEach((rule, i) => {
    const name = variables.find((v) => v.ingredient.id === rule.ingredient)!.shortName;
    if (rule.minSharePercent !== undefined) {
      rows.push({
        name: `character-${i}-share`,
        label: `${name} at ${rule.minSharePercent} % of the glass`,
        coefficient: sumOf(zeros(), rule.ingredient, -100),
        volumeFactor: rule.minSharePercent,
        limit: 0,
      });
    }
    if (rule.atLeastAsMuchAs !== undefined) {
      const other = variables.find((v) => v.ingredient.id === rule.atLeastAsMuchAs)!.shortName;
      rows.push({
        name: `character-${i}-order`,
        label: `${name} at least as much as ${other}`,
        coefficient: sumOf(sumOf(zeros(), rule.ingredient, -1), rule.atLeastAsMuchAs, 1),
        volumeFactor: 0,
        limit: 0,
      });
    }
  });
  return rows;
}

/** Run a reader and put `pointer` in front of the pointers of what it throws. */
function readVariables(request: SolveRequest) {
  const { spec, pantry } = request;
  const prepared = under("/spec", () => prepareSpec(spec, pantry, { unitSettings: request.unitSettings }));
  const issues: FieldIssue[] = [];
  const bad = (pointer: string, detail: string, remedy: string) => issues.push({ pointer, detail, remedy });

  const seen = new Map<string, number>();
  const variables: Variable[] = spec.lines.map((line, i) => {
    const count = (seen.get(line.ingredient) ?? 0) + 1;
    seen.set(line.ingredient, count);
    return {
      key: count === 1 ? line.ingredient : `${line.ingredient}#${count}`,
      ingredient: prepared.model.ingredients[i]!,
      shortName: "",
      fromMl: prepared.volumesMl[i]!,
      minMl: 0,
      maxMl: 0,
      leastIfPouredMl: 0,
      locked: false,
      line: i,
      stage: prepared.model.stages[i]!,
    };
  });
  request.additions?.forEach((id, i) => {
    const ingredient = pantry.get(id);
    if (!ingredient) {
      bad(`/additions/${i}`, `"${id}" is not in the pantry`, "choose an ingredient of the pantry, or add it");
      return;
    }
    if (seen.has(id)) return;
    seen.set(id, 1);
    variables.push({
      key: id,
      ingredient,
      shortName: "",
      fromMl: 0,
      minMl: 0,
      maxMl: 0,
      leastIfPouredMl: 0,
      locked: false,
      line: null,
      stage: ingredient.addAfterDilution ? "top" : "mix",
    });
  });
  const brief = variables.map((v) => withinSentence(v.ingredient.name.split(/ ?[,(]/)[0]!.trim()));
  variables.forEach((v, i) => {
    const clear = brief.every(
      (b, j) => j === i || b !== brief[i] || variables[j]!.ingredient === v.ingredient,
    );
    v.shortName = clear ? brief[i]! : withinSentence(v.ingredient.name);
  });
  const inDrink = (id: string) => seen.has(id);
  const notHere = (id: string) => `"${id}" is neither in the spec nor among the additions`;
  const pick = "use the id of one of the spec's lines or of an addition";

  for (const v of variables)
    v.maxMl = 2 * v.fromMl + (DEFAULT_ROOM_ML[v.ingredient.role] ?? DEFAULT_ROOM_OTHER_ML);
  request.locks?.forEach((id, i) => {
    if (!inDrink(id)) bad(`/locks/${i}`, notHere(id), pick);
    for (const v of variables) if (v.ingredient.id === id) v.locked = true;
  });
  /** Several bounds on one ingredient hold together. */
  const limits = new Map<string, { at: string; minMl: number | undefined; maxMl: number | undefined }>();
  request.bounds?.forEach((bound, i) => {
    const at = `/bounds/${i}`;
    if (!inDrink(bound.ingredient)) bad(`${at}/ingredient`, notHere(bound.ingredient), pick);
    for (const key of ["minMl", "maxMl"] as const) {
      const ml = bound[key];
      if (ml !== undefined && !(ml >= 0 && ml < Number.POSITIVE_INFINITY)) {
        bad(
          `${at}/${key}`,
          `${ml} is not a finite volume of at least 0 mL`,
          "give a volume in mL, or leave it out",
        );
        return;
      }
    }
    const known = limits.get(bound.ingredient);
    limits.set(bound.ingredient, {
      at,
      minMl: tighter(Math.max, known?.minMl, bound.minMl),
      maxMl: tighter(Math.min, known?.maxMl, bound.maxMl),
    });
  });
  for (const [id, { at, minMl, maxMl }] of limits) {
    if (minMl !== undefined && maxMl !== undefined && minMl > maxMl) {
      bad(`${at}/minMl`, `the least (${minMl} mL) is above the most (${maxMl} mL)`, "swap or widen the two");
      continue;
    }
    for (const v of variables) {
      if (v.ingredient.id !== id) continue;
      // A least beyond the usual range asks for more than the usual range.
      v.maxMl = maxMl ?? Math.max(v.maxMl, 2 * (minMl ?? 0));
      if (v.line === null) {
        v.leastIfPouredMl = minMl ?? 0;
        continue;
      }
      if (minMl !== undefined && v.fromMl < minMl - 1e-9) {
        bad(
          `${at}/minMl`,
          `${v.ingredient.name} is ${round(v.fromMl)} mL now, below its least of ${minMl} mL`,
          "raise the line first, or lower the bound",
        );
      }
      if (maxMl !== undefined && v.fromMl > maxMl + 1e-9) {
        bad(
          `${at}/maxMl`,
          `${v.ingredient.name} is ${round(v.fromMl)} mL now, above its most of ${maxMl} mL`,
          "lower the line first, or raise the bound",
        );
      }
      v.minMl = minMl ?? 0;
    }
  }

  const positive = (value: number | undefined, pointer: string, what: string, orZero = false) => {
    if (value === undefined) return;
    if (!(Number.isFinite(value) && (orZero ? value >= 0 : value > 0))) {
      bad(
        pointer,
        `${value} is not a finite ${what} ${orZero ? "of at least" : "above"} 0`,
        "correct it or leave it out",
      );
    }
  };
  positive(request.maxFinishedMl, "/maxFinishedMl", "volume in mL");
  const budget = request.driftBudget;
  if (budget !== undefined && !(budget >= LEAST_DRIFT && budget <= MOST_DRIFT)) {
    bad(
      "/driftBudget",
      `${budget} is not in ${LEAST_DRIFT}..${MOST_DRIFT} axis-scale steps`,
      "give a distance a pour can keep, or leave it out",
    );
  }
  positive(request.timeBudgetMs, "/timeBudgetMs", "time in ms");
  positive(request.nodeLimit, "/nodeLimit", "number of nodes");
  for (const [key, least] of [
    ["maxTouched", 0],
    ["count", 1],
  ] as const) {
    const value = request[key];
    if (value !== undefined && !(Number.isInteger(value) && value >= least)) {
      bad(
        `/${key}`,
        `${value} is not a whole number of at least ${least}`,
        "give a whole number, or leave it out",
      );
    }
  }
  request.character?.forEach((rule, i) => {
    const at = `/character/${i}`;
    if (!inDrink(rule.ingredient)) bad(`${at}/ingredient`, notHere(rule.ingredient), pick);
    const { minSharePercent: share, atLeastAsMuchAs: other } = rule;
    if (share === undefined && other === undefined) {
      bad(at, "the rule asks for nothing", "give minSharePercent or atLeastAsMuchAs");
    }
    if (share !== undefined && !(share >= 0 && share <= 100)) {
      bad(
        `${at}/minSharePercent`,
        `${share} is not in 0..100`,
        "give a share of the finished glass in percent",
      );
    }
    if (other !== undefined && !inDrink(other)) bad(`${at}/atLeastAsMuchAs`, notHere(other), pick);
  });
  const measure = request.measure ?? "fewest-then-volume";
  if (!MEASURE_IDS.includes(measure)) {
    bad("/measure", `"${String(measure)}" is not a measure`, `use one of ${MEASURE_IDS.join(", ")}`);
  }
  for (const [id, price] of request.prices ?? []) {
    if (!(price >= 0 && price < Number.POSITIVE_INFINITY)) {
      bad(`/prices/${id}`, `${price} is not a finite price of at least 0`, "give the price of a litre");
    }
  }
  if (measure === "cost") {
    for (const v of variables) {
      if (!v.locked && request.prices?.get(v.ingredient.id) === undefined) {
        bad(
          `/prices/${v.ingredient.id}`,
          `${v.ingredient.name} has no price`,
          "give its price per litre, or lock it",
        );
      }
    }
  }
  if (issues.length > 0) throw new EngineError(issues);
  return { prepared, variables, measure, maxTouched: request.maxTouched ?? variables.length };
}

/** The tighter of two limits, either of which may be left out. */
const tighter = (pick: (a: number, b: number) => number, a: number | undefined, b: number | undefined) =>
  a === undefined || b === undefined ? (a ?? b) : pick(a, b);

/** Lower case at the start, except for acronyms. */
const withinSentence = (name: string) => (/^[A-Z][a-z]/.test(name) ? lowerFirst(name) : name);

const round = (ml: number) => Math.round(ml * 100) / 100;
