import type { Axis } from "./model.ts";

/** The three projections. */
export type PanelId = "sugar-acid" | "abv-acid" | "sugar-abv";

/** Where one projection is drawn, in pixels of the picture. */
export interface PanelBox {
  id: PanelId;
  x: Axis;
  y: Axis;
  /** The axis the panel looks along. */
  depth: Axis;
  left: number;
  top: number;
  width: number;
  height: number;
  /** The large one: its marks take the focus. */
  primary: boolean;
}

/** A graduated beam: the axis line of one or two panels. `side` is where it lies from its panel. */
export interface BeamBox {
  key: string;
  axis: Axis;
  side: "below" | "right" | "left";
  left: number;
  top: number;
  length: number;
}

/** Everything's place in a picture of a given width. */
export interface Layout {
  width: number;
  height: number;
  panels: PanelBox[];
  beams: BeamBox[];
  /** On a narrow screen, where one panel shows at a time: the third axis as a beam of its own. */
  depthBeam: BeamBox | null;
  /** Null on a narrow screen, where the legend is a picture of its own. */
  legend: { left: number; top: number; width: number } | null;
}

/** Below this width one panel shows at a time. */
export const WIDE_FROM_PX = 700;

/** Room for a beam with its graduations, numbers, weight and title. */
const BEAM_BELOW = 58;
const BEAM_SIDE = 68;
const PAD = 10;

const AXES_OF: Record<PanelId, readonly [Axis, Axis, Axis]> = {
  "sugar-acid": [0, 1, 2],
  "abv-acid": [2, 1, 0],
  "sugar-abv": [0, 2, 1],
};

/** The projections in reading order. */
export const PANEL_IDS: readonly PanelId[] = ["sugar-acid", "sugar-abv", "abv-acid"];

const clamp = (v: number, lo: number, hi: number) => Math.min(Math.max(v, lo), hi);

function panel(
  id: PanelId,
  left: number,
  top: number,
  width: number,
  height: number,
  primary: boolean,
): PanelBox {
  const [x, y, depth] = AXES_OF[id];
  return { id, x, y, depth, left, top, width, height, primary };
}

/**
 * Wide: the views of a drawing unfolded about a cross of two beams, so that each pair of neighbours shares
 * one (sugar and ABV between the rows, acid and ABV between the columns), with the legend in the fourth cell.
 * Narrow: the `shown` projection alone, and the axis it looks along as a third beam.
 * `legendHeight` is the height of the legend at a width.
 */
export function layoutFor(width: number, shown: PanelId, legendHeight: (width: number) => number): Layout {
  if (width >= WIDE_FROM_PX) {
    const room = width - 2 * PAD - BEAM_SIDE;
    const wide = Math.round(room * 0.6);
    const slim = room - wide;
    const tall = Math.round(clamp(wide * 0.76, 300, 600));
    const low = Math.round(Math.max(tall * 0.5, 190, legendHeight(slim)));
    const right = PAD + wide + BEAM_SIDE;
    const below = PAD + tall + BEAM_BELOW;
    return {
      width,
      height: below + low + PAD,
      panels: [
        panel("sugar-acid", PAD, PAD, wide, tall, true),
        panel("abv-acid", right, PAD, slim, tall, false),
        panel("sugar-abv", PAD, below, wide, low, false),
      ],
      beams: [
        { key: "sugar", axis: 0, side: "below", left: PAD, top: PAD + tall, length: wide },
        { key: "abv-x", axis: 2, side: "below", left: right, top: PAD + tall, length: slim },
        { key: "acid", axis: 1, side: "right", left: PAD + wide, top: PAD, length: tall },
        { key: "abv-y", axis: 2, side: "right", left: PAD + wide, top: below, length: low },
      ],
      depthBeam: null,
      legend: { left: right, top: below, width: slim },
    };
  }
  const left = BEAM_SIDE;
  const w = Math.max(width - left - PAD, 120);
  const h = Math.round(clamp(w * 1.08, 250, 480));
  const [x, y, depth] = AXES_OF[shown];
  const under = PAD + h + BEAM_BELOW;
  const depthTop = under + 26;
  return {
    width,
    height: depthTop + BEAM_BELOW,
    panels: [panel(shown, left, PAD, w, h, true)],
    beams: [
      { key: "x", axis: x, side: "below", left, top: PAD + h, length: w },
      { key: "y", axis: y, side: "left", left, top: PAD, length: h },
    ],
    depthBeam: { key: "depth", axis: depth, side: "below", left, top: depthTop, length: w },
    legend: null,
  };
}
