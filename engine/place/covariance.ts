import { UNITS } from "../amounts/units.ts";
import { AXIS_SCALE } from "../axes.ts";
import type { MixModel } from "../dilution/model.ts";
import { compositionDoubts } from "../mix/composition-doubts.ts";
import type { DoubtShare, Mat3, UnitId, Vec3 } from "../types.ts";
import { type Response, scaledChange, sensitivityOf } from "./sensitivity.ts";

/** Uncertainty of a finished drink. */
export interface PointUncertainty {
  covariance: Mat3;
  /** Independent doubts, largest first (variances over the squared axis scales); they sum to the diagonal. */
  doubts: DoubtShare[];
  finishedVolumeSdMl: number;
}

const QUANTITY_WORDS = { abv: "ABV", sugar: "sugar", acid: "acid", solids: "solids" } as const;

/**
 * Covariance of the point, first order (analytic), from independent doubts: each ingredient's
 * strength, sugars, acids and solids (an ingredient on two lines carries one doubt), each line's volume,
 * and the dilution ratio.
 *
 * @param volumeSdsMl standard uncertainty per line, mL
 * @param dilutionRatioSd standard uncertainty of mL water per mL poured into the mix
 * @param volumeDoubtIds see `PreparedSpec`; default: every line errs on its own
 */
export function pointCovariance(
  model: MixModel,
  volumesMl: readonly number[],
  volumeSdsMl: readonly number[],
  dilutionRatioSd: number,
  volumeDoubtIds: readonly string[] = volumesMl.map(() => "pour"),
): PointUncertainty {
  const at = sensitivityOf(model, volumesMl);
  const groups = new Map<string, { label: string; covariance: number[][] }>();
  const covariance = zeros3();
  let volumeVariance = 0;

  /** One independent error of one standard deviation, moving the drink by `r`. */
  const add = (id: string, label: string, r: Response) => {
    const group = groups.get(id) ?? { label, covariance: zeros3() };
    groups.set(id, group);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        group.covariance[i]![j]! += r[i]! * r[j]!;
        covariance[i]![j]! += r[i]! * r[j]!;
      }
    }
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
      add(`${id}:${quantity}`, `${ingredient.name}: ${QUANTITY_WORDS[quantity]}`, r);
    }
  }

  const together = new Map<string, Response>();
  volumesMl.forEach((_, line) => {
    const sd = volumeSdsMl[line]!;
    if (sd === 0) return;
    const r = scale(at.pour(line), sd);
    const id = volumeDoubtIds[line]!;
    if (id === "pour") add(id, "pouring", r);
    else together.set(id, sum(together.get(id) ?? [0, 0, 0, 0], r));
  });
  for (const [id, r] of together) add(id, volumeLabel(id, model), r);

  if (dilutionRatioSd > 0) add("dilution", "water from ice", scale(at.ratio, dilutionRatioSd));

  const weight = (v: Vec3) => v.reduce((s, x, i) => s + x / AXIS_SCALE[i]! ** 2, 0);
  const doubts = [...groups]
    .map(([id, { label, covariance: c }]): DoubtShare => {
      return { id, label, variance: [c[0]![0]!, c[1]![1]!, c[2]![2]!], covariance: c as unknown as Mat3 };
    })
    .filter((d) => weight(d.variance) > 0)
    .sort((a, b) => weight(b.variance) - weight(a.variance));
  return {
    covariance: covariance as unknown as Mat3,
    doubts,
    finishedVolumeSdMl: Math.sqrt(volumeVariance),
  };
}

const zeros3 = (): number[][] => [
  [0, 0, 0],
  [0, 0, 0],
  [0, 0, 0],
];

function volumeLabel(id: string, model: MixModel): string {
  const [head, tail] = [id.slice(0, id.lastIndexOf(":")), id.slice(id.lastIndexOf(":") + 1)];
  if (head === "unit") return `size of a ${UNITS[tail as UnitId].label}`;
  const name = model.ingredients.find((i) => i.id === head)?.name ?? head;
  return tail === "piece" ? `${name}: size of a piece` : `${name}: ${tail}`;
}

const scale = (r: Response, k: number): Response => [r[0] * k, r[1] * k, r[2] * k, r[3] * k];
const sum = (a: Response, b: Response): Response => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];
