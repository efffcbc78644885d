import { AXIS_SCALE, perAxis } from "../axes.ts";
import type { MixModel } from "../dilution/model.ts";
import { addScaledMat3, mat3, outer3 } from "../linalg.ts";
import { compositionDoubts } from "../mix/composition-doubts.ts";
import type { DoubtShare, DoubtSource, Mat3, Vec3 } from "../types.ts";
import { type Response, scaledChange, sensitivityOf } from "./sensitivity.ts";
import { doubtLabel } from "./words.ts";

/** Uncertainty of a finished drink. */
export interface PointUncertainty {
  covariance: Mat3;
  /** Independent doubts, largest first (variances over the squared axis scales); they sum to the diagonal. */
  doubts: DoubtShare[];
  finishedVolumeSdMl: number;
}

/**
 * Covariance of the point, first order (analytic), from independent doubts: each ingredient's
 * strength, sugars, acids and solids (an ingredient on two lines carries one doubt), each line's volume,
 * and the dilution ratio.
 *
 * @param volumeSdsMl standard uncertainty per line, mL
 * @param dilutionRatioSd standard uncertainty of mL water per mL poured into the mix
 * @param volumeDoubts see `PreparedSpec`; default: every line errs on its own
 */
export function pointCovariance(
  model: MixModel,
  volumesMl: readonly number[],
  volumeSdsMl: readonly number[],
  dilutionRatioSd: number,
  volumeDoubts: readonly DoubtSource[] = volumesMl.map(() => ({ kind: "pour" })),
): PointUncertainty {
  const at = sensitivityOf(model, volumesMl);
  const groups = new Map<string, { source: DoubtSource; covariance: Mat3 }>();
  let volumeVariance = 0;

  /** One independent error of one standard deviation, moving the drink by `r`. */
  const add = (source: DoubtSource, r: Response) => {
    const id = doubtId(source);
    const before = groups.get(id)?.covariance ?? NO_DOUBT;
    groups.set(id, { source, covariance: addScaledMat3(before, 1, outer3([r[0], r[1], r[2]])) });
    volumeVariance += r[3] * r[3];
  };

  const volumesOf = new Map<string, { line: number; mix: number; top: number }>();
  model.ingredients.forEach((ingredient, line) => {
    const held = volumesOf.get(ingredient.id) ?? { line, mix: 0, top: 0 };
    held[model.stages[line]!] += volumesMl[line]!;
    volumesOf.set(ingredient.id, held);
  });
  for (const [id, { line, mix, top }] of volumesOf) {
    const ingredient = model.ingredients[line]!;
    for (const { quantity, change } of compositionDoubts(ingredient, model.coeffs[line]!)) {
      const r = at.change(scaledChange(change, mix), scaledChange(change, top));
      add({ kind: quantity, ingredient: id }, r);
    }
  }

  const together = new Map<string, { source: DoubtSource; r: Response }>();
  volumesMl.forEach((_, line) => {
    const sd = volumeSdsMl[line]!;
    if (sd === 0) return;
    const r = scale(at.pour(line), sd);
    const source = volumeDoubts[line]!;
    const id = doubtId(source);
    if (source.kind === "pour") add(source, r);
    else together.set(id, { source, r: sum(together.get(id)?.r ?? [0, 0, 0, 0], r) });
  });
  for (const { source, r } of together.values()) add(source, r);

  if (dilutionRatioSd > 0) add({ kind: "dilution" }, scale(at.ratio, dilutionRatioSd));

  const nameOf = (id: string) => model.ingredients.find((i) => i.id === id)?.name ?? id;
  const weight = (v: Vec3) => v.reduce((s, x, i) => s + x / AXIS_SCALE[i]! ** 2, 0);
  const doubts = [...groups]
    .map(([id, { source, covariance }]): DoubtShare => {
      const variance = perAxis((k) => covariance[k][k]);
      return { id, ...source, label: doubtLabel(source, nameOf), variance, covariance };
    })
    .filter((d) => weight(d.variance) > 0)
    .sort((a, b) => weight(b.variance) - weight(a.variance));
  return {
    covariance: [...groups.values()].reduce((all, g) => addScaledMat3(all, 1, g.covariance), NO_DOUBT),
    doubts,
    finishedVolumeSdMl: Math.sqrt(volumeVariance),
  };
}

const NO_DOUBT: Mat3 = mat3(() => 0);

/** One id a source. */
export function doubtId({ kind, ingredient, unit }: DoubtSource): string {
  if (kind === "unit") return `unit:${unit}`;
  return ingredient === undefined ? kind : `${ingredient}:${kind}`;
}

const scale = (r: Response, k: number): Response => [r[0] * k, r[1] * k, r[2] * k, r[3] * k];
const sum = (a: Response, b: Response): Response => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];
