import { select } from "d3";
import { perAxis } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import type { Axis } from "../words/axis.ts";
import type { XY } from "./model.ts";
import type { Frame } from "./scene.ts";
import type { Svg } from "./svg-layer.ts";

/** What a wish is dragged over. */
interface Ground {
  svg: Svg;
  /** The window; null before the first picture. */
  frame(): Frame | null;
  /** Where the drink at hand is. */
  hand(): Vec3 | null;
  measurePlot(): ((event: MouseEvent) => XY) | null;
  onWish(at: Vec3, done: boolean): void;
}

/** The axis of a weight that can be dragged, under the pointer; null where there is none. */
function weightAxis(target: Element): Axis | null {
  const weight = target.closest<SVGGElement>(".weight-hand");
  const datum = weight && (select(weight).datum() as { arm: { axis: Axis } });
  return datum ? datum.arm.axis : null;
}

/** Lets the drink's mark, or a weight on an arm, be dragged to where the drink is wanted. */
export function createWishDrag({ svg, frame, hand, measurePlot, onWish }: Ground): { active(): boolean } {
  let wishing: { axis: Axis | null; at: Vec3; moved: boolean } | null = null;
  let isLetGo = false;
  /** Looked for once in a drag: at every move the browser would have to lay out the page to tell. */
  let placed: ReturnType<typeof measurePlot> = null;
  const lose = () => {
    placed = null;
  };

  /** The point under the pointer, on the axes that are dragged; the drink's own on the others. */
  const wishAt = (event: PointerEvent): Vec3 | null => {
    const shown = frame();
    if (!wishing || !shown) return null;
    placed ??= measurePlot();
    const at = placed?.(event);
    if (!at) return null;
    const { plot, alcohol } = shown.layout;
    const along = alcohol.upright ? at[1] + plot.top - alcohol.top : at[0] + plot.left - alcohol.left;
    const pointed: Vec3 = [shown.x.invert(at[0]), shown.y.invert(at[1]), shown.z.invert(along)];
    const { axis } = wishing;
    const start = hand() ?? wishing.at;
    return perAxis((a) => Math.max(0, (axis === null ? a !== 2 : a === axis) ? pointed[a] : start[a]));
  };
  const end = (done: boolean) => {
    const ended = wishing;
    wishing = null;
    removeEventListener("scroll", lose, true);
    svg.classed("is-wishing", false);
    if (!done || !ended?.moved) return;
    isLetGo = true;
    onWish(ended.at, true);
  };

  svg
    .on("pointerdown.wish", (event: PointerEvent) => {
      isLetGo = false;
      const target = event.target as Element;
      const axis = weightAxis(target);
      const at = hand();
      if (event.button !== 0 || !at || (axis === null && !target.closest(".m-mark.is-hand"))) return;
      wishing = { axis, at, moved: false };
      placed = measurePlot();
      addEventListener("scroll", lose, true);
      svg.node()?.setPointerCapture(event.pointerId);
      svg.classed("is-wishing", true);
      event.preventDefault();
    })
    .on("pointermove.wish", (event: PointerEvent) => {
      const at = wishAt(event);
      if (!wishing || !at) return;
      wishing = { ...wishing, at, moved: true };
      onWish(at, false);
    })
    // Not every browser heeds the style on a part of a drawing: the page would scroll away with the finger.
    .on("touchmove.wish", (event: TouchEvent) => {
      if (wishing && event.cancelable) event.preventDefault();
    })
    .on("pointerup.wish", () => end(true))
    .on("pointercancel.wish", () => end(false))
    // Letting go is a click as well, on whatever lies there, and chooses nothing.
    .on("click.wish", (event: MouseEvent) => {
      if (isLetGo) event.stopImmediatePropagation();
      isLetGo = false;
    });
  return { active: () => wishing !== null };
}
