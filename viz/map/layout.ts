/** Where the plot and its three arms are drawn, in pixels of the picture. */
export interface Layout {
  width: number;
  height: number;
  plot: { left: number; top: number; width: number; height: number };
  /** The alcohol arm stands beside the plot, or lies under it where there is no room. */
  alcohol: { left: number; top: number; length: number; upright: boolean };
  /** Size of the usual text, px. */
  typePx: number;
}

/** Narrower than this, in characters of the usual text, the alcohol arm lies under the plot. */
const NARROW_EMS = 46;

/** Room for each part, in ems of the usual text. */
const LEFT_EMS = 5.3;
const BELOW_EMS = 4.4;
const BESIDE_EMS = 9;
const UNDER_EMS = 6.2;
const PAD_EMS = 0.9;

/**
 * One large plot of sugar against acid, its axes two graduated arms, and the third axis as an arm of its own:
 * standing at the right, or lying underneath on a narrow screen. `width` and `height` are of the whole picture.
 */
export function layoutFor(width: number, height: number, typePx: number): Layout {
  const upright = width >= NARROW_EMS * typePx;
  const em = (n: number) => Math.round(n * typePx);
  const left = em(LEFT_EMS);
  const top = em(PAD_EMS);
  const plotWidth = Math.max(120, width - left - em(upright ? BESIDE_EMS : PAD_EMS));
  const plotHeight = Math.max(120, height - top - em(BELOW_EMS) - (upright ? 0 : em(UNDER_EMS)));
  return {
    width,
    height,
    plot: { left, top, width: plotWidth, height: plotHeight },
    alcohol: upright
      ? { left: left + plotWidth + em(3.1), top, length: plotHeight, upright }
      : { left, top: top + plotHeight + em(BELOW_EMS + 2.4), length: plotWidth, upright },
    typePx,
  };
}
