import { halfWay } from "./arrow-path.ts";
import { markRadius } from "./draw-marks.ts";
import type { MoveMark } from "./draw-paths.ts";
import type { Item } from "./items.ts";
import {
  type LabelWish,
  type Obstacles,
  overlap,
  type PlacedLabel,
  placeLabels,
  type Rect,
  rectOf,
} from "./label-placement.ts";
import type { PanelBox } from "./layout.ts";
import type { XY } from "./model.ts";
import type { Hit, Scene } from "./scene.ts";
import { type G, toPath } from "./svg-layer.ts";

/** Paper per reference name, in square pixels: a fuller panel cannot be read. */
const AREA_PER_NAME = 9000;
/** How many references the small panels may name. */
const SMALL_PANEL_NAMES = 4;

/** The words of a move without its amounts: "lime juice ¾ → 1 oz" is "lime juice" where there is no room. */
export function shortLabel(label: string): string {
  return label.split(/\s+(?=[\d¼½¾⅓⅔⅛⅜⅝⅞+−(-])/u)[0]!.replace(/:$/, "") || label;
}

type Text = PlacedLabel & { text: string };

function drawTexts(layer: G, texts: readonly Text[], name: string, backed: boolean): void {
  const groups = layer
    .selectAll<SVGGElement, Text>(`g.${name}`)
    .data(texts, (t) => t.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("path").attr("class", "leader");
      if (backed) g.append("rect").attr("class", "backing").attr("rx", 2);
      g.append("text").attr("dy", "0.33em").attr("text-anchor", "middle");
      return g;
    })
    .attr("class", name);
  groups.select("path").attr("d", (t) => (t.leader ? toPath([...t.leader]) : null));
  groups
    .select("text")
    .attr("x", (t) => t.x)
    .attr("y", (t) => t.y)
    .text((t) => t.text);
  if (backed) {
    groups
      .select("rect")
      .attr("x", (t) => t.x - t.width / 2)
      .attr("y", (t) => t.y - t.height / 2)
      .attr("width", (t) => t.width)
      .attr("height", (t) => t.height);
  }
}

function drawBalloons(layer: G, balloons: readonly (Text & { item: Item })[], cursor: Item | null): void {
  const groups = layer
    .selectAll<SVGGElement, Text & { item: Item }>("g.balloon")
    .data(balloons, (t) => t.key)
    .join((enter) => {
      const g = enter.append("g");
      g.append("path").attr("class", "leader");
      g.append("circle");
      g.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return g;
    })
    .attr("class", (t) =>
      [
        `balloon balloon-${t.item.kind}`,
        t.item.current && "is-current",
        t.item.abandoned && "is-abandoned",
        t.item.key === cursor?.key && "is-cursor",
      ]
        .filter(Boolean)
        .join(" "),
    );
  groups.select("path").attr("d", (t) => (t.leader ? toPath([...t.leader]) : null));
  groups
    .select("circle")
    .attr("cx", (t) => t.x)
    .attr("cy", (t) => t.y)
    .attr("r", (t) => t.height / 2);
  groups
    .select("text")
    .attr("x", (t) => t.x)
    .attr("y", (t) => t.y)
    .text((t) => t.text);
}

/** Where a panel's labels are drawn, from the lowest up. */
export interface LabelLayers {
  names: G;
  balloons: G;
  overlay: G;
}

/**
 * Label a panel. Balloons (round numbers, proposal letters) and reference names have places that do not depend on the
 * cursor, so nothing jumps under it; the moves of an active proposal and the cursor's own name are laid over them.
 * Returns what the pointer can find.
 */
