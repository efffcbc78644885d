import type { Item } from "./items.ts";
import type { PlacedLabel } from "./label-placement.ts";
import type { MapModel, XY } from "./model.ts";
import type { Box3, View } from "./shared-view.ts";

/** How a text is set, as far as its width depends on it. */
export interface TextStyle {
  px: number;
  italic?: boolean;
  bold?: boolean;
}

/** Where each panel's labels stood when they were last placed, relative to their marks, in pixels. */
export interface LabelMemory {
  /** True while labels must not move about: the ones known keep their places. */
  held: boolean;
  placed: Map<string, ReadonlyMap<string, PlacedLabel>>;
}

/** All a picture is drawn from, apart from its layout. */
export interface Scene {
  model: MapModel;
  items: readonly Item[];
  /** The drink the scales weigh; null on an empty bench. */
  hand: Item | null;
  home: Box3;
  view: View;
  /** The one item under the pointer or the focus, in every panel. */
  cursor: Item | null;
  /** Proposals drawn in full. */
  activeGhosts: ReadonlySet<string>;
  measure(text: string, style: TextStyle): number;
  /** Prefix for ids inside the SVG, unique on the page. */
  idPrefix: string;
  labels: LabelMemory;
}

/** Something the pointer can find in a panel, in pixels of the panel. */
export interface Hit {
  key: string;
  at: XY;
  /** Half-width and half-height of its box: a mark's is nearly nothing, a label's its size. */
  half: XY;
  /** Added to the distance: marks one can act on win over marks one can only read. */
  handicap: number;
}

/** How far from the pointer a mark may be: with it every mark is a target of at least 24 px. */
export const REACH_PX = 16;

/** The nearest thing within reach of a point of the panel. */
export function findHit(hits: readonly Hit[], [x, y]: XY): string | null {
  let best: string | null = null;
  let bestCost = REACH_PX;
  for (const hit of hits) {
    const dx = Math.max(0, Math.abs(x - hit.at[0]) - hit.half[0]);
    const dy = Math.max(0, Math.abs(y - hit.at[1]) - hit.half[1]);
    const distance = Math.hypot(dx, dy);
    if (distance <= REACH_PX - 2 && distance + hit.handicap < bestCost) {
      [best, bestCost] = [hit.key, distance + hit.handicap];
    }
  }
  return best;
}
