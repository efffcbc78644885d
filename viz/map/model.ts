import type { CompiledTarget } from "../../engine/targets/compile-target.ts";
import type { Mat3, Vec3 } from "../../engine/types.ts";

/** Index of an axis in the engine's order: sugar, acid, ABV. */
export type Axis = 0 | 1 | 2;

/** A point of the plane, in axis units or in pixels as the name beside it says. */
export type XY = readonly [number, number];

/** Everything the map draws. Points are (sugar g/100 mL, acid g/100 mL, ABV % vol). */
export interface MapModel {
  rounds: {
    id: string;
    number: number;
    label: string;
    point: Vec3;
    covariance: Mat3;
    parent: string | null;
    abandoned: boolean;
    current: boolean;
  }[];
  references: { id: string; name: string; point: Vec3; highlighted: boolean }[];
  target: CompiledTarget | null;
  targetLabel: string;
  /** Proposals. `path` holds one true curve per move, in order, from the drink at hand to `point`. */
  ghosts: {
    id: string;
    name: string;
    point: Vec3;
    path: { ingredient: string; label: string; points: Vec3[] }[];
    active: boolean;
  }[];
  /** The spec being edited, where it differs from the current round. */
  live: { point: Vec3; covariance: Mat3 } | null;
}

/** What the map tells the page. None of them is called by `update`. */
export interface MapHandlers {
  onSelectRound(id: string): void;
  /** The proposal under the cursor or the focus changed; null when there is none. */
  onFocusGhost(id: string | null): void;
  onTakeGhost(id: string): void;
  onSelectReference?(id: string | null): void;
}

/** What `createMap` returns. */
export interface MapHandle {
  update(model: MapModel): void;
  /** The whole map (three panels and legend, whatever the window shows) as one self-contained SVG file. */
  exportSvg(): string;
  destroy(): void;
}
