import { area, axisBottom, axisLeft, extent, line, scaleLinear, select, ticks } from "d3";
import type { MeltTrack } from "../../engine/dilution/melt.ts";
import { ACTIONS } from "./words.ts";

const MARGIN = { top: 20, right: 26, bottom: 36, left: 48 };
const GAP = 34;

interface Curve {
  name: string;
  caption: string;
  values: readonly number[];
  sds: readonly number[];
}

/** Draw temperature above and melt water below, against time, each with one standard uncertainty about it. */
export function drawMelt(svg: SVGSVGElement, track: MeltTrack, width: number, height: number): void {
  const curves: Curve[] = [
    { name: "temp", caption: "°C", values: track.tempC, sds: track.tempSdC },
    {
      name: "water",
      caption: "melt water, % of the pour",
      values: track.ratio.map((r) => 100 * r),
      sds: track.ratioSd.map((r) => 100 * r),
    },
  ];
  const [left, right] = [MARGIN.left, width - MARGIN.right];
  // The shake is seconds and the glass is minutes: each phase gets half of the width.
  const { phases } = track;
  const edges = [0, ...phases.map(({ toS }) => toS)];
  const x = scaleLinear(
    edges,
    edges.map((_, i) => left + ((right - left) * i) / phases.length),
  );
  const tall = (height - MARGIN.top - MARGIN.bottom - GAP) / 2;
  const root = select(svg).attr("viewBox", `0 0 ${width} ${height}`);
  const group = (name: string) =>
    root.selectAll<SVGGElement, null>(`g.${name}`).data([null]).join("g").attr("class", `${name} p-axis`);
  // Whole seconds on the ice, whole minutes in the glass.
  const marks = phases.flatMap(({ fromS, toS }) => {
    const unit = toS - fromS > 120 ? 60 : 1;
    return ticks(fromS / unit, toS / unit, width < 460 ? 2 : 4)
      .map((t) => t * unit)
      .filter((t) => t > fromS || t === 0);
  });
  group("time")
    .attr("transform", `translate(0,${height - MARGIN.bottom})`)
    .call(
      axisBottom(x)
        .tickValues(marks)
        .tickFormat((t) =>
          Number(t) < 120 ? `${Math.round(Number(t))} s` : `${Math.round(Number(t) / 60)} min`,
        )
        .tickSizeOuter(0),
    );
  root
    .selectAll("text.p-phase")
    .data(phases)
    .join("text")
    .attr("class", "p-phase")
    .attr("x", ({ fromS, toS }) => (x(fromS) + x(toS)) / 2)
    .attr("y", height - 4)
    .attr("text-anchor", "middle")
    .text(({ action }) => ACTIONS[action]);
  root
    .selectAll("line.p-turn")
    .data(phases.slice(1))
    .join("line")
    .attr("class", "p-turn")
    .attr("x1", ({ fromS }) => x(fromS))
    .attr("x2", ({ fromS }) => x(fromS))
    .attr("y1", MARGIN.top)
    .attr("y2", height - MARGIN.bottom);
  curves.forEach(({ name, caption, values, sds }, k) => {
    const top = MARGIN.top + k * (tall + GAP);
    const [low = 0, high = 1] = extent(values.flatMap((v, i) => [v - sds[i]!, v + sds[i]!]));
    const y = scaleLinear([Math.min(low, 0), high], [top + tall, top]).nice(4);
    group(`up-${name}`).attr("transform", `translate(${left},0)`).call(axisLeft(y).ticks(4).tickSizeOuter(0));
    const at = values.map((_, i) => i);
    const path = (cls: string, d: string | null) =>
      root
        .selectAll(`path.${cls}-${name}`)
        .data([d])
        .join("path")
        .attr("class", `${cls}-${name} p-${cls}`)
        .attr("d", (v) => v);
    path(
      "band",
      area<number>()
        .x((i) => x(track.timeS[i]!))
        .y0((i) => y(values[i]! - sds[i]!))
        .y1((i) => y(values[i]! + sds[i]!))
        .digits(1)(at),
    );
    path(
      "line",
      line<number>()
        .x((i) => x(track.timeS[i]!))
        .y((i) => y(values[i]!))
        .digits(1)(at),
    );
    root
      .selectAll(`text.title-${name}`)
      .data([caption])
      .join("text")
      .attr("class", `title-${name} p-caption`)
      .attr("x", left)
      .attr("y", top - 7)
      .text((d) => d);
  });
}
