import { axisBottom, axisLeft, extent, scaleLinear, select } from "d3";
import type { Mat3, Point } from "../../engine/types.ts";
import { ellipseInPixels, ellipsePath } from "../map/ellipse-path.ts";
import { AXIS_CAPTION } from "../words/axis.ts";

/** A drink on the picture. */
export interface ShiftMark {
  key: string;
  label: string;
  point: Point;
  covariance: Mat3;
  look: "before" | "after" | "other";
}

const MARGIN = { top: 14, right: 16, bottom: 40, left: 48 };
/** Part of the glasses each ring holds. */
const RING_MASS = 0.68;
/** How far such a ring reaches, in standard deviations. */
const RING_REACH = Math.sqrt(-2 * Math.log1p(-RING_MASS));

/** Draw where a drink stood and where it stands, sugar across and acid up, each with the ring that two glasses in three fall in. */
export function drawShift(
  svg: SVGSVGElement,
  marks: readonly ShiftMark[],
  width: number,
  height: number,
): void {
  const reach = (of: (m: ShiftMark) => [at: number, sd: number], least: number): [number, number] => {
    const [low = 0, high = 1] = extent(
      marks.flatMap((m) => {
        const [at, sd] = of(m);
        return [at - 2.4 * sd, at + 2.4 * sd];
      }),
    );
    const spare = Math.max(0, least - (high - low)) / 2;
    return [Math.max(0, low - spare), high + spare];
  };
  const x = scaleLinear(
    reach(({ point, covariance }) => [point.sugarGPer100Ml, Math.sqrt(covariance[0][0])], 3),
    [MARGIN.left, width - MARGIN.right],
  ).nice(5);
  const y = scaleLinear(
    reach(({ point, covariance }) => [point.acidGPer100Ml, Math.sqrt(covariance[1][1])], 0.3),
    [height - MARGIN.bottom, MARGIN.top],
  ).nice(5);
  const root = select(svg).attr("viewBox", `0 0 ${width} ${height}`);
  const axis = (name: string, transform: string) =>
    root
      .selectAll<SVGGElement, null>(`g.${name}`)
      .data([null])
      .join("g")
      .attr("class", `${name} p-axis`)
      .attr("transform", transform);
  axis("across", `translate(0,${height - MARGIN.bottom})`).call(axisBottom(x).ticks(5).tickSizeOuter(0));
  axis("up", `translate(${MARGIN.left},0)`).call(axisLeft(y).ticks(5).tickSizeOuter(0));
  root
    .selectAll("text.p-caption")
    .data([
      { text: AXIS_CAPTION[0], x: (MARGIN.left + width) / 2, y: height - 6, turn: "" },
      {
        text: AXIS_CAPTION[1],
        x: 12,
        y: (height - MARGIN.bottom) / 2,
        turn: `rotate(-90 12 ${(height - MARGIN.bottom) / 2})`,
      },
    ])
    .join("text")
    .attr("class", "p-caption")
    .attr("x", (d) => d.x)
    .attr("y", (d) => d.y)
    .attr("text-anchor", "middle")
    .attr("transform", (d) => d.turn || null)
    .text((d) => d.text);
  const unit = (scale: typeof x) => scale(1) - scale(0);
  const groups = root
    .selectAll<SVGGElement, ShiftMark>("g.p-mark")
    .data(marks, (m) => m.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("path").attr("class", "ring");
      g.append("circle").attr("r", 5);
      g.append("text").attr("text-anchor", "middle");
      return g;
    })
    .attr("class", (m) => `p-mark p-${m.look}`);
  const at = ({ point }: ShiftMark): [number, number] => [x(point.sugarGPer100Ml), y(point.acidGPer100Ml)];
  groups.select("path.ring").attr("d", (m) => {
    const shape = ellipseInPixels(m.covariance, 0, 1, unit(x), unit(y), RING_MASS);
    return shape ? ellipsePath(...at(m), shape) : null;
  });
  groups
    .select("circle")
    .attr("cx", (m) => at(m)[0])
    .attr("cy", (m) => at(m)[1]);
  // Clear of its ring: above, and below for the drink as it was.
  const clear = ({ covariance }: ShiftMark) => RING_REACH * Math.sqrt(covariance[1][1]) * Math.abs(unit(y));
  groups
    .select("text")
    .attr("x", (m) => Math.min(width - 60, Math.max(MARGIN.left + 50, at(m)[0])))
    .attr("y", (m) => at(m)[1] + (m.look === "before" ? clear(m) + 16 : -clear(m) - 7))
    .text((m) => m.label);
}
