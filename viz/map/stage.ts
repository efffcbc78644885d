import { select } from "d3";
import { AXIS_SCALE, perAxis } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import { createCamera } from "./camera.ts";
import { entryPoint, type NavKey, stepFrom } from "./focus-graph.ts";
import type { Hands } from "./hands.ts";
import { drinkAtHand, type Item, itemsOf } from "./items.ts";
import { type Layout, layoutFor } from "./layout.ts";
import type { MapHandle, MapHandlers, MapModel, MapOptions, XY } from "./model.ts";
import { createPicture } from "./picture.ts";
import { findHit, type Hit, type LabelMemory, type Scene } from "./scene.ts";
import { clampView, panToShow, toFraction, type View, zoomAbout } from "./shared-view.ts";
import type { Svg } from "./svg-layer.ts";
import { createTextMeasure } from "./text-measure.ts";

/** A drink that has not moved for this long is at rest, and the labels may settle. */
const LABELS_REST_MS = 500;
const GLIDE_MS = 420;
/** A wish moved by keyboard goes in such steps of the axis scales. */
const WISH_STEP = 0.25;
const NAV_KEYS: ReadonlySet<string> = new Set([
  "ArrowLeft",
  "ArrowRight",
  "ArrowUp",
  "ArrowDown",
  "PageUp",
  "PageDown",
  "Home",
  "End",
]);

let instances = 0;

/** The axis of a weight that can be dragged, under the pointer; null where there is none. */
function weightAxis(target: Element): 0 | 1 | 2 | null {
  const weight = target.closest<SVGGElement>(".weight-hand");
  const datum = weight && (select(weight).datum() as { arm: { axis: 0 | 1 | 2 } });
  return datum ? datum.arm.axis : null;
}

/**
 * Build the map inside `host`, which gives it its size: one plot of sugar against acid with its two arms, and
 * the alcohol arm, on one cursor. Nothing is drawn before the first `update`.
 */
