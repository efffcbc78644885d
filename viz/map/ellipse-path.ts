import type { Mat3 } from "../../engine/types.ts";
import type { Axis } from "../words/axis.ts";

/** Half-axes and tilt (radians, from +x towards +y) of an ellipse. */
export interface EllipseShape {
  rx: number;
  ry: number;
  angle: number;
}

/**
 * The ellipse that holds `mass` (0–1) of a plane normal distribution with covariance [[a, b], [b, c]].
 * For two dimensions the chi-square quantile is −2 ln(1 − mass) exactly, so no table is needed.
 * Null when the covariance is not that of a distribution (negative or non-finite) or is zero: an unknown doubt has
 * no ellipse, not one of size nothing.
 */
export function ellipseShape(a: number, b: number, c: number, mass: number): EllipseShape | null {
  const middle = (a + c) / 2;
  const swing = Math.hypot((a - c) / 2, b);
  const large = middle + swing;
  const small = middle - swing;
  // A determinate direction gives `small` a rounding-sized negative value.
  if (!Number.isFinite(large) || large <= 0 || small < -1e-9 * large) return null;
  const scale = -2 * Math.log1p(-mass);
  return {
    rx: Math.sqrt(scale * large),
    ry: Math.sqrt(scale * Math.max(small, 0)),
    angle: swing === 0 ? 0 : Math.atan2(2 * b, a - c) / 2,
  };
}

/** A panel's part of a 3×3 covariance, turned into pixels: `sx` and `sy` are pixels per axis unit (sy < 0, as y grows downwards). */
export function ellipseInPixels(
  covariance: Mat3,
  x: Axis,
  y: Axis,
  sx: number,
  sy: number,
  mass: number,
): EllipseShape | null {
  return ellipseShape(
    covariance[x][x] * sx * sx,
    covariance[x][y] * sx * sy,
    covariance[y][y] * sy * sy,
    mass,
  );
}

/** SVG path of an ellipse about (cx, cy): two half arcs. */
export function ellipsePath(cx: number, cy: number, shape: EllipseShape): string {
  const dx = shape.rx * Math.cos(shape.angle);
  const dy = shape.rx * Math.sin(shape.angle);
  const n = (v: number) => v.toFixed(2);
  const arc = `A${n(shape.rx)},${n(shape.ry)} ${n((shape.angle * 180) / Math.PI)} 0 1`;
  return `M${n(cx - dx)},${n(cy - dy)}${arc} ${n(cx + dx)},${n(cy + dy)}${arc} ${n(cx - dx)},${n(cy - dy)}Z`;
}
