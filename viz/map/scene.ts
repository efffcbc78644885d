import type { EdgeName } from "./edge-name.ts";
import type { Item } from "./items.ts";
import type { LabelWish, PlacedLabel } from "./label-placement.ts";
import type { Layout } from "./layout.ts";
import type { LinearScale } from "./linear-scale.ts";
import type { LayerName, MapModel, XY } from "./model.ts";

/** How a text is set, as far as its width depends on it. */
export interface TextStyle {
  px: number;
  bold?: boolean;
}

/** What a label says and of whom. */
export interface Said {
  text: string;
  kind: "round" | "number" | "ghost" | "classic" | "family" | "beside" | "cursor" | "other" | "you" | "pull";
  /** The item it belongs to, for the pointer. */
  item: string | null;
}

/** A label that is wanted, and where it would like to be. */
export interface Wanted {
  wish: LabelWish;
  said: Said;
}

/** Where labels stood when they were last placed, relative to their marks, in pixels. */
export interface LabelMemory {
  /** True while labels must not move about: the ones known keep their places. */
  held: boolean;
  placed: ReadonlyMap<string, PlacedLabel> | null;
  /** Where on its edge each name of the range stands. */
  edges: ReadonlyMap<string, EdgeName>;
  /** Which of its places the name of each ring stands at, by the share the ring holds; −1 for none. */
  rings: Map<number, number>;
  /** The names that the drink has no part in, with what they rest on. */
  calm: { rests: readonly unknown[]; classics: Wanted[]; families: Wanted[] } | null;
}

/** The window: scales from axis units to pixels of the plot (alcohol: of its arm). A new object for a new window. */
export interface Frame {
  layout: Layout;
  x: LinearScale;
  y: LinearScale;
  z: LinearScale;
}

/** All a picture is drawn from. */
export interface Scene {
  frame: Frame;
  model: MapModel;
  items: readonly Item[];
  /** The drink the arms weigh; null on an empty bench. */
  hand: Item | null;
  /** The one item under the pointer or the focus. */
  cursor: Item | null;
  layers: ReadonlySet<LayerName>;
  measure(text: string, style: TextStyle): number;
  /** Prefix for ids inside the SVG, unique on the page. */
  idPrefix: string;
  labels: LabelMemory;
}

/** A point of balance space in pixels of the plot. */
export const placeIn =
  ({ x, y }: Frame) =>
  (point: readonly [number, number, number]): XY => [x(point[0]), y(point[1])];

/** Something the pointer can find in the plot, in pixels of the plot. */
export interface Hit {
  key: string;
  at: XY;
  /** Half-width and half-height of its box: a mark's is nearly nothing, a label's its size. */
  half: XY;
  /** Added to the distance: marks one can act on win over marks one can only read. */
  handicap: number;
}

/** How far from the pointer a mark may be: with it every mark is a target of at least 24 px. */
const REACH_PX = 16;

/** The nearest thing within reach of a point of the plot. */
export function findHit(hits: readonly Hit[], [x, y]: XY, reachPx = REACH_PX): string | null {
  let best: string | null = null;
  let bestCost = reachPx;
  for (const hit of hits) {
    const dx = Math.max(0, Math.abs(x - hit.at[0]) - hit.half[0]);
    const dy = Math.max(0, Math.abs(y - hit.at[1]) - hit.half[1]);
    const distance = Math.hypot(dx, dy);
    if (distance <= reachPx - 2 && distance + hit.handicap < bestCost) {
      [best, bestCost] = [hit.key, distance + hit.handicap];
    }
  }
  return best;
}
