import { select } from "d3";
import { type Camera, createCamera } from "./camera.ts";
import { type Cursor, createCursor } from "./cursor.ts";
import { entryPoint } from "./focus-graph.ts";
import { type Item, itemsOf } from "./items.ts";
import { createLabelRest } from "./label-rest.ts";
import { type Layout, layoutFor } from "./layout.ts";
import type { MapHandlers, MapModel, MapOptions, XY } from "./model.ts";
import { createPicture } from "./picture.ts";
import { type Frame, findHit, type Hit } from "./scene.ts";
import type { View } from "./shared-view.ts";
import type { Svg } from "./svg-layer.ts";
import { createTextMeasure } from "./text-measure.ts";

/** The map as it is drawn: what is on it, the window it is seen through, and where its cursor is. */
export interface Drawing {
  readonly svg: Svg;
  readonly camera: Camera;
  readonly cursor: Cursor;
  readonly model: MapModel | null;
  /** The window; null before the first picture. */
  frame(): Frame | null;
  look(view: View): void;
  /** Draw another model; gives the window to go to when the map should come nearer or go back of itself. */
  update(model: MapModel, options: MapOptions): View | null;
  moveCursor(change: Parameters<Cursor["move"]>[0]): void;
  focusMark(key: string): void;
  /** Look where the plot is: gives the place of a pointer in pixels of the plot, until the page is scrolled. */
  measurePlot(): ((event: MouseEvent) => XY) | null;
  /** Key of what is under the pointer. */
  hitAt(event: MouseEvent): string | null;
  destroy(): void;
}

let instances = 0;

/** Whether two models are the same apart from one part. */
const isSameBut = (part: keyof MapModel, a: MapModel, b: MapModel) =>
  (Object.keys(b) as (keyof MapModel)[]).every((key) => key === part || a[key] === b[key]);

/** The empty picture. What listens for the focus is a stop of its own to the browser; the marks in it are one. */
function appendSvg(host: HTMLElement): Svg {
  return select(host)
    .append("svg")
    .attr("class", "map-picture")
    .attr("role", "graphics-document document")
    .attr("tabindex", -1)
    .attr("aria-roledescription", "map")
    .attr("aria-label", "Balance map: sugar across, acid up, alcohol on an arm of its own") as unknown as Svg;
}

/** Tells the size of an element in whole pixels, now and when it changes. */
function watchSize(host: HTMLElement, onSize: (width: number, height: number) => void): ResizeObserver {
  const tell = ({ width, height }: DOMRectReadOnly) => onSize(Math.floor(width), Math.floor(height));
  const observer = new ResizeObserver(([entry]) => entry && tell(entry.contentRect));
  observer.observe(host);
  tell(host.getBoundingClientRect());
  return observer;
}

function focusOn(svg: Svg, key: string): void {
  svg
    .selectAll<SVGGElement, Item>("g.m-mark")
    .filter((i) => i.key === key)
    .node()
    ?.focus({ preventScroll: true });
}

/** Where the plot is in the window now: gives the place of a pointer in pixels of the plot. */
function measurePlot(svg: Svg, layout: Layout | null): ((event: MouseEvent) => XY) | null {
  const shown = svg.node()?.getBoundingClientRect();
  if (!shown || !layout) return null;
  // The picture may be shown larger or smaller than it was drawn.
  const scale = layout.width / shown.width;
  return (event) => [
    (event.clientX - shown.left) * scale - layout.plot.left,
    (event.clientY - shown.top) * scale - layout.plot.top,
  ];
}

/**
 * A drawing inside `host`, which gives it its size. Nothing is drawn before the first `update`; `onDrawn` follows
 * every picture.
 */
export function createDrawing(
  host: HTMLElement,
  onCursor: MapHandlers["onCursor"],
  onDrawn: () => void,
): Drawing {
  instances += 1;
  const idPrefix = `map${instances}`;
  const svg = appendSvg(host);
  const picture = createPicture(svg);
  const camera = createCamera();
  const cursor = createCursor();
  const labels = createLabelRest(() => render());
  const face = () => getComputedStyle(host).fontFamily;
  let measure = createTextMeasure(face);
  let model: MapModel | null = null;
  let options: MapOptions = { typePx: 12, layers: new Set() };
  let size = { width: 0, height: 0 };
  let layout: Layout | null = null;
  let hits: readonly Hit[] = [];
  let told: string | null = null;

  const focusMark = (key: string) => focusOn(svg, key);
  const hasFocus = () => svg.node()?.contains(document.activeElement) ?? false;

  function render(): void {
    if (!model || size.width <= 0) return;
    const { width, height } = size;
    if (layout?.width !== width || layout.height !== height || layout.typePx !== options.typePx) {
      layout = layoutFor(width, height, options.typePx);
    }
    const { items, hand } = cursor;
    const focused = hasFocus();
    const frame = camera.frame(layout);
    const { layers } = options;
    hits = picture.draw({
      frame,
      model,
      items,
      hand,
      cursor: cursor.at,
      layers,
      measure,
      idPrefix,
      labels: labels.memory,
    });
    onDrawn();
    const stop = (cursor.pinned ?? entryPoint(items))?.key;
    svg.selectAll<SVGGElement, Item>("g.m-mark").attr("tabindex", (i) => (i.key === stop ? 0 : -1));
    // What had the focus may be gone (a proposal was taken): the focus goes to the drink, not to the page's top.
    const next = focused && !hasFocus() ? entryPoint(items) : null;
    if (next) {
      cursor.move({ pin: next.key });
      focusMark(next.key);
    }
    const key = cursor.at?.key ?? null;
    if (key === told) return;
    told = key;
    onCursor(key);
  }

  const observer = watchSize(host, (width, height) => {
    if (width === size.width && height === size.height) return;
    labels.free();
    size = { width, height };
    render();
  });
  // Names are measured in the page's typeface, which may come after the first drawing.
  document.fonts?.ready.then(() => {
    labels.forget();
    measure = createTextMeasure(face);
    layout = null;
    render();
  });

  return {
    svg,
    camera,
    cursor,
    get model() {
      return model;
    },
    frame: () => layout && camera.frame(layout),
    look(view) {
      labels.free();
      camera.look(view);
      render();
    },
    update(next, nextOptions) {
      // A wish that is dragged moves no mark and no name.
      const wishes = model !== null && nextOptions === options && isSameBut("wish", model, next);
      if (!wishes) labels.hold(model, next);
      if (nextOptions.layers !== options.layers) labels.free();
      options = nextOptions;
      model = next;
      const items = wishes ? cursor.items : itemsOf(next);
      const to = wishes ? null : camera.follow(next, items);
      cursor.hold(next, items);
      render();
      return to;
    },
    moveCursor(change) {
      cursor.move(change);
      render();
    },
    focusMark,
    measurePlot: () => measurePlot(svg, layout),
    hitAt(event) {
      const at = measurePlot(svg, layout)?.(event);
      if (!at || !layout) return null;
      const { width, height } = layout.plot;
      if (at[0] < -6 || at[1] < -6 || at[0] > width + 6 || at[1] > height + 6) return null;
      return findHit(hits, at, Math.max(16, options.typePx));
    },
    destroy() {
      observer.disconnect();
      labels.stop();
      svg.remove();
    },
  };
}