export function createMap(host: HTMLElement, handlers: MapHandlers): MapHandle {
  instances += 1;
  const idPrefix = `map${instances}`;
  const stillness = matchMedia("(prefers-reduced-motion: reduce)");
  const svg = select(host)
    .append("svg")
    .attr("class", "map-picture")
    .attr("role", "graphics-document document")
    .attr("aria-roledescription", "map")
    .attr("aria-label", "Balance map: sugar across, acid up, alcohol on an arm of its own") as unknown as Svg;
  const picture = createPicture(svg);
  const camera = createCamera();
  const face = () => getComputedStyle(host).fontFamily;
  let measure = createTextMeasure(face);
  const labels: LabelMemory = { held: false, placed: null };

  let model: MapModel | null = null;
  let options: MapOptions = { typePx: 12, layers: new Set() };
  let items: readonly Item[] = [];
  let hits: readonly Hit[] = [];
  let layout: Layout | null = null;
  let size = { width: 0, height: 0 };
  /** The cursor stays where it was put (focus, click) and is lent to what the pointer is over. */
  let pinned: string | null = null;
  let hovered: string | null = null;
  let told: string | null = null;
  let rest: ReturnType<typeof setTimeout> | undefined;
  let wishing: { axis: 0 | 1 | 2 | null; at: Vec3; moved: boolean } | null = null;

  const find = (key: string | null) => items.find((i) => i.key === key) ?? null;
  const cursor = () => find(hovered) ?? find(pinned);
  const hand = () => (model ? drinkAtHand(items, model) : null);

  // ---------- drawing ----------

  function render(): void {
    if (!model || size.width <= 0) return;
    if (layout?.width !== size.width || layout.height !== size.height || layout.typePx !== options.typePx) {
      layout = layoutFor(size.width, size.height, options.typePx);
    }
    const focused = svg.node()?.contains(document.activeElement) ?? false;
    const scene: Scene = {
      frame: camera.frame(layout),
      model,
      items,
      hand: hand(),
      cursor: cursor(),
      layers: options.layers,
      measure,
      idPrefix,
      labels,
    };
    hits = picture.draw(scene);
    hands?.attach(svg.select<SVGGElement>("g.plot"), layout.plot);
    const stop = find(pinned)?.kind === "reference" ? pinned : (find(pinned) ?? entryPoint(items))?.key;
    svg.selectAll<SVGGElement, Item>("g.m-mark").attr("tabindex", (i) => (i.key === stop ? 0 : -1));
    // What had the focus may be gone (a proposal was taken): the focus goes to the drink, not to the page's top.
    if (focused && !svg.node()?.contains(document.activeElement)) {
      const next = entryPoint(items);
      if (next) {
        pinned = next.key;
        markOf(next.key)?.focus({ preventScroll: true });
      }
    }
    const key = cursor()?.key ?? null;
    if (key !== told) {
      told = key;
      handlers.onCursor(key);
    }
  }

  /** While only the drink moves (an amount is being dragged) the labels stay where they are; they settle when it rests. */
  function holdLabels(from: MapModel | null, to: MapModel): void {
    const same =
      from !== null &&
      from.target === to.target &&
      from.rounds === to.rounds &&
      from.ghosts === to.ghosts &&
      from.references === to.references &&
      from.families === to.families;
    labels.held = labels.placed !== null && same;
    clearTimeout(rest);
    if (!labels.held) return;
    rest = setTimeout(() => {
      labels.held = false;
      render();
    }, LABELS_REST_MS);
  }

  // ---------- window ----------

  function setView(next: View): void {
    labels.held = false;
    camera.look(next);
    render();
  }

  let gliding = 0;
  /** Go to a window in a short glide, unless less motion is asked for. */
  function glide(to: View): void {
    cancelAnimationFrame(gliding);
    const from = camera.view;
    if (stillness.matches) {
      setView(to);
      return;
    }
    const began = performance.now();
    const step = (now: number) => {
      const share = Math.min(1, Math.max(0, (now - began) / GLIDE_MS));
      const t = share * share * (3 - 2 * share);
      const between = (a: number, b: number) => a + (b - a) * t;
      const c = (a: 0 | 1 | 2) => between(from.centre[a], to.centre[a]);
      const k = Math.exp(between(Math.log(from.k), Math.log(to.k)));
      setView(share === 1 ? to : clampView({ k, centre: perAxis(c) }));
      if (share < 1) gliding = requestAnimationFrame(step);
    };
    gliding = requestAnimationFrame(step);
  }

  const anchor = (): Vec3 => {
    const at = find(pinned) ?? hand();
    return at ? toFraction(camera.home, at.point) : camera.view.centre;
  };

  /** Zoom with the chosen point (or the drink) brought to the middle, so that no dragging is needed. */
  function zoomBy(factor: number): void {
    const { view } = camera;
    glide(
      factor > 1 ? clampView({ k: view.k * factor, centre: anchor() }) : zoomAbout(view, factor, view.centre),
    );
  }

  /** Pan and zoom by hand come when a hand comes near the map: the first sight of it needs neither. */
  let hands: Hands | null = null;
  let fetching = false;
  async function fetchHands(): Promise<void> {
    if (fetching) return;
    fetching = true;
    const { createHands } = await import("./hands.ts");
    hands = createHands({
      view: () => camera.view,
      anchor,
      look(next) {
        cancelAnimationFrame(gliding);
        setView(next);
      },
    });
    render();
  }
  for (const sign of ["pointerenter", "touchstart", "wheel"]) {
    svg.on(`${sign}.hands`, fetchHands, { passive: true });
  }

  // ---------- cursor ----------

  const markOf = (key: string) =>
    svg
      .selectAll<SVGGElement, Item>("g.m-mark")
      .filter((i) => i.key === key)
      .node();

  function moveCursor(change: { pin?: string | null; hover?: string | null }): void {
    if (change.pin !== undefined) pinned = change.pin;
    if (change.hover !== undefined) hovered = change.hover;
    render();
  }

  function choose(item: Item): void {
    if (item.kind === "round") handlers.onPeek(item.id);
    else if (item.kind === "ghost") handlers.onShowGhost(item.id);
    else if (item.kind === "reference") handlers.onBeside(item.id === model?.beside ? null : item.id);
  }

  function focusOn(item: Item): void {
    camera.look(panToShow(camera.view, camera.home, item.point));
    moveCursor({ pin: item.key, hover: null });
    markOf(item.key)?.focus({ preventScroll: true });
  }

  function plotPoint(event: MouseEvent): XY | null {
    const frame = svg.node()?.getBoundingClientRect();
    if (!frame || !layout) return null;
    // The picture may be shown larger or smaller than it was drawn.
    const scale = layout.width / frame.width;
    return [
      (event.clientX - frame.left) * scale - layout.plot.left,
      (event.clientY - frame.top) * scale - layout.plot.top,
    ];
  }

  function hitAt(event: MouseEvent): string | null {
    const at = plotPoint(event);
    if (!at || !layout) return null;
    const { width, height } = layout.plot;
    if (at[0] < -6 || at[1] < -6 || at[0] > width + 6 || at[1] > height + 6) return null;
    return findHit(hits, at, Math.max(16, options.typePx));
  }

  // ---------- wish ----------

  function wishAt(event: PointerEvent): Vec3 | null {
    const at = plotPoint(event);
    if (!wishing || !at || !layout) return null;
    const { x, y, z } = camera.frame(layout);
    const { plot, alcohol } = layout;
    const along = alcohol.upright ? at[1] + plot.top - alcohol.top : at[0] + plot.left - alcohol.left;
    const pointed: Vec3 = [x.invert(at[0]), y.invert(at[1]), z.invert(along)];
    const { axis } = wishing;
    const start = hand()?.point ?? wishing.at;
    return perAxis((a) => Math.max(0, (axis === null ? a !== 2 : a === axis) ? pointed[a] : start[a]));
  }

  function endWish(done: boolean): void {
    const ended = wishing;
    wishing = null;
    svg.classed("is-wishing", false);
    if (done && ended?.moved) handlers.onWish(ended.at, true);
  }

  svg
    .on("pointerdown.wish", (event: PointerEvent) => {
      const target = event.target as Element;
      const axis = weightAxis(target);
      const at = hand()?.point;
      if (event.button !== 0 || !at || (axis === null && !target.closest(".m-mark.is-hand"))) return;
      wishing = { axis, at, moved: false };
      svg.node()?.setPointerCapture(event.pointerId);
      svg.classed("is-wishing", true);
      event.preventDefault();
    })
    .on("pointermove.wish", (event: PointerEvent) => {
      const at = wishAt(event);
      if (!wishing || !at) return;
      wishing = { ...wishing, at, moved: true };
      handlers.onWish(at, false);
    })
    .on("pointerup.wish", () => endWish(true))
    .on("pointercancel.wish", () => endWish(false))
    .on("pointermove.cursor", (event: PointerEvent) => {
      if (wishing || event.pointerType === "touch" || event.buttons !== 0) return;
      const key = hitAt(event);
      if (key !== hovered) moveCursor({ hover: key });
      svg.classed("over-mark", key !== null);
    })
    .on("pointerleave.cursor", () => {
      if (hovered !== null) moveCursor({ hover: null });
    })
    .on("click.cursor", (event: MouseEvent) => {
      const item = find(hitAt(event));
      if (!item) {
        handlers.onPeek(null);
        moveCursor({ pin: null, hover: null });
        return;
      }
      focusOn(item);
      choose(item);
    })
    .on("focusin.cursor", (event: FocusEvent) => {
      const mark = (event.target as Element).closest("g.m-mark");
      const item = mark ? (select(mark).datum() as Item) : null;
      if (item && item.key !== pinned) moveCursor({ pin: item.key });
    })
    .on("keydown.cursor", onKey);

  function onKey(event: KeyboardEvent): void {
    const from = find(pinned) ?? entryPoint(items);
    if (!from || !layout) return;
    const drink = hand();
    const steps: Partial<Record<string, Vec3>> = {
      ArrowRight: [1, 0, 0],
      ArrowLeft: [-1, 0, 0],
      ArrowUp: [0, 1, 0],
      ArrowDown: [0, -1, 0],
      PageUp: [0, 0, 1],
      PageDown: [0, 0, -1],
    };
    const step = steps[event.key];
    if (event.shiftKey && step && drink && from.key === drink.key) {
      const start = model?.wish?.at ?? drink.point;
      handlers.onWish(
        perAxis((a) => Math.max(0, start[a] + WISH_STEP * AXIS_SCALE[a] * step[a])),
        true,
      );
    } else if (NAV_KEYS.has(event.key)) {
      const { width, height } = layout.plot;
      // Direction only, so fractions of the home box do for pixels.
      const at = (i: Item): XY => {
        const f = toFraction(camera.home, i.point);
        return [f[0] * width, (1 - f[1]) * height];
      };
      focusOn(stepFrom(items, from, event.key as NavKey, at));
    } else if (event.key === "Enter" || event.key === " ") choose(from);
    else if (event.key === "+" || event.key === "=") zoomBy(1.6);
    else if (event.key === "-") zoomBy(1 / 1.6);
    else if (event.key === "0") glide(camera.viewOf("all"));
    else if (event.key === "Escape") {
      handlers.onPeek(null);
      moveCursor({ pin: null, hover: null });
    } else return;
    event.preventDefault();
  }

  const observer = new ResizeObserver(([entry]) => {
    const box = entry?.contentRect;
    const next = { width: Math.floor(box?.width ?? 0), height: Math.floor(box?.height ?? 0) };
    if (next.width === size.width && next.height === size.height) return;
    labels.held = false;
    size = next;
    render();
  });
  observer.observe(host);
  const box = host.getBoundingClientRect();
  size = { width: Math.floor(box.width), height: Math.floor(box.height) };
  // Names are measured in the page's typeface, which may come after the first drawing.
  document.fonts?.ready.then(() => {
    labels.held = false;
    labels.placed = null;
    measure = createTextMeasure(face);
    layout = null;
    render();
  });

  return {
    update(next, nextOptions) {
      holdLabels(model, next);
      if (nextOptions.layers !== options.layers) labels.held = false;
      options = nextOptions;
      model = next;
      items = itemsOf(next);
      const to = camera.follow(next, items);
      if (pinned !== null && !find(pinned)) pinned = null;
      if (hovered !== null && !find(hovered)) hovered = null;
      render();
      if (to) glide(to);
    },
    fit: (what) => glide(camera.viewOf(what)),
    zoom: zoomBy,
    destroy() {
      observer.disconnect();
      clearTimeout(rest);
      cancelAnimationFrame(gliding);
      svg.remove();
    },
  };
}
