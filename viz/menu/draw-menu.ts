import { extent, forceCollide, forceSimulation, forceX, forceY, polygonHull, select } from "d3";
import type { MenuReport } from "../../engine/menu/menu.ts";
import type { Vec3 } from "../../engine/types.ts";
import { spread } from "../map/draw-alcohol.ts";
import { drawArms, drawPaper } from "../map/draw-paper.ts";
import { type LabelWish, type PlacedLabel, placeLabels, type Rect } from "../map/label-placement.ts";
import { layoutFor } from "../map/layout.ts";
import { linearScale } from "../map/linear-scale.ts";
import type { XY } from "../map/model.ts";
import { type Frame, placeIn, type Scene } from "../map/scene.ts";
import { type G, type Svg, toPath } from "../map/svg-layer.ts";
import type { Axis } from "../words/axis.ts";

/** What the picture shows. */
export interface MenuPicture {
  drinks: readonly { name: string; point: Vec3 }[];
  report: Pick<MenuReport, "groups" | "corners">;
  measure: Scene["measure"];
}

/** Anything with a mark: a drink by its number in the table, a corner by its letter. */
interface Mark {
  key: string;
  tag: string;
  name: string;
  point: Vec3;
  /** Number of the group; null for a corner. */
  group: number | null;
}

const TYPE_PX = 13;
/** With more drinks the numbers would cover one another, and names alone tell. */
const MOST_NUMBERED = 40;
const LONGEST_NAME = 24;
/** Up to so many drinks every one is named, even where names meet. */
const ALL_NAMED = 16;
/** No axis shows less than this. */
const LEAST_SPAN: Vec3 = [3, 0.3, 6];
const CORNER_TAGS = ["x", "y", "z"] as const;

/** The letter a corner goes by. */
export const cornerTag = (i: number): string => CORNER_TAGS[i] ?? "";

function marksOf({ drinks, report }: MenuPicture): Mark[] {
  const groupOf = (i: number) => report.groups.findIndex(({ members }) => members.includes(i));
  const shown = drinks.map(
    ({ name, point }, i): Mark => ({
      key: `drink ${i}`,
      tag: String(i + 1),
      name: name.length > LONGEST_NAME ? `${name.slice(0, LONGEST_NAME - 1).trimEnd()}…` : name,
      point,
      group: groupOf(i),
    }),
  );
  const corners = report.corners.map(
    ({ centre }, i): Mark => ({
      key: `corner ${i}`,
      tag: cornerTag(i),
      name: "",
      point: centre,
      group: null,
    }),
  );
  return [...corners, ...shown];
}

function frameOf(marks: readonly Mark[], width: number, height: number): Frame {
  const layout = layoutFor(width, height, TYPE_PX);
  const { plot, alcohol } = layout;
  const domain = (k: Axis): [number, number] => {
    const [low = 0, high = 1] = extent(marks, ({ point }) => point[k]);
    const pad = Math.max(0.09 * (high - low), (LEAST_SPAN[k] - (high - low)) / 2);
    // The bar of an axis stands at nothing, or where the drinks begin; marks at nothing keep clear of it.
    return [Math.max(low - pad, -0.05 * (high + pad)), high + pad];
  };
  const [sugar, acid, abv] = [domain(0), domain(1), domain(2)];
  return {
    layout,
    x: linearScale(sugar, [0, plot.width]),
    y: linearScale(acid, [plot.height, 0]),
    z: linearScale(abv, alcohol.upright ? [alcohol.length, 0] : [0, alcohol.length]),
  };
}

/** Draw the menu: sugar across and acid up, alcohol on its arm, groups on grounds, corners as broken rings. */
export function drawMenu(node: SVGSVGElement, picture: MenuPicture, width: number, height: number): void {
  const svg = select(node).attr("viewBox", `0 0 ${width} ${height}`).style("font-size", `${TYPE_PX}px`);
  const marks = marksOf(picture);
  const frame = frameOf(marks, width, height);
  const { plot } = frame.layout;
  const layer = (name: string, left = 0, top = 0): G =>
    (svg as unknown as Svg)
      .selectAll<SVGGElement, string>(`g.${name}`)
      .data([name])
      .join("g")
      .attr("class", name)
      .attr("transform", `translate(${left},${top})`) as unknown as G;
  drawPaper(layer("menu-paper", plot.left, plot.top), { frame });
  drawGrounds(layer("menu-grounds", plot.left, plot.top), picture.report.groups, picture.drinks, frame);
  drawArms(layer("menu-arms"), { frame });
  drawMarks(layer("menu-marks", plot.left, plot.top), marks, frame, picture);
  drawOnArm(layer("menu-arm", frame.layout.alcohol.left, frame.layout.alcohol.top), marks, frame);
}

/** A ground under each group: what joins its outermost drinks, widened. A lone drink has a disc. */
function drawGrounds(g: G, groups: MenuReport["groups"], drinks: MenuPicture["drinks"], frame: Frame): void {
  const at = placeIn(frame);
  const outline = (members: readonly number[]) => {
    const points = members.map((i): [number, number] => [...at(drinks[i]!.point)]);
    return `${toPath(polygonHull(points) ?? points)}Z`;
  };
  g.selectAll("path")
    .data(groups.length > 1 ? groups : [])
    .join("path")
    .attr("class", (_, i) => `menu-ground shade-${i}`)
    .attr("d", ({ members }) => outline(members));
}

/** Where marks stand so that none covers another: as near to their points as that allows, in pixels. */
function standApart(points: readonly XY[], radius: number): XY[] {
  const nodes = points.map(([x, y]) => ({ x, y }));
  forceSimulation(nodes)
    .force("x", forceX((_, i) => points[i]![0]).strength(0.15))
    .force("y", forceY((_, i) => points[i]![1]).strength(0.15))
    .force("apart", forceCollide(radius).strength(1).iterations(4))
    .stop()
    .tick(200);
  return nodes.map(({ x, y }) => [x, y]);
}

