import { AXIS_INDICES, perAxis } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import type { Axis } from "../words/axis.ts";

/** Lowest and highest value per axis, in axis units. */
export interface Box3 {
  lo: Vec3;
  hi: Vec3;
}

/**
 * One window on the three axes, shared by all panels: magnification `k` ≥ 1 and the middle of the
 * window as a fraction (0–1) of the home box on each axis. A single `k` keeps slopes and ellipses the same at
 * every zoom, and keeps the axes two panels have in common aligned.
 */
export interface View {
  k: number;
  centre: Vec3;
}

/** What d3.zoom keeps per panel, in pixels. */
export interface PanelTransform {
  k: number;
  x: number;
  y: number;
}

/** The whole home box. */
export const HOME_VIEW: View = { k: 1, centre: [0.5, 0.5, 0.5] };

/** Past this, ticks fall below what the model can tell apart. */
export const MAX_ZOOM = 24;

/** The smallest box around the points; null when there are none. Points with a non-finite value are passed over. */
export function boxAround(points: readonly Vec3[]): Box3 | null {
  const sound = points.filter((p) => p.every(Number.isFinite));
  if (sound.length === 0) return null;
  return {
    lo: perAxis((a) => Math.min(...sound.map((p) => p[a]))),
    hi: perAxis((a) => Math.max(...sound.map((p) => p[a]))),
  };
}

/** `box` with air around it. No axis goes far below zero, where no drink can be, or shrinks to less than `minSpan`. */
export function padBox(box: Box3, share: number, minSpan: Vec3): Box3 {
  const span = perAxis((a) => Math.max(box.hi[a] - box.lo[a], minSpan[a]));
  const middle = perAxis((a) => (box.hi[a] + box.lo[a]) / 2);
  return {
    lo: perAxis((a) => {
      const floor = Math.min(0, box.lo[a]) - 0.02 * span[a];
      return Math.max(middle[a] - span[a] * (0.5 + share), floor);
    }),
    hi: perAxis((a) => middle[a] + span[a] * (0.5 + share)),
  };
}

/** Whether `inner` lies wholly in `outer`. */
export function boxContains(outer: Box3, inner: Box3): boolean {
  return AXIS_INDICES.every((a) => inner.lo[a] >= outer.lo[a] && inner.hi[a] <= outer.hi[a]);
}

/** Value → fraction of the home box. */
export function toFraction(home: Box3, point: Vec3): Vec3 {
  return perAxis((a) => (point[a] - home.lo[a]) / (home.hi[a] - home.lo[a]));
}

/** Range of values in the window on one axis. */
export function domainOf(view: View, home: Box3, axis: Axis): [number, number] {
  const span = home.hi[axis] - home.lo[axis];
  return [
    home.lo[axis] + (view.centre[axis] - 0.5 / view.k) * span,
    home.lo[axis] + (view.centre[axis] + 0.5 / view.k) * span,
  ];
}

/** Keep the window within the home box. */
export function clampView(view: View): View {
  const k = Math.min(Math.max(view.k, 1), MAX_ZOOM);
  return { k, centre: perAxis((a) => Math.min(Math.max(view.centre[a], 0.5 / k), 1 - 0.5 / k)) };
}

/** The closest window in which `box` takes at most `fill` of each axis. */
export function fitView(box: Box3, home: Box3, fill = 0.8): View {
  const lo = toFraction(home, box.lo);
  const hi = toFraction(home, box.hi);
  const widest = Math.max(...AXIS_INDICES.map((a) => hi[a] - lo[a]));
  return clampView({ k: widest > 0 ? fill / widest : MAX_ZOOM, centre: perAxis((a) => (lo[a] + hi[a]) / 2) });
}

/** The same window after the home box changed, as nearly as one magnification allows; a window at home stays at home. */
export function rebaseView(view: View, before: Box3, after: Box3): View {
  if (view.k === 1) return HOME_VIEW;
  const lo = toFraction(
    after,
    perAxis((a) => domainOf(view, before, a)[0]),
  );
  const hi = toFraction(
    after,
    perAxis((a) => domainOf(view, before, a)[1]),
  );
  const widest = Math.max(...AXIS_INDICES.map((a) => hi[a] - lo[a]));
  return clampView({ k: 1 / widest, centre: perAxis((a) => (lo[a] + hi[a]) / 2) });
}

/** Multiply the magnification, holding `anchor` (a fraction of the home box) where it is in the window. */
export function zoomAbout(view: View, factor: number, anchor: Vec3): View {
  const k = Math.min(Math.max(view.k * factor, 1), MAX_ZOOM);
  const shrink = view.k / k;
  return clampView({ k, centre: perAxis((a) => anchor[a] + (view.centre[a] - anchor[a]) * shrink) });
}

/** The least pan that brings `point` into the window, or the same view when it is there already. */
export function panToShow(view: View, home: Box3, point: Vec3): View {
  const f = toFraction(home, point);
  const reach = (0.5 / view.k) * 0.92;
  const inside = AXIS_INDICES.every((a) => Math.abs(f[a] - view.centre[a]) <= reach);
  if (inside) return view;
  return clampView({
    k: view.k,
    centre: perAxis((a) => (Math.abs(f[a] - view.centre[a]) <= reach ? view.centre[a] : f[a])),
  });
}

/** The pixel transform d3.zoom must hold in a panel of this size so that it agrees with the view. */
export function toTransform(view: View, x: Axis, y: Axis, widthPx: number, heightPx: number): PanelTransform {
  const left = view.centre[x] - 0.5 / view.k;
  const bottom = view.centre[y] - 0.5 / view.k;
  return {
    k: view.k,
    x: -left * view.k * widthPx,
    y: heightPx - view.k * heightPx * (1 - bottom),
  };
}

/**
 * The view after a panel's transform changed by hand. The axis the panel does not show is
 * zoomed about `anchor` (normally the drink), so that the other panels keep the drink in sight.
 */
export function fromTransform(
  view: View,
  t: PanelTransform,
  x: Axis,
  y: Axis,
  widthPx: number,
  heightPx: number,
  anchor: Vec3,
): View {
  const zoomed = zoomAbout(view, t.k / view.k, anchor);
  const centre: [number, number, number] = [...zoomed.centre];
  centre[x] = -t.x / (t.k * widthPx) + 0.5 / t.k;
  centre[y] = 1 - (heightPx - t.y) / (t.k * heightPx) + 0.5 / t.k;
  return clampView({ k: t.k, centre });
}
