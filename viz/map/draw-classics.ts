import {
  type SymbolType,
  symbol,
  symbolCircle,
  symbolCross,
  symbolDiamond,
  symbolSquare,
  symbolStar,
  symbolTriangle,
  symbolWye,
} from "d3";
import type { MapModel, MapReference, XY } from "./model.ts";
import { placeIn, type Scene } from "./scene.ts";
import type { G } from "./svg-layer.ts";

/** One shape a family, in the order the families come; past the last shape they begin again, hollow. */
const SHAPES: readonly SymbolType[] = [
  symbolCircle,
  symbolDiamond,
  symbolSquare,
  symbolTriangle,
  symbolCross,
  symbolStar,
  symbolWye,
];

/** The family a classic is drawn as: a chosen one it belongs to, else its first. */
export function familyOf(reference: MapReference, chosen: readonly string[]): string {
  return reference.families.find((id) => chosen.includes(id)) ?? reference.families[0] ?? "";
}

/** The mark of a family: its shape, and whether it is drawn hollow. */
export function markOf(family: string, model: MapModel): { type: SymbolType; hollow: boolean } {
  const at = Math.max(
    0,
    model.familyNames.findIndex(({ id }) => id === family),
  );
  return { type: SHAPES[at % SHAPES.length]!, hollow: at >= SHAPES.length };
}

/** Area of a mark in square pixels, for a text size. */
const areaOf = (typePx: number, big: boolean) => (big ? 0.34 : 0.2) * typePx * typePx;

const isKin = (reference: MapReference, { families }: MapModel) =>
  reference.families.some((id) => families.includes(id));

/** Where the marks of the chosen families stand, for names to keep off. */
export function kinMarks({ frame, model, layers }: Scene): XY[] {
  if (!layers.has("classics")) return [];
  const place = placeIn(frame);
  return model.references.filter((r) => isKin(r, model)).map(({ point }) => place(point));
}

/** The classics: those of the chosen families plain, the rest faded, each with its family's mark. */
export function drawClassics(g: G, scene: Scene): void {
  const { frame, model, layers, cursor } = scene;
  const place = placeIn(frame);
  const { typePx, plot } = frame.layout;
  const shown = layers.has("classics")
    ? model.references.filter(({ point }) => {
        const [x, y] = place(point);
        return x > -5 && y > -5 && x < plot.width + 5 && y < plot.height + 5;
      })
    : [];
  const draw = symbol<MapReference>();
  g.selectAll<SVGPathElement, MapReference>("path")
    .data(shown, (r) => r.id)
    .join("path")
    .attr("data-id", (r) => r.id)
    .attr("class", (r) =>
      [
        "classic",
        isKin(r, model) ? "is-kin" : "is-faded",
        markOf(familyOf(r, model.families), model).hollow && "is-hollow",
        r.id === model.beside && "is-beside",
        cursor?.id === r.id && cursor.kind === "reference" && "is-cursor",
      ]
        .filter(Boolean)
        .join(" "),
    )
    .attr("transform", (r) => `translate(${place(r.point).map((v) => v.toFixed(1))})`)
    .attr("d", (r) => {
      const { type } = markOf(familyOf(r, model.families), model);
      return draw.type(type).size(areaOf(typePx, r.id === model.beside || isKin(r, model)))(r);
    });
}
