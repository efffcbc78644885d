import type { Scene } from "./scene.ts";
import { type G, written } from "./svg-layer.ts";

/** Values spread along an arm so that no two are nearer than `apart` pixels, in their order, within 0 … `length`. */
export function spread(at: readonly number[], apart: number, length: number): number[] {
  const order = at.map((_, i) => i).sort((a, b) => at[a]! - at[b]!);
  const out = [...at];
  let before = Number.NEGATIVE_INFINITY;
  for (const i of order) {
    out[i] = Math.max(out[i]!, before + apart);
    before = out[i]!;
  }
  let after = length;
  for (const i of [...order].reverse()) {
    out[i] = Math.min(out[i]!, after);
    after = out[i]! - apart;
  }
  return out;
}

/** What stands along the alcohol arm: the family's classics as notches, the rounds and proposals by their tags. */
export function drawAlcohol(g: G, scene: Scene): void {
  const { frame, model, items, hand, layers } = scene;
  const { alcohol, typePx } = frame.layout;
  const { upright } = alcohol;
  const inside = (v: number) => {
    const [low, high] = frame.z.domain;
    return v >= low && v <= high;
  };
  g.attr("transform", `translate(${alcohol.left},${alcohol.top})`);
  const kin = layers.has("classics")
    ? model.references.filter(
        (r) => r.families.some((id) => model.families.includes(id)) && inside(r.point[2]),
      )
    : [];
  const notch = kin.map((r) => {
    const at = frame.z(r.point[2]).toFixed(1);
    return upright ? `M0,${at}h-5` : `M${at},0v-5`;
  });
  g.selectAll("path.notches")
    .data([notch.join("")])
    .join("path")
    .attr("class", "notches")
    .attr("d", (d) => d);
  const marks = items.filter(
    (i) =>
      i.kind !== "reference" &&
      i.tag !== "" &&
      i.key !== hand?.key &&
      inside(i.point[2]) &&
      (i.kind === "ghost" ? i.id === model.shownGhost : layers.has("trail")),
  );
  const at = marks.map((i) => frame.z(i.point[2]));
  const apart = (upright ? 1.15 : 1.35) * typePx;
  const labels = spread(at, apart, alcohol.length);
  const off = 1.6 * typePx;
  const tags = marks.map((item, i) => ({ item, at: at[i]!, label: labels[i]! }));
  const groups = g
    .selectAll<SVGGElement, (typeof tags)[number]>("g.alcohol-tag")
    .data(tags, ({ item }) => item.key)
    .join((enter) => {
      const tag = enter.append("g");
      tag.append("path");
      tag.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return tag;
    })
    .attr("class", ({ item }) => `alcohol-tag alcohol-${item.kind}${item.abandoned ? " is-aside" : ""}`);
  groups
    .select("path")
    .attr("d", (t) =>
      upright
        ? `M0,${t.at}L${-off + 0.6 * typePx},${t.label}`
        : `M${t.at},0L${t.label},${-off + 0.6 * typePx}`,
    );
  groups
    .select("text")
    .attr("x", (t) => (upright ? -off : t.label))
    .attr("y", (t) => (upright ? t.label : -off))
    .call(written((t) => t.item.tag));
}
