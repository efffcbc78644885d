import { tickStep } from "d3";
import { AXIS_CAPTION, type Axis, axisNumber } from "../words/axis.ts";
import { sdOf } from "./items.ts";
import type { LinearScale } from "./linear-scale.ts";
import type { Frame, Scene } from "./scene.ts";
import { type G, written } from "./svg-layer.ts";

/** An arm of the picture: one axis, where it lies, and what hangs on it. */
interface Arm {
  axis: Axis;
  side: "left" | "below" | "right";
  left: number;
  top: number;
  length: number;
  scale: LinearScale;
}

/** Graduations: numbered ones, and the fine ones between them where there is room. */
export function graduations(
  domain: readonly [number, number],
  lengthPx: number,
  roomPx = 62,
): { major: number[]; minor: number[]; step: number } {
  const count = Math.max(2, Math.round(lengthPx / roomPx));
  const step = tickStep(domain[0], domain[1], count);
  const parts = (step / (domain[1] - domain[0])) * lengthPx >= 40 ? 10 : 5;
  const first = Math.ceil((domain[0] / step) * parts - 1e-6);
  const last = Math.floor((domain[1] / step) * parts + 1e-6);
  const major: number[] = [];
  const minor: number[] = [];
  for (let n = first; n <= last; n += 1) {
    if (n % parts === 0) major.push((n / parts) * step);
    else minor.push((n * step) / parts);
  }
  return { major, minor, step };
}

/** The three arms of a frame. */
export function armsOf({ layout, x, y, z }: Frame): Arm[] {
  const { plot, alcohol } = layout;
  return [
    { axis: 0, side: "below", left: plot.left, top: plot.top + plot.height, length: plot.width, scale: x },
    { axis: 1, side: "left", left: plot.left, top: plot.top, length: plot.height, scale: y },
    {
      axis: 2,
      side: alcohol.upright ? "right" : "below",
      left: alcohol.left,
      top: alcohol.top,
      length: alcohol.length,
      scale: z,
    },
  ];
}

/** Paper and ruled lines of the plot. */
export function drawPaper(g: G, { frame }: Pick<Scene, "frame">): void {
  const { plot } = frame.layout;
  g.selectAll("rect")
    .data([0])
    .join("rect")
    .attr("class", "plot-paper")
    .attr("width", plot.width)
    .attr("height", plot.height);
  const room = 5.2 * frame.layout.typePx;
  const rules = [
    ...graduations(frame.x.domain, plot.width, room).major.map(
      (v) => `M${frame.x(v).toFixed(1)},0V${plot.height}`,
    ),
    ...graduations(frame.y.domain, plot.height, room).major.map(
      (v) => `M0,${frame.y(v).toFixed(1)}H${plot.width}`,
    ),
  ];
  g.selectAll("path")
    .data([rules.join("")])
    .join("path")
    .attr("class", "rule")
    .attr("d", (d) => d);
}

const BAR = 5;

