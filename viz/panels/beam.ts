import { max, scaleLinear, select } from "d3";
import { AXES } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import { axisNumber } from "../words/verdict.ts";

/** What one beam shows. All values in the axis's own unit. */
export interface BeamModel {
  value: number;
  sd: number;
  /** The target's extent on this axis; an end is null where it is open. */
  span: readonly [number | null, number | null] | null;
  state: "low" | "high" | "ok" | "none";
  /** Where the focused proposal would put it. */
  ghost: number | null;
  references: readonly number[];
}

/** The least each scale runs to, so that beams of most drinks share one graduation. */
const RUNS_TO: Vec3 = [14, 1.4, 35];
const HEIGHT = 58;
const BAR_Y = 18;
const TILT_DEGREES = 1.6;

/**
 * A steelyard for one axis: pivot at the left, a graduated arm, the poise hanging where the drink is.
 * The arm is level inside the target, tips down when there is too much and up when there is too little.
 */
export function createBeam(host: HTMLElement, axis: 0 | 1 | 2): (model: BeamModel) => void {
  const svg = select(host)
    .append("svg")
    .attr("class", "beam")
    .attr("width", "100%")
    .attr("height", HEIGHT)
    .attr("aria-hidden", "true");
  const arm = svg.append("g").attr("class", "beam-arm");
  const span = arm
    .append("rect")
    .attr("class", "beam-span")
    .attr("y", BAR_Y - 7)
    .attr("height", 14);
  arm
    .append("rect")
    .attr("class", "beam-bar")
    .attr("y", BAR_Y - 2)
    .attr("height", 4)
    .attr("width", "100%");
  const ticks = arm.append("g").attr("class", "beam-ticks");
  const dots = arm.append("g").attr("class", "beam-references");
  const doubt = arm
    .append("rect")
    .attr("class", "beam-doubt")
    .attr("y", BAR_Y - 2)
    .attr("height", 4);
  const ghost = arm.append("svg").attr("class", "beam-ghost").attr("overflow", "visible").attr("y", BAR_Y);
  const poise = arm.append("svg").attr("class", "beam-poise").attr("overflow", "visible").attr("y", BAR_Y);
  for (const weight of [ghost, poise]) {
    weight.append("path").attr("d", "M0 -7V9").attr("class", "beam-hook");
    weight.append("path").attr("d", "M-5 9H5L8 22H-8Z").attr("class", "beam-weight");
  }
  svg
    .append("path")
    .attr("class", "beam-pivot")
    .attr("d", `M1 ${BAR_Y - 9}V${BAR_Y + 9}`);

  return (model) => {
    const top = Math.max(RUNS_TO[axis], (max([model.value, model.ghost ?? 0]) ?? 0) * 1.1);
    const scale = scaleLinear().domain([0, top]).range([0, 100]).clamp(true);
    const percent = (x: number) => `${scale(x)}%`;
    const major = scale.ticks(4);
    ticks
      .selectAll("g")
      .data(major)
      .join((enter) => {
        const tick = enter.append("g");
        tick
          .append("line")
          .attr("y1", BAR_Y - 6)
          .attr("y2", BAR_Y + 6);
        tick.append("text").attr("y", HEIGHT - 3);
        return tick;
      })
      .each(function (value, i) {
        const tick = select(this);
        tick.select("line").attr("x1", percent(value)).attr("x2", percent(value));
        tick
          .select("text")
          .attr("x", percent(value))
          .attr("text-anchor", i === 0 ? "start" : value > top * 0.96 ? "end" : "middle")
          .text(String(value));
      });
    dots
      .selectAll("line")
      .data(model.references)
      .join("line")
      .attr("y1", BAR_Y - 6)
      .attr("y2", BAR_Y - 2)
      .attr("x1", percent)
      .attr("x2", percent);
    const [low, high] = model.span ?? [null, null];
    span
      .attr("visibility", model.span && (low !== null || high !== null) ? "visible" : "hidden")
      .attr("x", percent(low ?? 0))
      .attr("width", `${Math.max(0, scale(high ?? top) - scale(Math.max(0, low ?? 0)))}%`);
    const from = scale(model.value - model.sd);
    doubt.attr("x", `${from}%`).attr("width", `${scale(model.value + model.sd) - from}%`);
    poise.attr("x", percent(model.value)).attr("data-state", model.state);
    ghost
      .attr("visibility", model.ghost === null ? "hidden" : "visible")
      .attr("x", percent(model.ghost ?? 0));
    const tilt = model.state === "high" ? TILT_DEGREES : model.state === "low" ? -TILT_DEGREES : 0;
    arm.style("transform", `rotate(${tilt}deg)`);
    host.title = `${AXES[axis].name} ${axisNumber(axis, model.value)} ± ${axisNumber(axis, model.sd)} ${AXES[axis].unit}`;
  };
}
