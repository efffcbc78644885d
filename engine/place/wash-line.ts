import { fail } from "../errors.ts";
import type { Glass, Method, Placement } from "../types.ts";

/** Below this share of the wash line a drink looks lost in its glass (common practice, no published source). */
const LOW_SHARE = 0.6;

/** Served on its ice, which takes room that a finished volume does not count. */
const ON_ICE: readonly Method[] = ["built", "crushed"];

/**
 * How a drink fits its glass. `capacityMl` is the volume to the wash line, `fillPercent` the share of it.
 *
 * @throws EngineError when the glass is not among `glasses`
 */
export function washLineFit(
  glassId: string,
  glasses: readonly Glass[],
  finishedVolumeMl: number,
  method: Method,
): NonNullable<Placement["washLine"]> {
  const glass = glasses.find((g) => g.id === glassId);
  if (glass === undefined) {
    fail(
      "/glass",
      `"${glassId}" is not a glass we know`,
      `use one of ${glasses.map((g) => g.id).join(", ")}`,
    );
  }
  const over = finishedVolumeMl - glass.washLineMl;
  let verdict: string;
  if (finishedVolumeMl > glass.brimMl) {
    verdict = `overflows by ${(finishedVolumeMl - glass.brimMl).toFixed(0)} mL`;
  } else if (over > 1) {
    verdict = `${over.toFixed(0)} mL above the wash line: hard to carry`;
  } else if (finishedVolumeMl < LOW_SHARE * glass.washLineMl) {
    verdict = `sits low, ${(-over).toFixed(0)} mL below the wash line`;
  } else if (over >= -1) {
    verdict = "reaches the wash line";
  } else {
    verdict = `fits, ${(-over).toFixed(0)} mL below the wash line`;
  }
  if (ON_ICE.includes(method)) verdict += " (before counting the ice it is served on)";
  return {
    glass: glass.id,
    name: glass.name,
    capacityMl: glass.washLineMl,
    fillPercent: (100 * finishedVolumeMl) / glass.washLineMl,
    verdict,
  };
}
