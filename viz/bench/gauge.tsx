import { useMemo } from "preact/hooks";
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
  /** Where the family's classics hang; the same list while they stay where they are. */
  references: readonly number[];
}

/** The least each scale runs to, so that the arms of most drinks share one graduation. */
const RUNS_TO: Vec3 = [14, 1.4, 30];
const STEP: Vec3 = [2, 0.2, 5];
const HEIGHT = 34;
const BAR_Y = 10;
const TILT_DEGREES = 1.6;

/** Units of the notches' own box across, whatever its width. */
const ACROSS = 1000;

/** The graduation and the classics on an arm: two paths, as a drag would lay out a hundred lines at each step. */
function Notches({ top, step, references }: { top: number; step: number; references: readonly number[] }) {
  const at = (x: number) => ((ACROSS * Math.min(x, top)) / top).toFixed(1);
  const ticks = Array.from({ length: Math.floor(top / step + 1e-9) + 1 }, (_, i) => i * step);
  return (
    <svg
      aria-hidden="true"
      viewBox={`0 0 ${ACROSS} ${HEIGHT}`}
      width="100%"
      height={HEIGHT}
      preserveAspectRatio="none"
    >
      <path class="arm-tick" d={ticks.map((tick) => `M${at(tick)},${BAR_Y - 4}v8`).join("")} />
      <path class="arm-classic" d={references.map((x) => `M${at(x)},${BAR_Y - 6}v4`).join("")} />
    </svg>
  );
}

/**
 * A steelyard for one axis: pivot at the left, a graduated arm, the poise hanging where the drink is.
 * The arm is level in range, tips down when there is too much and up when there is too little.
 */
export function Gauge({ axis, model }: { axis: Axis; model: GaugeModel }) {
  const top = Math.max(RUNS_TO[axis], Math.max(model.value ?? 0, model.ghost ?? 0) * 1.1);
  const percent = (x: number) => `${(100 * Math.min(Math.max(x, 0), top)) / top}%`;
  const notches = useMemo(
    () => <Notches top={top} step={STEP[axis]} references={model.references} />,
    [top, axis, model.references],
  );
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
        {notches}
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
