import type { Vec3 } from "../../engine/types.ts";
import type { Axis } from "../words/axis.ts";

/** What one arm shows. All values in the axis's own unit. */
export interface GaugeModel {
  value: number | null;
  sd: number;
  /** The stretch of the axis that is in range; an end at infinity is open. */
  band: readonly [number, number] | null;
  state: "low" | "high" | "ok" | "none";
  /** Where the proposal that is shown would put it. */
  ghost: number | null;
  references: readonly number[];
}

/** The least each scale runs to, so that the arms of most drinks share one graduation. */
const RUNS_TO: Vec3 = [14, 1.4, 30];
const STEP: Vec3 = [2, 0.2, 5];
const HEIGHT = 34;
const BAR_Y = 10;
const TILT_DEGREES = 1.6;

/**
 * A steelyard for one axis: pivot at the left, a graduated arm, the poise hanging where the drink is.
 * The arm is level in range, tips down when there is too much and up when there is too little.
 */
export function Gauge({ axis, model }: { axis: Axis; model: GaugeModel }) {
  const top = Math.max(RUNS_TO[axis], Math.max(model.value ?? 0, model.ghost ?? 0) * 1.1);
  const percent = (x: number) => `${(100 * Math.min(Math.max(x, 0), top)) / top}%`;
  const ticks = Array.from({ length: Math.floor(top / STEP[axis] + 1e-9) + 1 }, (_, i) => i * STEP[axis]);
  const tilt = model.state === "high" ? TILT_DEGREES : model.state === "low" ? -TILT_DEGREES : 0;
  const [low, high] = model.band ?? [0, 0];
  const { value, sd, ghost } = model;
  const wide = (from: number, to: number) =>
    `${(100 * (Math.min(Math.max(to, 0), top) - Math.min(Math.max(from, 0), top))) / top}%`;
  return (
    <svg class="arm" data-state={model.state} width="100%" height={HEIGHT} aria-hidden="true">
      <g class="arm-beam" style={{ transform: `rotate(${tilt}deg)` }}>
        {model.band && (
          <rect class="arm-band" x={percent(low)} width={wide(low, high)} y={BAR_Y - 6} height="12" />
        )}
        <rect class="arm-bar" x="0" width="100%" y={BAR_Y - 1.5} height="3" />
        {ticks.map((tick) => (
          <line
            key={tick}
            class="arm-tick"
            x1={percent(tick)}
            x2={percent(tick)}
            y1={BAR_Y - 4}
            y2={BAR_Y + 4}
          />
        ))}
        {model.references.map((at, i) => (
          <line key={i} class="arm-classic" x1={percent(at)} x2={percent(at)} y1={BAR_Y - 6} y2={BAR_Y - 2} />
        ))}
        {ghost !== null && (
          <svg class="arm-ghost" overflow="visible" x={percent(ghost)} y={BAR_Y}>
            <title>Where the proposal would put it</title>
            <path class="arm-hook" d="M0 -6V6" />
            <path class="arm-weight" d="M-4 6H4L7 17H-7Z" />
          </svg>
        )}
        {value !== null && (
          <>
            <rect
              class="arm-doubt"
              x={percent(value - sd)}
              width={wide(value - sd, value + sd)}
              y={BAR_Y - 2}
              height="4"
            />
            <svg class="arm-poise" overflow="visible" x={percent(value)} y={BAR_Y}>
              <title>Your drink</title>
              <path class="arm-hook" d="M0 -6V6" />
              <path class="arm-weight" d="M-4 6H4L7.5 19H-7.5Z" />
            </svg>
          </>
        )}
      </g>
      <path class="arm-pivot" d={`M1 ${BAR_Y - 8}V${BAR_Y + 8}`} />
    </svg>
  );
}
