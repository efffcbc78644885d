import type { CompiledTarget } from "../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../engine/types.ts";

/** A point of the plane, in axis units or in pixels as the name beside it says. */
export type XY = readonly [number, number];

/** A round on the map. Points are (sugar g/100 mL, acid g/100 mL, ABV % vol). */
export interface MapRound {
  id: string;
  number: number;
  label: string;
  point: Vec3;
  covariance: Mat3;
  parent: string | null;
  abandoned: boolean;
  current: boolean;
}

/** A classic on the map. */
export interface MapReference {
  id: string;
  name: string;
  families: readonly string[];
  point: Vec3;
}

/** A proposal. `path` holds one true curve per move, in order, from the drink at hand to `point`. */
export interface MapGhost {
  id: string;
  name: string;
  point: Vec3;
  path: readonly { ingredient: string; label: string; points: readonly Vec3[]; rungs: readonly Vec3[] }[];
}

/** Where adding or taking away an ingredient would carry the drink, rung by rung. */
export interface MapPull {
  name: string;
  less: readonly Vec3[];
  more: readonly Vec3[];
}

/** A wish: where the user wants the drink, and where the pours can bring it. */
export interface MapWish {
  at: Vec3;
  reached: Vec3 | null;
  words: string;
}

/** A second drink, or another trail, laid over the map. */
export interface MapTrail {
  id: string;
  name: string;
  rounds: readonly MapRound[];
}

/** Everything the map draws. Parts that did not change keep their identity, and are then not drawn again. */
export interface MapModel {
  rounds: readonly MapRound[];
  /** Trails of others, each under its name. */
  others: readonly MapTrail[];
  references: readonly MapReference[];
  /** Families whose classics are named; the rest are faded. */
  families: readonly string[];
  /** Names of all families, by id, in the order of their marks. */
  familyNames: readonly { id: string; name: string }[];
  target: CompiledTarget | null;
  targetName: string;
  ghosts: readonly MapGhost[];
  /** The proposal that is shown in full. */
  shownGhost: string | null;
  /** The spec as it stands on the bench; `edited` where it differs from its round. */
  live: { point: Vec3; covariance: Mat3; edited: boolean } | null;
  /** The classic set beside the drink. */
  beside: string | null;
  peeked: string | null;
  pull: MapPull | null;
  wish: MapWish | null;
}

/** What can be left out of the picture. */
export type LayerName = "classics" | "names" | "doubt" | "trail" | "range";

/** What the map tells the page. None of them is called by `update`. */
export interface MapHandlers {
  /** A round was pointed at or chosen, to be looked at; null when none is. */
  onPeek(id: string | null): void;
  onShowGhost(id: string): void;
  onBeside(id: string | null): void;
  /** What the pointer or the focus is on, by its key; null when nothing is. */
  onCursor(key: string | null): void;
  /** The drink's mark is being dragged to a point, or was let go there. */
  onWish(at: Vec3, done: boolean): void;
  /** The wish that stands now, which keys may have moved since the last picture; null where none does. */
  wishAt(): Vec3 | null;
}

/** How a map is drawn. */
export interface MapOptions {
  /** Size of the usual text, px: 12 on a desk, 24 from the back of a room. */
  typePx: number;
  layers: ReadonlySet<LayerName>;
}

/** What `createMap` returns. */
export interface MapHandle {
  update(model: MapModel, options: MapOptions): void;
  /** Fit the window: to everything, the drink and its proposals, or the range. */
  fit(what: "all" | "drink" | "range"): void;
  zoom(factor: number): void;
  destroy(): void;
}
