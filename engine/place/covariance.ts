import { AXIS_SCALE, perAxis } from "../axes.ts";
import type { Finished, MixModel } from "../dilution/model.ts";
import { compositionDoubts } from "../mix/composition-doubts.ts";
import type { DoubtShare, DoubtSource, Mat3, Vec3 } from "../types.ts";
import type { PreparedSpec } from "./prepare-spec.ts";
import { type Response, type Sensitivity, sensitivityOf } from "./sensitivity.ts";
import { doubtLabel } from "./words.ts";

/** Uncertainty of a finished drink. */
export interface PointUncertainty {
  covariance: Mat3;
  /**
   * Independent doubts, largest first (variances over the squared axis scales); they sum to the covariance.
   * Worked out when asked for.
   */
  doubts(): DoubtShare[];
  finishedVolumeSdMl: number;
}

/** An error of one standard deviation, independent of the others, and how it moves the drink. */
interface IndependentError {
  source: DoubtSource;
  moves: Response;
}

/**
 * Covariance of the point, first order (analytic), from independent doubts: each ingredient's
 * strength, sugars, acids and solids (an ingredient on two lines carries one doubt), each line's volume,
 * and the dilution ratio.
 *
 * @param dilutionRatioSd standard uncertainty of mL water per mL poured into the mix
 * @param finished what the model makes of these pours, where that is known already
 */
export function pointCovariance(
  { model, volumesMl, volumeSdsMl, volumeDoubts }: PreparedSpec,
  dilutionRatioSd: number,
  finished?: Finished,
): PointUncertainty {
  const at = sensitivityOf(model, volumesMl, finished);
  const errors: IndependentError[] = [];
  addCompositionErrors(errors, model, volumesMl, at);
  addVolumeErrors(errors, volumeSdsMl, volumeDoubts, at);
  if (dilutionRatioSd > 0) errors.push({ source: DILUTION, moves: scale(at.ratio, dilutionRatioSd) });
  let volumeVariance = 0;
  for (const { moves } of errors) volumeVariance += moves[3] * moves[3];
  return {
    covariance: sumOfSquares(errors),
    doubts: () => doubtShares(errors, model),
    finishedVolumeSdMl: Math.sqrt(volumeVariance),
  };
}

const DILUTION: DoubtSource = { kind: "dilution" };

/** An ingredient on two lines errs once, by what both pour. */
function addCompositionErrors(
  errors: IndependentError[],
  { ingredients, stages }: MixModel,
  volumesMl: readonly number[],
  at: Sensitivity,
): void {
  for (let line = 0; line < ingredients.length; line++) {
    const ingredient = ingredients[line]!;
    if (ingredients.indexOf(ingredient) < line) continue;
    let [mixMl, topMl] = [0, 0];
    for (let i = line; i < ingredients.length; i++) {
      if (ingredients[i] !== ingredient) continue;
      if (stages[i] === "mix") mixMl += volumesMl[i]!;
      else topMl += volumesMl[i]!;
    }
    for (const { source, change } of compositionDoubts(ingredient)) {
      errors.push({ source, moves: at.composition(change, mixMl, topMl) });
    }
  }
}

function addVolumeErrors(
  errors: IndependentError[],
  volumeSdsMl: readonly number[],
  volumeDoubts: readonly DoubtSource[],
  at: Sensitivity,
): void {
  const together = new Map<string, IndependentError>();
  volumeSdsMl.forEach((sd, line) => {
    if (sd === 0) return;
    const error = { source: volumeDoubts[line]!, moves: scale(at.pour(line), sd) };
    if (error.source.kind === "pour") errors.push(error);
    else {
      const id = doubtId(error.source);
      const before = together.get(id);
      together.set(id, before ? { ...error, moves: sum(before.moves, error.moves) } : error);
    }
  });
  errors.push(...together.values());
}

/** Σ m mᵀ over the three axes. Written out, as it runs for every drink placed. */
function sumOfSquares(errors: readonly IndependentError[]): Mat3 {
  let ss = 0;
  let sa = 0;
  let sv = 0;
  let aa = 0;
  let av = 0;
  let vv = 0;
  for (const { moves } of errors) {
    const [s, a, v] = moves;
    ss += s * s;
    sa += s * a;
    sv += s * v;
    aa += a * a;
    av += a * v;
    vv += v * v;
  }
  return [
    [ss, sa, sv],
    [sa, aa, av],
    [sv, av, vv],
  ];
}

function doubtShares(errors: readonly IndependentError[], model: MixModel): DoubtShare[] {
  const groups = new Map<string, IndependentError[]>();
  for (const error of errors) {
    const id = doubtId(error.source);
    groups.set(id, [...(groups.get(id) ?? []), error]);
  }
  const nameOf = (id: string) => model.ingredients.find((i) => i.id === id)?.name ?? id;
  const weight = (v: Vec3) => v.reduce((total, x, i) => total + x / AXIS_SCALE[i]! ** 2, 0);
  return [...groups]
    .map(([id, group]): DoubtShare => {
      const { source } = group[0]!;
      const covariance = sumOfSquares(group);
      const variance = perAxis((k) => covariance[k][k]);
      return { id, ...source, label: doubtLabel(source, nameOf), variance, covariance };
    })
    .filter((d) => weight(d.variance) > 0)
    .sort((a, b) => weight(b.variance) - weight(a.variance));
}

/** One id a source. */
export function doubtId({ kind, ingredient, unit }: DoubtSource): string {
  if (kind === "unit") return `unit:${unit}`;
  return ingredient === undefined ? kind : `${ingredient}:${kind}`;
}

const scale = (r: Response, k: number): Response => [r[0] * k, r[1] * k, r[2] * k, r[3] * k];
const sum = (a: Response, b: Response): Response => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];