function drawMarks(g: G, marks: readonly Mark[], frame: Frame, picture: MenuPicture): void {
  const { plot } = frame.layout;
  const numbered = picture.drinks.length <= MOST_NUMBERED;
  const radius = (numbered ? 0.8 : 0.4) * TYPE_PX;
  const points = marks.map(({ point }) => placeIn(frame)(point));
  const stands = new Map(standApart(points, radius + 1.5).map((stand, i) => [marks[i]!.key, stand]));
  const stand = ({ key }: Mark): XY => stands.get(key)!;
  const groups = g
    .selectAll<SVGGElement, Mark>("g.menu-mark")
    .data(marks, ({ key }) => key)
    .join((enter) => {
      const mark = enter.append("g");
      mark.append("path");
      mark.append("circle");
      mark.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return mark;
    })
    .attr("class", ({ group }) => `menu-mark ${group === null ? "is-corner" : `shade-${group}`}`)
    .attr("transform", (mark) => `translate(${stand(mark).map((v) => v.toFixed(1))})`);
  // From a mark that had to stand aside to where its drink is.
  groups.select("path").attr("d", (mark, i) => {
    const [dx, dy] = [points[i]![0] - stand(mark)[0], points[i]![1] - stand(mark)[1]];
    return Math.hypot(dx, dy) < 2 ? null : `M0,0L${dx.toFixed(1)},${dy.toFixed(1)}`;
  });
  groups.select("circle").attr("r", ({ group }) => (group === null ? 0.8 * TYPE_PX : radius));
  groups.select("text").text(({ tag, group }) => (numbered || group === null ? tag : ""));
  const wish = (key: string, text: string, anchor: XY, priority: number, px: number): LabelWish => ({
    key,
    anchor,
    radius: radius + 2,
    width: picture.measure(text, { px, bold: px > TYPE_PX }) + 6,
    height: 1.3 * px,
    priority,
    required: px > TYPE_PX || picture.drinks.length <= ALL_NAMED,
  });
  const letters = picture.report.groups.length > 1 ? picture.report.groups : [];
  const texts = new Map([
    ...marks.map(({ key, name }) => [key, name] as const),
    ...letters.map(({ letter }) => [letter, letter] as const),
  ]);
  const wishes = [
    ...marks.filter(({ name }) => name !== "").map((m, i) => wish(m.key, m.name, stand(m), -i, TYPE_PX)),
    ...letters.map(({ letter, mean }) => wish(letter, letter, placeIn(frame)(mean), 1, 1.5 * TYPE_PX)),
  ];
  const taken = marks.map((mark): Rect => {
    const [x, y] = stand(mark);
    return { left: x - radius, right: x + radius, top: y - radius, bottom: y + radius };
  });
  const bounds = { left: 2, top: 2, right: plot.width - 2, bottom: plot.height - 2 };
  const names = g
    .selectAll<SVGGElement, PlacedLabel>("g.menu-name")
    .data(placeLabels(wishes, bounds, { rects: taken, segments: [] }), ({ key }) => key)
    .join((enter) => {
      const name = enter.append("g");
      name.append("path").attr("class", "leader");
      name.append("text").attr("dy", "0.33em").attr("text-anchor", "middle");
      return name;
    })
    .attr("class", ({ key }) => {
      const group = letters.findIndex(({ letter }) => letter === key);
      return group < 0 ? "menu-name" : `menu-name is-letter shade-${group}`;
    });
  names.select("path").attr("d", ({ leader }) => (leader ? toPath([...leader]) : null));
  names
    .select("text")
    .attr("x", ({ x }) => x.toFixed(1))
    .attr("y", ({ y }) => y.toFixed(1))
    .text(({ key }) => texts.get(key) ?? "");
}

/** Every drink as a notch on the alcohol arm, and by its number where there is room for all. */
function drawOnArm(g: G, marks: readonly Mark[], { layout, z }: Frame): void {
  const { upright, length } = layout.alcohol;
  const at = marks.map(({ point }) => z(point[2]));
  g.selectAll("path.notches")
    .data([at.map((v) => (upright ? `M0,${v.toFixed(1)}h-5` : `M${v.toFixed(1)},0v-5`)).join("")])
    .join("path")
    .attr("class", "notches")
    .attr("d", (d) => d);
  const apart = (upright ? 1.1 : 1.5) * TYPE_PX;
  const fits = marks.length * apart <= length;
  const places = fits ? spread(at, apart, length) : [];
  const off = 1.7 * TYPE_PX;
  const tags = places.map((place, i) => ({ ...marks[i]!, at: at[i]!, place }));
  const groups = g
    .selectAll<SVGGElement, (typeof tags)[number]>("g.alcohol-tag")
    .data(tags, ({ key }) => key)
    .join((enter) => {
      const tag = enter.append("g");
      tag.append("path");
      tag.append("text").attr("dy", "0.35em").attr("text-anchor", "middle");
      return tag;
    })
    .attr("class", ({ group }) => `alcohol-tag ${group === null ? "is-aside" : `shade-${group}`}`);
  const near = off - 0.7 * TYPE_PX;
  groups
    .select("path")
    .attr("d", (t) => (upright ? `M-5,${t.at}L${-near},${t.place}` : `M${t.at},-5L${t.place},${-near}`));
  groups
    .select("text")
    .attr("x", (t) => (upright ? -off : t.place))
    .attr("y", (t) => (upright ? t.place : -off))
    .text(({ tag }) => tag);
}