export function drawLabels(
  layers: LabelLayers,
  box: PanelBox,
  scene: Scene,
  place: (i: Item) => XY,
  moves: readonly MoveMark[],
  segments: readonly (readonly [XY, XY])[],
  caption: string,
): Hit[] {
  const { primary } = box;
  const bounds: Rect = { left: 2, top: 2, right: box.width - 2, bottom: box.height - 2 };
  const inside = ([x, y]: XY) => x >= 0 && y >= 0 && x <= box.width && y <= box.height;
  const shown = scene.items.filter((i) => inside(place(i)));
  const rectOfMark = (i: Item): Rect => {
    const [x, y] = place(i);
    const r = markRadius(i, primary);
    return { left: x - r, right: x + r, top: y - r, bottom: y + r };
  };
  const rects = shown.map(rectOfMark);
  if (caption) rects.push({ left: 0, top: 0, right: scene.measure(caption, { px: 11 }) + 14, bottom: 22 });
  layers.overlay
    .selectAll("rect.caption-paper")
    .data(caption ? [caption] : [])
    .join((enter) => enter.insert("rect", ":first-child"))
    .attr("class", "caption-paper")
    .attr("x", 0.5)
    .attr("y", 0.5)
    .attr("width", (d) => scene.measure(d, { px: 11 }) + 13)
    .attr("height", 21);
  layers.overlay
    .selectAll("text.caption")
    .data(caption ? [caption] : [])
    .join("text")
    .attr("class", "caption")
    .attr("x", 7)
    .attr("y", 15)
    .text((d) => d);

  const near: XY = scene.hand ? place(scene.hand) : [box.width / 2, box.height / 2];
  const distance = (i: Item) => Math.hypot(place(i)[0] - near[0], place(i)[1] - near[1]);
  const most = primary ? Math.round((box.width * box.height) / AREA_PER_NAME) : SMALL_PANEL_NAMES;
  const references = shown.filter((i) => i.kind === "reference");
  const namePx = primary ? 12 : 11;
  const balloonPx = primary ? 18 : 16;
  const placed = placedOrHeld(
    scene,
    box,
    [
      ...shown
        .filter((i) => i.tag !== "")
        .map((i) => ({
          key: i.key,
          anchor: place(i),
          radius: markRadius(i, primary),
          width: Math.max(balloonPx, scene.measure(i.tag, { px: 12, bold: true }) + 6),
          height: balloonPx,
          priority: (i.current ? 130 : 100) - (i.kind === "ghost" ? 10 : 0) - (i.abandoned ? 5 : 0),
          required: true,
        })),
      ...references.map((i) => ({
        key: i.key,
        anchor: place(i),
        radius: markRadius(i, primary),
        width: scene.measure(i.name, { px: namePx, italic: true, bold: i.highlighted }) + 4,
        height: primary ? 15 : 14,
        priority: (i.highlighted ? 60 : 40) - Math.min(30, (distance(i) / box.width) * 30),
        required: false,
      })),
    ],
    bounds,
    { rects, segments },
    most,
  );
  const byKey = new Map(scene.items.map((i) => [i.key, i]));
  const balloons = placed.flatMap((label) => {
    const item = byKey.get(label.key)!;
    return item.kind === "reference" ? [] : [{ ...label, text: item.tag, item }];
  });
  drawBalloons(layers.balloons, balloons, scene.cursor);

  const over = overlayOf(scene, box, place, moves, (p) => inside(p), placed);
  const overPlaced = placeLabels(
    over.map((o) => o.wish),
    bounds,
    {
      rects: [...shown.filter((i) => i.kind !== "reference").map(rectOfMark), ...balloons.map(rectOf)],
      segments,
    },
  );
  const tags = overPlaced.map((label) => ({
    ...label,
    text: over.find((o) => o.wish.key === label.key)!.text,
  }));
  drawTexts(layers.overlay, tags, "m-tag", true);
  layers.overlay
    .selectAll<SVGGElement, Text>("g.m-tag")
    .classed("m-tag-move", (t) => t.key.startsWith("move "));

  // A name half under a tag is worse than none.
  const names = placed.flatMap((label) => {
    const item = byKey.get(label.key)!;
    const hidden = tags.some((tag) => overlap(rectOf(tag), rectOf(label)) > 0);
    return item.kind === "reference" && !hidden ? [{ ...label, text: item.name }] : [];
  });
  drawTexts(layers.names, names, "m-name", false);
  layers.names
    .selectAll<SVGGElement, Text>("g.m-name")
    .classed("is-highlighted", (t) => byKey.get(t.key)!.highlighted)
    .style("font-size", `${namePx}px`);

  return [
    ...shown.map((i) => ({
      key: i.key,
      at: place(i),
      half: [0, 0] as XY,
      handicap: i.kind === "reference" ? 4 : 0,
    })),
    ...[...balloons, ...names].map((t) => ({
      key: t.key,
      at: [t.x, t.y] as XY,
      half: [t.width / 2, t.height / 2] as XY,
      handicap: byKey.get(t.key)!.kind === "reference" ? 6 : 1,
    })),
  ];
}

/** Labels placed anew, or, while they are held, each where it stood beside its mark. */
function placedOrHeld(
  { labels }: Scene,
  box: PanelBox,
  wishes: readonly LabelWish[],
  bounds: Rect,
  obstacles: Obstacles,
  mostOptional: number,
): PlacedLabel[] {
  const shift = (label: PlacedLabel, [dx, dy]: XY): PlacedLabel => ({
    ...label,
    x: label.x + dx,
    y: label.y + dy,
    leader: label.leader && [
      [label.leader[0][0] + dx, label.leader[0][1] + dy],
      [label.leader[1][0] + dx, label.leader[1][1] + dy],
    ],
  });
  const before = labels.held ? labels.placed.get(box.id) : undefined;
  if (before) {
    const kept = wishes.flatMap((wish) => {
      const label = before.get(wish.key);
      return label ? [shift(label, wish.anchor)] : [];
    });
    const fresh = wishes.filter((wish) => wish.required && !before.has(wish.key));
    const rects = [...obstacles.rects, ...kept.map(rectOf)];
    return [...kept, ...placeLabels(fresh, bounds, { ...obstacles, rects })];
  }
  const placed = placeLabels(wishes, bounds, obstacles, mostOptional);
  const anchors = new Map(wishes.map((wish) => [wish.key, wish.anchor]));
  labels.placed.set(
    box.id,
    new Map(
      placed.map((label) => {
        const [x, y] = anchors.get(label.key)!;
        return [label.key, shift(label, [-x, -y])];
      }),
    ),
  );
  return placed;
}

function overlayOf(
  scene: Scene,
  box: PanelBox,
  place: (i: Item) => XY,
  moves: readonly MoveMark[],
  inside: (p: XY) => boolean,
  placed: readonly PlacedLabel[],
): { wish: LabelWish; text: string }[] {
  const width = (text: string) => scene.measure(text, { px: 12, bold: true }) + 10;
  const over = moves.flatMap((m) => {
    const middle = m.active ? halfWay(m.points) : null;
    if (!middle || !inside(middle)) return [];
    const key = `move ${m.key}`;
    const wish: LabelWish = {
      key,
      anchor: middle,
      radius: 2,
      width: width(m.label),
      height: 17,
      priority: 50 - m.index,
      required: true,
    };
    return [{ wish, text: m.label }];
  });
  const { cursor } = scene;
  const isNamed = cursor?.kind === "reference" && placed.some((p) => p.key === cursor.key);
  if (cursor?.name && !isNamed && inside(place(cursor))) {
    const wish: LabelWish = {
      key: cursor.key,
      anchor: place(cursor),
      radius: markRadius(cursor, box.primary) + 5,
      width: width(cursor.name),
      height: 18,
      priority: 60,
      required: true,
    };
    over.push({ wish, text: cursor.name });
  }
  return over;
}
