import { line, scaleLog, scalePoint } from "d3";

/** One size or kind: the median of the instances, and the slowest of them, over HiGHS' median. */
export interface TimingPoint {
  x: string;
  median: number;
  max: number;
}

export interface TimingSeries {
  label: string;
  /** Decides shape, colour and dash, the same in every panel. */
  kind: keyof typeof MARKS;
  points: TimingPoint[];
}

export interface TimingPanel {
  title: string;
  xLabel: string;
  series: TimingSeries[];
}

const WIDTH = 900;
const HEIGHT = 400;
const TOP = 78;
const BOTTOM = 84;
const LEFT = 62;
const GAP = 26;
const RIGHT = 14;
const MARKS = {
  /** HiGHS itself, on the linear problem. */
  yardstick: "triangle",
  /** Ours, on the equal problem. */
  equal: "circle",
  /** Ours, on the real problem, which HiGHS cannot be given. */
  real: "square",
} as const;
/** Room a label needs, in slots of one point each. */
const SLOTS_PER_LETTER = 1 / 5;

const escaped = (s: string) => s.replace(/&/g, "&amp;").replace(/</g, "&lt;");
const at = (n: number) => n.toFixed(1);

function mark(shape: (typeof MARKS)[keyof typeof MARKS], x: number, y: number): string {
  if (shape === "circle") return `<circle cx="${at(x)}" cy="${at(y)}" r="4"/>`;
  if (shape === "square") return `<rect x="${at(x - 3.5)}" y="${at(y - 3.5)}" width="7" height="7"/>`;
  return `<path d="M${at(x)} ${at(y - 5)}l5 8.5h-10z"/>`;
}

/** 0.01 as "1/100": times below the yardstick's read as parts of it. */
const ratioLabel = (r: number) => (r >= 1 ? `${r}` : `1/${Math.round(1 / r)}`);

/**
 * Small multiples with one shared logarithmic axis of time over HiGHS' time, as an SVG that stands alone:
 * no script, no font, light and dark. Filled marks are medians, the thin bar above each reaches the
 * slowest instance. Series differ by shape and dash, not by colour alone.
 */
export function solveTimePlot(panels: readonly TimingPanel[], caption: string): string {
  const points = panels.flatMap((p) => p.series.flatMap((s) => s.points));
  const low = Math.min(1, ...points.map((p) => p.median));
  const high = Math.max(1, ...points.map((p) => p.max));
  const y = scaleLog(
    [10 ** Math.floor(Math.log10(low)), 10 ** Math.ceil(Math.log10(high * 1.05))],
    [HEIGHT - BOTTOM, TOP],
  );
  const decades = y.ticks(6).filter((t) => Math.abs(Math.log10(t) % 1) < 1e-9);
  const namesOf = (p: TimingPanel) => [...new Set(p.series.flatMap((s) => s.points.map((q) => q.x)))];
  const slots = panels.map((p) => Math.max(namesOf(p).length, SLOTS_PER_LETTER * namesOf(p).join("").length));
  const share = (WIDTH - LEFT - RIGHT - GAP * (panels.length - 1)) / slots.reduce((a, b) => a + b, 0);

  let left = LEFT;
  const body = panels.map((panel, k) => {
    const right = left + share * slots[k]!;
    const names = namesOf(panel);
    // A line between two kinds of target would mean nothing.
    const isOrdered = names.every((name) => Number.isFinite(Number(name)));
    const x = scalePoint(names, [left, right]).padding(0.5);
    const out = [
      `<text class="title" x="${at(left)}" y="20">${escaped(panel.title)}</text>`,
      ...decades.map(
        (d) =>
          `<path class="grid" d="M${at(left)} ${at(y(d))}H${at(right)}"/>${
            k === 0
              ? `<text x="${LEFT - 8}" y="${at(y(d) + 4)}" text-anchor="end">${ratioLabel(d)}</text>`
              : ""
          }`,
      ),
      ...names.map(
        (name) =>
          `<text x="${at(x(name)!)}" y="${HEIGHT - BOTTOM + 18}" text-anchor="middle">${escaped(name)}</text>`,
      ),
      `<text x="${at((left + right) / 2)}" y="${HEIGHT - BOTTOM + 36}" text-anchor="middle">${escaped(panel.xLabel)}</text>`,
      ...panel.series.flatMap((series, i) => {
        const shape = MARKS[series.kind];
        // Side by side, so that the bars of two series can be told apart.
        const px = (p: TimingPoint) => x(p.x)! + 7 * (i - (panel.series.length - 1) / 2);
        const trace = line<TimingPoint>(px, (p) => y(p.median)).digits(1)(series.points);
        return [
          `<g class="${series.kind}">`,
          isOrdered ? `<path class="trace" d="${trace}"/>` : "",
          ...series.points.map(
            (p) =>
              `<path class="bar" d="M${at(px(p))} ${at(y(p.median))}V${at(y(p.max))}"/>${mark(shape, px(p), y(p.median))}`,
          ),
          mark(shape, left + 6, 33 + 15 * i),
          `<text class="key" x="${at(left + 16)}" y="${37 + 15 * i}">${escaped(series.label)}</text>`,
          "</g>",
        ];
      }),
    ];
    left = right + GAP;
    return out.join("\n");
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${escaped(caption).replace(/"/g, "&quot;")}">
<style>
svg { font: 12px system-ui, sans-serif; background: #fff }
text { fill: #333 } .title { font-weight: 600; font-size: 13px }
.grid { stroke: #ddd }
.equal { fill: #1f5f8b; stroke: #1f5f8b } .real { fill: #a8570a; stroke: #a8570a } .yardstick { fill: #555; stroke: #555 }
.trace { fill: none; stroke-width: 1.5 } .real .trace { stroke-dasharray: 5 3 } .yardstick .trace { stroke-dasharray: 2 3 } .bar { stroke-width: 1; opacity: .6 }
g text { stroke: none; fill: #333 }
@media (prefers-color-scheme: dark) {
svg { background: #16181b } text, g text { fill: #ddd } .grid { stroke: #3a3d42 }
.equal { fill: #7fbbe3; stroke: #7fbbe3 } .real { fill: #eba35c; stroke: #eba35c } .yardstick { fill: #bbb; stroke: #bbb }
}
</style>
${body.join("\n")}
<text x="16" y="${at((TOP + HEIGHT - BOTTOM) / 2)}" text-anchor="middle" transform="rotate(-90 16 ${at((TOP + HEIGHT - BOTTOM) / 2)})">time ÷ HiGHS’ median</text>
<text x="${LEFT}" y="${HEIGHT - 12}">${escaped(caption)}</text>
</svg>
`;
}
