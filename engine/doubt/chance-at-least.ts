import { AXIS_SCALE } from "../axes.ts";
import { dot3, matVec3, subtract3 } from "../linalg.ts";
import { sobolPoints } from "../sobol-points.ts";
import { chiSquareCdf, normalCdf, normalQuantileFast } from "../stats.ts";
import { planeDistance } from "../targets/body.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { Mat3, Vec3 } from "../types.ts";
import { analyticProbability, doubtColumns } from "./probability-inside.ts";

/**
 * Stages of quasi-random draws, and how far from the asked chance the share of draws must be to decide by
 * itself. Over random targets and drinks the share of 512 Sobol points stayed within 0.02 of the integral and
 * that of 4096 within 0.005 (the tests repeat this); the stages ask for twice that and more.
 */
const STAGES = [
  { draws: 512, clear: 0.04 },
  { draws: 4096, clear: 0.012 },
] as const;

/** The draws as standard normal vectors, made once; every stage uses the first of them. */
let drawn: readonly Vec3[] | null = null;

function normalDraws(): readonly Vec3[] {
  drawn ??= sobolPoints(STAGES[1].draws, [0x2545f491, 0x9e3779b9, 0x85ebca6b]).map(
    (p): Vec3 => [normalQuantileFast(p[0]), normalQuantileFast(p[1]), normalQuantileFast(p[2])],
  );
  return drawn;
}

/**
 * Whether `analyticProbability(target, mean, covariance)` is at least `chance` (0–1), much cheaper where the
 * answer is clear: first bounds from single faces, then a fixed set of quasi-random draws, and the integral
 * only when those leave it open. Deterministic. Errors: as `analyticProbability`.
 */
export function chanceAtLeast(target: CompiledTarget, mean: Vec3, covariance: Mat3, chance: number): boolean {
  const columns = doubtColumns(mean, covariance);
  const [least, most] = boundsByFace(target, mean, columns);
  if (most < chance) return false;
  if (least >= chance) return true;
  for (const { draws, clear } of STAGES) {
    const share = shareInside(target, mean, columns, draws, 1 - chance + clear);
    if (Math.abs(share - chance) > clear) return share > chance;
  }
  return analyticProbability(target, mean, covariance).analytic >= chance;
}

/** Share of the first `draws` inside; 0 as soon as more than the share `mostOutside` of them are out. */
function shareInside(
  target: CompiledTarget,
  mean: Vec3,
  columns: readonly Vec3[],
  draws: number,
  mostOutside: number,
): number {
  const offsets = columns.map(
    (c): Vec3 => [c[0] * AXIS_SCALE[0], c[1] * AXIS_SCALE[1], c[2] * AXIS_SCALE[2]],
  );
  const all = normalDraws();
  let outside = 0;
  for (let i = 0; i < draws; i++) {
    const z = all[i]!;
    let [s, a, v] = mean;
    for (let k = 0; k < offsets.length; k++) {
      const offset = offsets[k]!;
      s += z[k]! * offset[0];
      a += z[k]! * offset[1];
      v += z[k]! * offset[2];
    }
    if (!target.contains([s, a, v])) {
      outside++;
      if (outside > mostOutside * draws) return 0;
    }
  }
  return 1 - outside / draws;
}

/**
 * Bounds on the chance of being inside. Above: the chance of being on the right side of the worst single
 * face, an ellipsoid's being its tangent plane towards the mean. Below: one less the chances of being out
 * by each face (Boole), an ellipsoid's from the largest ball of standard draws that stays in it.
 */
function boundsByFace(target: CompiledTarget, mean: Vec3, columns: readonly Vec3[]): [number, number] {
  const u: Vec3 = [mean[0] / AXIS_SCALE[0], mean[1] / AXIS_SCALE[1], mean[2] / AXIS_SCALE[2]];
  let out = 0;
  let most = 1;
  /** Chance of normal·x ≤ offset, given how much of it is left at the mean. */
  const below = (normal: Vec3, left: number): number => {
    const size = Math.hypot(...columns.map((c) => dot3(normal, c)));
    return size > 0 ? normalCdf(left / size) : left >= 0 ? 1 : 0;
  };
  for (const plane of target.scaled.ownPlanes) {
    const p = below(plane.normal, -planeDistance(plane, u));
    out += 1 - p;
    most = Math.min(most, p);
  }
  for (const e of target.scaled.ellipsoids) {
    const d = subtract3(u, e.mean);
    const slope = matVec3(e.gauge, d);
    const gauge = Math.sqrt(Math.max(dot3(d, slope), 0));
    most = Math.min(most, below(slope, gauge - gauge * gauge));
    const stretch = columns.reduce((sum, c) => sum + dot3(c, matVec3(e.gauge, c)), 0);
    out += gauge < 1 && stretch > 0 ? 1 - chiSquareCdf((1 - gauge) ** 2 / stretch, 3) : gauge > 1 ? 1 : 0;
  }
  return [1 - out, most];
}
