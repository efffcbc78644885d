import { type ScaleLinear, scaleLinear, tickStep } from "d3";
import { AXIS_TITLE, formatAxis } from "./axis-words.ts";
import type { BeamBox } from "./layout.ts";
import type { G } from "./svg-layer.ts";

/** The weight that hangs where the drink (or the cursor) stands on a beam. */
export interface Weight {
  key: string;
  value: number;
  /** One standard uncertainty, drawn along the beam; null when unknown. */
  sd: number | null;
  /** Outlined for the cursor, solid for the drink at hand. */
  hollow: boolean;
}

const BEAM_PX = 5;
const WEIGHT = { width: 38, height: 19, neck: 6 };

/** Graduations: numbered ones, and the fine ones between them where there is room. */
export function graduations(
  domain: readonly [number, number],
  lengthPx: number,
): { major: number[]; minor: number[] } {
  const scale = scaleLinear(domain, [0, lengthPx]);
  const count = Math.max(2, Math.round(lengthPx / 62));
  const major = scale.ticks(count);
  const step = tickStep(domain[0], domain[1], count);
  const pxPerStep = (step / (domain[1] - domain[0])) * lengthPx;
  const parts = pxPerStep >= 40 ? 10 : 5;
  const first = Math.ceil((domain[0] / step) * parts - 1e-6);
  const last = Math.floor((domain[1] / step) * parts + 1e-6);
  const minor: number[] = [];
  for (let n = first; n <= last; n += 1) if (n % parts !== 0) minor.push((n * step) / parts);
  return { major, minor };
}

/** Draw a beam: bar, graduations, numbers, title, weights. Everything is redrawn in place. */
export function drawBeam(
  g: G,
  box: BeamBox,
  scale: ScaleLinear<number, number>,
  weights: readonly Weight[],
): void {
  const across = box.side !== "below";
  const out = box.side === "left" ? -1 : 1;
  const domain = scale.domain() as [number, number];
  const { major, minor } = graduations(domain, box.length);
  const format = scale.tickFormat(Math.max(2, Math.round(box.length / 62)));
  const inside = weights.filter((w) => w.value >= domain[0] && w.value <= domain[1]);
  /** Along the beam by `a`, away from the panel by `o`. */
  const at = (a: number, o: number) => (across ? `translate(${out * o},${a})` : `translate(${a},${o})`);
  g.attr("transform", `translate(${box.left},${box.top})`);

  g.selectAll("rect.rail-bar")
    .data([0])
    .join("rect")
    .attr("class", "rail-bar")
    .attr("x", across ? (out > 0 ? 0 : -BEAM_PX) : 0)
    .attr("y", 0)
    .attr("width", across ? BEAM_PX : box.length)
    .attr("height", across ? box.length : BEAM_PX);

  const line = (name: string, values: number[], length: number) =>
    g
      .selectAll<SVGLineElement, number>(`line.${name}`)
      .data(values)
      .join("line")
      .attr("class", `grad ${name}`)
      .attr("transform", (v) => at(scale(v), BEAM_PX))
      .attr("x2", across ? out * length : 0)
      .attr("y2", across ? 0 : length);
  line("grad-minor", minor, 4);
  line("grad-major", major, 8);

  g.selectAll<SVGTextElement, number>("text.rail-number")
    .data(major.filter((v) => !inside.some((w) => Math.abs(scale(v) - scale(w.value)) < (across ? 17 : 32))))
    .join("text")
    .attr("class", "rail-number")
    .attr("transform", (v) => at(scale(v), BEAM_PX + (across ? 11 : 20)))
    .attr("dy", across ? "0.35em" : 0)
    .attr("text-anchor", across ? (out > 0 ? "start" : "end") : "middle")
    .text(format);

  g.selectAll("text.rail-title")
    .data([AXIS_TITLE[box.axis]])
    .join("text")
    .attr("class", "rail-title")
    .attr(
      "transform",
      across ? `translate(${out * 57},${box.length / 2}) rotate(-90)` : `translate(${box.length / 2},44)`,
    )
    .attr("dy", across ? "0.35em" : 0)
    .attr("text-anchor", "middle")
    .text((d) => d);

  g.selectAll<SVGLineElement, Weight>("line.rail-doubt")
    .data(
      inside.filter((w) => w.sd !== null && !w.hollow),
      (w) => w.key,
    )
    .join("line")
    .attr("class", "rail-doubt")
    .attr("transform", at(0, BEAM_PX / 2))
    .each(function (w) {
      const ends = [w.value - w.sd!, w.value + w.sd!].map((v) =>
        scale(Math.min(Math.max(v, domain[0]), domain[1])),
      );
      this.setAttribute(across ? "y1" : "x1", String(ends[0]));
      this.setAttribute(across ? "y2" : "x2", String(ends[1]));
    });

  const weight = g
    .selectAll<SVGGElement, Weight>("g.weight")
    .data(inside, (w) => w.key)
    .join((enter) => {
      const w = enter.append("g");
      w.append("path");
      w.append("text");
      return w;
    })
    .attr("class", (w) => `weight${w.hollow ? " weight-hollow" : ""}`)
    .attr("transform", (w) => at(scale(w.value), BEAM_PX / 2));
  const aside = (w: Weight) => swing(inside, w, scale, across ? WEIGHT.height + 1 : WEIGHT.width + 1);
  weight.select("path").attr("d", (w) => weightPath(box.side, aside(w)));
  weight
    .select("text")
    .attr("text-anchor", "middle")
    .attr("x", (w) => (across ? out * (WEIGHT.neck + WEIGHT.width / 2 + 1) : aside(w)))
    .attr("y", (w) => (across ? aside(w) : WEIGHT.neck + WEIGHT.height / 2 + 1))
    .attr("dy", "0.35em")
    .text((w) => formatAxis(box.axis, w.value));
}

/**
 * How far the cursor's weight swings aside so that its figure does not cover the drink's: pixels along the beam,
 * 0 where the two hang clear of each other.
 */
function swing(
  weights: readonly Weight[],
  weight: Weight,
  scale: (v: number) => number,
  bodyPx: number,
): number {
  const other = weights.find((w) => w.key !== weight.key);
  if (!weight.hollow || !other) return 0;
  const gap = scale(weight.value) - scale(other.value);
  const side = gap < 0 ? -1 : 1;
  return Math.abs(gap) >= bodyPx ? 0 : side * (bodyPx - Math.abs(gap));
}

/** A knife edge on the beam and a body that widens away from it, as a poise does; the body hangs `aside` pixels along the beam. */
function weightPath(side: BeamBox["side"], aside: number): string {
  const { width, height, neck } = WEIGHT;
  if (side === "below") {
    const half = width / 2;
    const x = (v: number) => v + aside;
    return `M0,0L${x(5)},${neck}L${x(half - 2)},${neck}L${x(half)},${neck + height}L${x(-half)},${neck + height}L${x(-half + 2)},${neck}L${x(-5)},${neck}Z`;
  }
  const s = side === "left" ? -1 : 1;
  const half = height / 2;
  const y = (v: number) => v + aside;
  return `M0,0L${s * neck},${y(-5)}L${s * neck},${y(-half + 1)}L${s * (neck + width)},${y(-half)}L${s * (neck + width)},${y(half)}L${s * neck},${y(half - 1)}L${s * neck},${y(5)}Z`;
}
