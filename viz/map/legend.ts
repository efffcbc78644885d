import type { Scene } from "./scene.ts";
import type { G } from "./svg-layer.ts";

interface Entry {
  key: string;
  /** Draws the sample about (0, 0), at most 30 px wide and 18 high. */
  sample(g: G, scene: Scene): void;
  text: string;
}

const LINE_PX = 15;
const GAP_PX = 5;
const SAMPLE_PX = 40;
const STYLE = { px: 12 };

const path = (g: G, name: string, d: string) => g.append("path").attr("class", name).attr("d", d);
const disc = (g: G, name: string, r: number) => g.append("circle").attr("class", name).attr("r", r);

function balloon(g: G, kind: string, tag: string): void {
  const b = g.append("g").attr("class", `balloon balloon-${kind}`);
  b.append("circle").attr("r", 8.5);
  b.append("text").attr("text-anchor", "middle").attr("dy", "0.35em").text(tag);
}

/** Only what the picture really holds is explained. */
function entriesOf(scene: Scene): Entry[] {
  const { model, items } = scene;
  const entries: Entry[] = [];
  const has = (kind: string) => items.some((i) => i.kind === kind);
  if (model.target) {
    entries.push(
      {
        key: "slice",
        text: `${model.targetLabel}, with the third number as it is`,
        sample: (g) => path(g, "slice", "M-14,-7H14V7H-14Z"),
      },
      {
        key: "shadow",
        text: "its reach when the third number changes too",
        sample: (g, s) => {
          path(g, "shadow", "M-14,-7H14V7H-14Z").style("fill", `url(#${s.idPrefix}-hatch)`);
        },
      },
    );
  }
  const current = items.find((i) => i.current);
  if (current) {
    entries.push({
      key: "current",
      text: "this round; the rings hold 68 and 95 of 100 real glasses",
      sample: (g) => {
        path(g, "doubt doubt-95 doubt-round", "M-15,0A15,8 0 1 1 15,0A15,8 0 1 1 -15,0Z");
        path(g, "doubt doubt-68 doubt-round", "M-10,0A10,5.5 0 1 1 10,0A10,5.5 0 1 1 -10,0Z");
        disc(g.append("g").attr("class", "m-mark m-mark-round is-current"), "shape", 4);
      },
    });
  }
  if (items.some((i) => i.kind === "round" && i.parent !== null)) {
    entries.push({
      key: "trail",
      text: `from round to round${items.some((i) => i.abandoned) ? "; dashed: abandoned" : ""}`,
      sample: (g) => {
        const step = g.append("g").attr("class", "m-step");
        path(step as unknown as G, "shaft", "M-15,0H15");
        path(step as unknown as G, "head", "M8,-4L15,0L8,4");
      },
    });
  }
  if (has("live")) {
    entries.push({
      key: "live",
      text: "your spec as edited now",
      sample: (g) => {
        path(g, "tether", "M-15,0H-6");
        path(g.append("g").attr("class", "m-mark m-mark-live") as unknown as G, "shape", "M-6,-6H6V6H-6Z");
      },
    });
  }
  model.ghosts.slice(0, 6).forEach((ghost) => {
    const item = items.find((i) => i.kind === "ghost" && i.id === ghost.id);
    if (!item) return;
    entries.push({
      key: item.key,
      text: ghost.name,
      sample: (g) => {
        path(g, "move", "M-16,4Q-10,-6 -1,0");
        balloon(g.append("g").attr("transform", "translate(8,0)") as unknown as G, "ghost", item.tag);
      },
    });
  });
  if (has("reference")) {
    entries.push({
      key: "reference",
      text: "a classic; point at it for its name",
      sample: (g) => {
        const m = g.append("g").attr("class", "m-mark m-mark-reference");
        path(m as unknown as G, "shape", "M-3.5,0H3.5M0,-3.5V3.5").attr("transform", "rotate(45)");
      },
    });
  }
  if (scene.hand) {
    entries.push({
      key: "weight",
      text: "your drink on each axis, with its ±",
      sample: (g) => {
        const w = g.append("g").attr("class", "weight");
        path(w as unknown as G, "", "M0,-9L5,-4L13,-4L15,9L-15,9L-13,-4L-5,-4Z");
      },
    });
  }
  return entries;
}

function wrap(text: string, width: number, scene: Scene): string[] {
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const last = lines[lines.length - 1];
    if (last !== undefined && scene.measure(`${last} ${word}`, STYLE) <= width) {
      lines[lines.length - 1] = `${last} ${word}`;
    } else lines.push(word);
  }
  return lines;
}

/** Height the legend takes at a width, in pixels. */
export function legendHeight(scene: Scene, width: number): number {
  return entriesOf(scene).reduce(
    (sum, e) => sum + Math.max(20, wrap(e.text, width - SAMPLE_PX, scene).length * LINE_PX) + GAP_PX,
    0,
  );
}

/** Draw the key to the picture. */
export function drawLegend(g: G, box: { left: number; top: number; width: number }, scene: Scene): void {
  g.attr("transform", `translate(${box.left},${box.top})`).selectAll("*").remove();
  let top = 0;
  for (const entry of entriesOf(scene)) {
    const lines = wrap(entry.text, box.width - SAMPLE_PX, scene);
    const height = Math.max(20, lines.length * LINE_PX);
    const row = g.append("g").attr("transform", `translate(0,${top})`);
    entry.sample(row.append("g").attr("transform", "translate(17,10)") as unknown as G, scene);
    const text = row.append("text").attr("class", "legend-text").attr("x", SAMPLE_PX);
    lines.forEach((line, i) => {
      text
        .append("tspan")
        .attr("x", SAMPLE_PX)
        .attr("y", 14 + i * LINE_PX)
        .text(line);
    });
    top += height + GAP_PX;
  }
}