/** The bars, graduations, numbers and captions of the three arms. */
export function drawArms(g: G, { frame }: Pick<Scene, "frame">): void {
  const { typePx } = frame.layout;
  const arms = g
    .selectAll<SVGGElement, Arm>("g.map-arm")
    .data(armsOf(frame), (arm) => String(arm.axis))
    .join("g")
    .attr("class", "map-arm")
    .attr("transform", (arm) => `translate(${arm.left},${arm.top})`);
  arms.each((arm) => {
    const node = arms.filter((other) => other === arm);
    const across = arm.side !== "below";
    const out = arm.side === "left" ? -1 : 1;
    const { major, minor, step } = graduations(arm.scale.domain, arm.length, (across ? 4 : 5.2) * typePx);
    const at = (v: number) => arm.scale(v).toFixed(1);
    const ticks = [
      ...minor.map((v) => (across ? `M${out * BAR},${at(v)}h${out * 3}` : `M${at(v)},${BAR}v3`)),
      ...major.map((v) => (across ? `M${out * BAR},${at(v)}h${out * 7}` : `M${at(v)},${BAR}v7`)),
    ].join("");
    node
      .selectAll("rect.arm-bar")
      .data([0])
      .join("rect")
      .attr("class", "arm-bar")
      .attr("x", across && out < 0 ? -BAR : 0)
      .attr("width", across ? BAR : arm.length)
      .attr("height", across ? arm.length : BAR);
    node
      .selectAll("path.arm-ticks")
      .data([ticks])
      .join("path")
      .attr("class", "arm-ticks")
      .attr("d", (d) => d);
    const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
    node
      .selectAll<SVGTextElement, number>("text.arm-number")
      .data(major)
      .join("text")
      .attr("class", "arm-number")
      .attr("x", (v) => (across ? out * (BAR + 10) : arm.scale(v)))
      .attr("y", (v) => (across ? arm.scale(v) : BAR + 9 + 0.85 * typePx))
      .attr("dy", across ? "0.35em" : null)
      .attr("text-anchor", across ? (out < 0 ? "end" : "start") : "middle")
      .text((v) => v.toFixed(decimals));
    const far = across ? out * (arm.side === "left" ? 4.6 : 4.9) * typePx : 3.6 * typePx;
    node
      .selectAll("text.arm-caption")
      .data([AXIS_CAPTION[arm.axis]])
      .join("text")
      .attr("class", "arm-caption")
      .attr(
        "transform",
        across ? `translate(${far},${arm.length / 2}) rotate(-90)` : `translate(${arm.length / 2},${far})`,
      )
      .attr("dy", across ? "0.35em" : null)
      .attr("text-anchor", "middle")
      .text((d) => d);
  });
}

/** The weight that hangs on an arm. */
interface Weight {
  key: string;
  value: number;
  sd: number | null;
  kind: "hand" | "ghost" | "cursor" | "wish";
}

/** What hangs on the arms: the drink, the proposal shown, the wish, what the cursor is on. */
function weightsOf({ hand, cursor, model, items }: Scene, axis: Axis): Weight[] {
  const out: Weight[] = [];
  const ghost = items.find((item) => item.kind === "ghost" && item.id === model.shownGhost);
  if (model.wish) out.push({ key: "wish", value: model.wish.at[axis], sd: null, kind: "wish" });
  else if (cursor && cursor.key !== hand?.key) {
    out.push({ key: "cursor", value: cursor.point[axis], sd: null, kind: "cursor" });
  } else if (ghost) out.push({ key: "ghost", value: ghost.point[axis], sd: null, kind: "ghost" });
  if (hand) out.push({ key: "hand", value: hand.point[axis], sd: sdOf(hand, axis), kind: "hand" });
  return out;
}

