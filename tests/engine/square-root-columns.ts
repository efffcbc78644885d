import { eigenSymmetric3, mat3 } from "../../engine/linalg.ts";
import type { Mat3 } from "../../engine/types.ts";

/** Symmetric square root pieces: columns √λ·v of a positive semi-definite matrix, so that Σ cᵢcᵢᵀ = m. */
export function squareRootColumns3(m: Mat3): Mat3 {
  const { values, vectors } = eigenSymmetric3(m);
  return mat3((k, i) => Math.sqrt(Math.max(values[k], 0)) * vectors[k][i]);
}
