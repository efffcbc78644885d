/** A straight map from one axis's values to pixels. */
export interface LinearScale {
  (value: number): number;
  /** Pixels back to a value. */
  invert(px: number): number;
  readonly domain: readonly [number, number];
}

/**
 * The values of `domain` spread over the pixels of `range`. Two lines of arithmetic here spare the page a general
 * scale, with its colours and formats: a twentieth of its first load.
 */
export function linearScale(
  domain: readonly [number, number],
  range: readonly [number, number],
): LinearScale {
  const slope = (range[1] - range[0]) / (domain[1] - domain[0]);
  const scale = (value: number) => range[0] + (value - domain[0]) * slope;
  return Object.assign(scale, {
    invert: (px: number) => domain[0] + (px - range[0]) / slope,
    domain,
  });
}