/** Draw the weights on the three arms; the arms themselves are drawn apart, as they change seldom. */
export function drawWeights(g: G, scene: Scene): void {
  const { typePx } = scene.frame.layout;
  const body = { width: 3 * typePx, height: 1.45 * typePx, neck: 0.5 * typePx };
  const all = armsOf(scene.frame).flatMap((arm) => {
    const [low, high] = arm.scale.domain;
    const hung = weightsOf(scene, arm.axis).filter((w) => w.value >= low && w.value <= high);
    return hung.map((weight) => {
      const other = hung.find((w) => w.kind === "hand" && w !== weight);
      const size = arm.side === "below" ? body.width : body.height;
      const gap = other ? arm.scale(weight.value) - arm.scale(other.value) : Number.POSITIVE_INFINITY;
      // A second weight swings aside so that its figure does not cover the drink's.
      const aside = Math.abs(gap) >= size + 1 ? 0 : (gap < 0 ? -1 : 1) * (size + 1 - Math.abs(gap));
      return { arm, weight, aside };
    });
  });
  const groups = g
    .selectAll<SVGGElement, (typeof all)[number]>("g.weight")
    .data(all, ({ arm, weight }) => `${arm.axis} ${weight.key}`)
    .join((enter) => {
      const w = enter.append("g");
      w.append("line").attr("class", "weight-doubt");
      w.append("path");
      w.append("text").attr("text-anchor", "middle").attr("dy", "0.35em");
      return w;
    })
    .attr("class", ({ weight }) => `weight weight-${weight.kind}`)
    .attr("transform", ({ arm, weight }) => {
      const at = arm.scale(weight.value);
      const half = BAR / 2;
      if (arm.side === "below") return `translate(${arm.left + at},${arm.top + half})`;
      return `translate(${arm.left + (arm.side === "left" ? -half : half)},${arm.top + at})`;
    });
  hideCovered(
    g,
    all.map(({ arm, weight }) => ({
      axis: arm.axis,
      at: arm.scale(weight.value),
      below: arm.side === "below",
    })),
    typePx,
  );
  groups.select("path").attr("d", ({ arm, aside }) => weightPath(arm.side, aside, body));
  groups
    .select("text")
    .attr("x", ({ arm, aside }) =>
      arm.side === "below" ? aside : (arm.side === "left" ? -1 : 1) * (body.neck + body.width / 2),
    )
    .attr("y", ({ arm, aside }) => (arm.side === "below" ? body.neck + body.height / 2 : aside))
    .call(written(({ arm, weight }) => axisNumber(arm.axis, weight.value)));
  groups.select("line").each(function ({ arm, weight }) {
    const line = this as SVGLineElement;
    const half =
      weight.sd === null ? 0 : Math.abs(arm.scale(weight.value + weight.sd) - arm.scale(weight.value));
    // Across the arm as well: a window made narrow lays the alcohol's arm down.
    const [x, y] = arm.side === "below" ? [half, 0] : [0, half];
    line.setAttribute("x1", String(-x));
    line.setAttribute("x2", String(x));
    line.setAttribute("y1", String(-y));
    line.setAttribute("y2", String(y));
  });
}

/** A number of an arm that a weight hangs over is put out of sight. */
function hideCovered(
  g: G,
  weights: readonly { axis: Axis; at: number; below: boolean }[],
  typePx: number,
): void {
  const arms = (g.node()?.parentNode as SVGElement | null)?.querySelectorAll<SVGGElement>("g.map-arm") ?? [];
  arms.forEach((arm, axis) => {
    for (const text of arm.querySelectorAll("text.arm-number")) {
      const covered = weights.some((weight) => {
        if (weight.axis !== axis) return false;
        const at = Number(text.getAttribute(weight.below ? "x" : "y"));
        return Math.abs(at - weight.at) < (weight.below ? 2.6 : 1.3) * typePx;
      });
      const now = covered ? "hidden" : "visible";
      if (text.getAttribute("visibility") !== now) text.setAttribute("visibility", now);
    }
  });
}

/** A knife edge on the arm and a body that widens away from it, as a poise does; it hangs `aside` pixels along the arm. */
function weightPath(
  side: Arm["side"],
  aside: number,
  { width, height, neck }: { width: number; height: number; neck: number },
): string {
  if (side === "below") {
    const half = width / 2;
    const x = (v: number) => (v + aside).toFixed(1);
    return `M0,0L${x(4)},${neck}H${x(half - 2)}L${x(half)},${neck + height}H${x(-half)}L${x(-half + 2)},${neck}H${x(-4)}Z`;
  }
  const s = side === "left" ? -1 : 1;
  const half = height / 2;
  const y = (v: number) => (v + aside).toFixed(1);
  return `M0,0L${s * neck},${y(-4)}V${y(-half + 1)}L${s * (neck + width)},${y(-half)}V${y(half)}L${s * neck},${y(half - 1)}V${y(4)}Z`;
}
