import { METHODS } from "../dilution/methods.ts";
import { fail } from "../errors.ts";
import type { Glass, Placement, ServingIce, Spec } from "../types.ts";

/** Below this share of the wash line a drink looks lost in its glass (common practice, no published source). */
const LOW_SHARE = 0.6;

/** Floating ice pushes its own weight of drink aside: the density of ice, g/mL (0 °C, from memory). */
const ICE_G_PER_ML = 0.917;

/**
 * What the drink is served on: as the spec says; else crushed ice or cubes where it stays on the ice it was
 * mixed with, and cubes in a glass that usually holds them (common practice, no published source).
 */
export function servingIce(
  { method, servedOn }: Pick<Spec, "method" | "servedOn">,
  glass?: Glass,
): ServingIce {
  if (servedOn !== undefined) return servedOn;
  if (METHODS[method].staysOnIce) return method === "crushed" ? "crushed" : "cubes";
  const strained = method === "shaken" || method === "stirred" || method === "thrown";
  return strained && glass !== undefined && glass.iceMl > 0 ? "cubes" : "none";
}

/** How much finished drink brings a glass to its wash line, beside the ice it is served on, mL. */
export function roomInGlassMl(spec: Pick<Spec, "method" | "servedOn">, glass: Glass): number {
  return Math.max(0, glass.washLineMl - displacedMl(spec, glass));
}

function displacedMl(spec: Pick<Spec, "method" | "servedOn">, glass: Glass): number {
  return servingIce(spec, glass) === "none" ? 0 : ICE_G_PER_ML * glass.iceMl;
}

function failUnknown(glass: string, glasses: readonly Glass[]): never {
  const known = glasses.map((g) => g.id).join(", ");
  fail("/glass", `"${glass}" is not a glass we know`, `use one of ${known}`);
}

/**
 * How a drink fits its glass, the ice it is served on counted. `capacityMl` is the volume to the wash line,
 * `fillPercent` the share of it that drink and ice take.
 *
 * @throws EngineError when the glass is not among `glasses`
 */
export function washLineFit(
  spec: Pick<Spec, "method" | "servedOn"> & { glass: string },
  glasses: readonly Glass[],
  finishedVolumeMl: number,
): NonNullable<Placement["washLine"]> {
  const glass = glasses.find((g) => g.id === spec.glass) ?? failUnknown(spec.glass, glasses);
  const iceMl = displacedMl(spec, glass);
  const filledMl = finishedVolumeMl + iceMl;
  const over = filledMl - glass.washLineMl;
  let verdict: string;
  if (filledMl > glass.brimMl) {
    verdict = `overflows by ${(filledMl - glass.brimMl).toFixed(0)} mL`;
  } else if (over > 1) {
    verdict = `${over.toFixed(0)} mL above the wash line: hard to carry`;
  } else if (filledMl < LOW_SHARE * glass.washLineMl) {
    verdict = `sits low, ${(-over).toFixed(0)} mL below the wash line`;
  } else if (over >= -1) {
    verdict = "reaches the wash line";
  } else {
    verdict = `fits, ${(-over).toFixed(0)} mL below the wash line`;
  }
  if (iceMl > 0) verdict += `, counting ${iceMl.toFixed(0)} mL of ice in the drink`;
  return {
    glass: glass.id,
    name: glass.name,
    capacityMl: glass.washLineMl,
    fillPercent: (100 * filledMl) / glass.washLineMl,
    iceMl,
    verdict,
  };
}
