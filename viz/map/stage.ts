import { select } from "d3";
import type { Vec3 } from "../../engine/types.ts";
import { createDrawing, type Drawing } from "./drawing.ts";
import { entryPoint, stepFrom } from "./focus-graph.ts";
import { createGlide, type Glide } from "./glide.ts";
import type { Hands } from "./hands.ts";
import type { Item } from "./items.ts";
import { keyAct } from "./keys.ts";
import type { MapHandle, MapHandlers, XY } from "./model.ts";
import { clampView, panToShow, toFraction, zoomAbout } from "./shared-view.ts";
import { createWishDrag } from "./wish-drag.ts";

/** The chosen point or else the drink, as a fraction of the home box: what stays in sight. */
function anchorOf({ camera, cursor }: Drawing): Vec3 {
  const at = cursor.pinned ?? cursor.hand;
  return at ? toFraction(camera.home, at.point) : camera.view.centre;
}

/** Pan and zoom by hand come when a hand comes near the map: the first sight of it needs neither. */
function fetchHandsWhenNear(drawing: Drawing, glide: Glide): { attach(): void } {
  const { svg, camera } = drawing;
  let hands: Hands | null = null;
  let fetching = false;
  const attach = () => {
    const frame = drawing.frame();
    if (frame) hands?.attach(svg.select<SVGGElement>("g.plot"), frame.layout.plot);
  };
  const fetchHands = async () => {
    if (fetching) return;
    fetching = true;
    const { createHands } = await import("./hands.ts");
    hands = createHands({
      view: () => camera.view,
      anchor: () => anchorOf(drawing),
      look(next) {
        glide.stop();
        drawing.look(next);
      },
    });
    attach();
  };
  for (const sign of ["pointerenter", "touchstart", "wheel"]) {
    svg.on(`${sign}.hands`, fetchHands, { passive: true });
  }
  return { attach };
}

/** What the pointer, the focus and the keys do to the map's cursor. */
function createGuide(drawing: Drawing, handlers: MapHandlers) {
  const { camera, cursor } = drawing;
  return {
    focusOn(item: Item): void {
      camera.look(panToShow(camera.view, camera.home, item.point));
      drawing.moveCursor({ pin: item.key, hover: null });
      drawing.focusMark(item.key);
    },
    choose(item: Item): void {
      if (item.kind === "round") handlers.onPeek(item.id);
      else if (item.kind === "ghost") handlers.onShowGhost(item.id);
      else if (item.kind === "reference") {
        handlers.onBeside(item.id === drawing.model?.beside ? null : item.id);
      }
    },
    leave(): void {
      handlers.onPeek(null);
      drawing.moveCursor({ pin: null, hover: null });
    },
    stepTo(from: Item, key: Parameters<typeof stepFrom>[2]): Item {
      const { width, height } = drawing.frame()?.layout.plot ?? { width: 1, height: 1 };
      // Direction only, so fractions of the home box do for pixels.
      const at = (i: Item): XY => {
        const f = toFraction(camera.home, i.point);
        return [f[0] * width, (1 - f[1]) * height];
      };
      return stepFrom(cursor.items, from, key, at);
    },
  };
}

/**
 * Build the map inside `host`, which gives it its size: one plot of sugar against acid with its two arms, and
 * the alcohol arm, on one cursor. Nothing is drawn before the first `update`.
 */
export function createMap(host: HTMLElement, handlers: MapHandlers): MapHandle {
  const drawing = createDrawing(host, handlers.onCursor, () => hands.attach());
  const { svg, camera, cursor } = drawing;
  const glide = createGlide(() => camera.view, drawing.look);
  const hands = fetchHandsWhenNear(drawing, glide);
  const guide = createGuide(drawing, handlers);
  const wish = createWishDrag({
    svg,
    frame: drawing.frame,
    hand: () => cursor.hand?.point ?? null,
    measurePlot: drawing.measurePlot,
    onWish: handlers.onWish,
  });

  /** Zoom with the chosen point (or the drink) brought to the middle, so that no dragging is needed. */
  function zoomBy(factor: number): void {
    const { view } = camera;
    const near = { k: view.k * factor, centre: anchorOf(drawing) };
    glide.to(factor > 1 ? clampView(near) : zoomAbout(view, factor, view.centre));
  }

  function onKey(event: KeyboardEvent): void {
    const from = cursor.pinned ?? entryPoint(cursor.items);
    const asked = from && keyAct(event, from, cursor.hand, handlers.wishAt());
    if (!asked || !drawing.frame()) return;
    event.preventDefault();
    if (asked.act === "wish") handlers.onWish(asked.to, true);
    else if (asked.act === "step") guide.focusOn(guide.stepTo(from, asked.key));
    else if (asked.act === "zoom") zoomBy(asked.factor);
    else if (asked.act === "choose") guide.choose(from);
    else if (asked.act === "fit") glide.to(camera.viewOf("all"));
    else guide.leave();
  }

  svg
    .on("pointermove.cursor", (event: PointerEvent) => {
      if (wish.active() || event.pointerType === "touch" || event.buttons !== 0) return;
      const key = drawing.hitAt(event);
      if (key !== cursor.hovered) drawing.moveCursor({ hover: key });
      svg.classed("over-mark", key !== null);
    })
    .on("pointerleave.cursor", () => {
      if (cursor.hovered !== null) drawing.moveCursor({ hover: null });
    })
    .on("click.cursor", (event: MouseEvent) => {
      const item = cursor.find(drawing.hitAt(event));
      if (!item) {
        guide.leave();
        return;
      }
      guide.focusOn(item);
      guide.choose(item);
    })
    .on("focusin.cursor", (event: FocusEvent) => {
      const mark = (event.target as Element).closest("g.m-mark");
      const item = mark ? (select(mark).datum() as Item) : null;
      if (item && item.key !== cursor.pinned?.key) drawing.moveCursor({ pin: item.key });
    })
    .on("keydown.cursor", onKey);

  return {
    update(model, options) {
      const to = drawing.update(model, options);
      if (to) glide.to(to);
    },
    fit: (what) => glide.to(camera.viewOf(what)),
    zoom: zoomBy,
    destroy() {
      glide.stop();
      drawing.destroy();
    },
  };
}
