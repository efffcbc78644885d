import type { Vec3 } from "../types.ts";

/**
 * What a drink can hold, whatever the target says. Ceilings are the pure solids and pure ethanol: crystal
 * sucrose 1.587 g/mL and anhydrous citric acid 1.665 g/mL (handbook densities, from memory), rounded up.
 * Nearest points and drawings are kept inside it; it is never reported as a face.
 */
export const PHYSICAL_RANGE: readonly [Vec3, Vec3] = [
  [0, 0, 0],
  [160, 170, 100],
];

/**
 * Where served drinks live. Used only to give an open-ended target a middle: "acid at least 0.7" has none of
 * its own. A choice, wide enough for nearly every sour and its kin; a target wholly beyond it does without.
 */
export const SERVED_RANGE: readonly [Vec3, Vec3] = [
  [0, 0, 0],
  [16, 1.6, 40],
];
