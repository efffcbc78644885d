import "./map.css";
import { create, interpolateNumber, type Selection, select, type ZoomBehavior, zoom, zoomIdentity } from "d3";
import { PHYSICAL_RANGE } from "../../engine/targets/physical-range.ts";
import type { Vec3 } from "../../engine/types.ts";
import { AXIS_NAME } from "./axis-words.ts";
import { standaloneSvg } from "./export-svg.ts";
import { entryPoint, type NavKey, stepFrom } from "./focus-graph.ts";
import { drinkAtHand, fieldsOf, type Item, itemsOf, titleOf } from "./items.ts";
import { PANEL_IDS, type PanelBox, type PanelId, WIDE_FROM_PX } from "./layout.ts";
import type { Axis, MapHandle, MapHandlers, MapModel } from "./model.ts";
import { drawKey, drawPicture, type Picture } from "./picture.ts";
import { findHit, type LabelMemory, type Scene } from "./scene.ts";
import {
  type Box3,
  boxAround,
  boxContains,
  clampView,
  fitView,
  fromTransform,
  HOME_VIEW,
  padBox,
  panToShow,
  perAxis,
  rebaseView,
  toFraction,
  toTransform,
  type View,
  zoomAbout,
} from "./shared-view.ts";
import type { Svg } from "./svg-layer.ts";
import { drawTable } from "./table.ts";
import { createTextMeasure } from "./text-measure.ts";

export type { MapHandle, MapHandlers } from "./model.ts";

const EMPTY: MapModel = { rounds: [], references: [], target: null, targetLabel: "", ghosts: [], live: null };
/** The home box of an empty map: where mixed drinks are. */
const EMPTY_BOX: Box3 = { lo: [0, 0, 0], hi: [16, 1.6, 32] };
/** No axis shows less than this when all is fitted, so that one lone point does not fill the map with its rounding. */
const MIN_SPAN: Vec3 = [2, 0.2, 4];
const EXPORT_WIDTH_PX = 1100;
/** A drink that has not moved for this long is at rest. */
const LABELS_REST_MS = 500;
const NAV_KEYS: readonly string[] = [
  "ArrowLeft",
  "ArrowRight",
  "ArrowUp",
  "ArrowDown",
  "PageUp",
  "PageDown",
  "Home",
  "End",
];
const HINT =
  "Point at a mark to read it, click to choose it; Ctrl + wheel zooms, dragging pans. By keyboard: arrows follow the trail, Page Up and Page Down go between rounds, proposals and classics, Enter chooses, + and − zoom, 0 shows all.";
const TOUCH_HINT = "Tap a mark to read it, and again to choose it. Two fingers zoom and pan.";

let instances = 0;

/**
 * Build the map inside `host`: three linked projections of balance space on shared scales, with one cursor.
 * Nothing is drawn before the first `update`. The handle's `destroy` removes all of it again.
 */
export function createMap(host: HTMLElement, handlers: MapHandlers): MapHandle {
  instances += 1;
  const idPrefix = `map${instances}`;
  const stillness = matchMedia("(prefers-reduced-motion: reduce)");

  let model = EMPTY;
  let items: Item[] = [];
  let home = EMPTY_BOX;
  let view: View = HOME_VIEW;
  let shown: PanelId = "sugar-acid";
  let width = 0;
  let picture: Picture | null = null;
  /** The cursor stays where it was put (focus, click, table) and is lent to what the pointer is over. */
  let pinned: string | null = null;
  let hovered: string | null = null;
  let told: string | null = null;
  let drawnActive = new Set<string>();
  let tableOpen = false;
  let updating = false;
  /** The view the map itself chose last: while it is still shown, the map may choose again. */
  let ownView: View = HOME_VIEW;
  const labels: LabelMemory = { held: false, placed: new Map() };
  let rest: ReturnType<typeof setTimeout> | undefined;

  // ---------- frame ----------

  const root = select(host).append("section").attr("class", "map").attr("aria-label", "Balance map");
  const bar = root.append("div").attr("class", "map-bar");
  const tabs = bar
    .append("div")
    .attr("class", "map-tabs")
    .attr("role", "group")
    .attr("aria-label", "Projection");
  const views = bar.append("div").attr("class", "map-views").attr("role", "group").attr("aria-label", "View");
  const extras = bar.append("div").attr("class", "map-extras");
  const svg = root
    .append("svg")
    .attr("class", "map-picture")
    .attr("role", "graphics-document document")
    .attr("aria-label", "Map of sugar, acid and alcohol")
    .attr("aria-describedby", `${idPrefix}-hint`) as unknown as Svg;
  const strip = root.append("div").attr("class", "map-strip");
  const live = strip
    .append("p")
    .attr("class", "map-detail")
    .attr("aria-live", "polite")
    .attr("aria-atomic", "true");
  const take = strip
    .append("button")
    .attr("type", "button")
    .attr("class", "map-take")
    .property("hidden", true);
  const key = root.append("details").attr("class", "map-key").property("open", true);
  key.append("summary").text("Key to the map");
  const keySvg = key.append("svg").attr("class", "map-picture").attr("aria-hidden", "true") as unknown as Svg;
  const hint = root.append("p").attr("class", "map-hint").attr("id", `${idPrefix}-hint`);
  const tableHost = root
    .append("div")
    .attr("class", "map-table-host")
    .attr("id", `${idPrefix}-table`)
    .attr("role", "region")
    .attr("aria-label", "Table of points")
    .attr("tabindex", 0)
    .property("hidden", true);

  const button = (
    where: Selection<HTMLDivElement, unknown, null, undefined>,
    text: string,
    label: string,
    act: () => void,
  ) => {
    return where
      .append("button")
      .attr("type", "button")
      .attr("aria-label", label === text ? null : label)
      .attr("title", label)
      .text(text)
      .on("click", act);
  };
  button(views, "Fit all", "Fit all", () => glide(HOME_VIEW));
  const fitDrink = button(views, "Fit drink", "Fit drink", () => {
    const box = drinkBox();
    if (box) glide(fitView(box, home));
  });
  const fitTarget = button(views, "Fit target", "Fit target", () => {
    const box = targetBox();
    if (box) glide(fitView(box, home));
  });
  button(views, "−", "Zoom out", () => zoomBy(1 / 1.6));
  button(views, "+", "Zoom in on the chosen point", () => zoomBy(1.6));
  const tableToggle = button(extras, "Table", "Table of points", () => {
    tableOpen = !tableOpen;
    render();
  })
    .attr("aria-controls", `${idPrefix}-table`)
    .attr("aria-expanded", "false");

  const tabButtons = tabs
    .selectAll("button")
    .data(PANEL_IDS)
    .join("button")
    .attr("type", "button")
    .text((id) =>
      id
        .split("-")
        .map((w) => (w === "abv" ? AXIS_NAME[2] : w))
        .join(" × "),
    )
    .on("click", (_event, id) => {
      shown = id;
      render();
    });

  // ---------- state ----------

  const find = (key: string | null) => items.find((i) => i.key === key) ?? null;
  const cursor = () => find(hovered) ?? find(pinned);

  function activeGhosts(): Set<string> {
    const active = new Set(model.ghosts.filter((g) => g.active).map((g) => g.id));
    const at = cursor();
    if (at?.kind === "ghost") {
      // Under the cursor, one proposal speaks at a time.
      active.clear();
      active.add(at.id);
    }
    return active;
  }

  function scene(): Scene {
    return {
      model,
      items,
      hand: drinkAtHand(items),
      home,
      view,
      cursor: cursor(),
      activeGhosts: activeGhosts(),
      measure,
      idPrefix,
      labels,
    };
  }

  const measure = createTextMeasure(() => getComputedStyle(host).fontFamily);

  function targetBox(): Box3 | null {
    if (!model.target) return null;
    const [lo, hi] = model.target.boundingBox;
    const others = boxAround(items.map((i) => i.point)) ?? EMPTY_BOX;
    const open = (side: 0 | 1, a: Axis) => Math.abs(PHYSICAL_RANGE[side][a] - (side ? hi : lo)[a]) < 1e-3;
    // An open side of a target ends where the drinks end.
    return {
      lo: perAxis((a) => (open(0, a) ? Math.min(others.lo[a], hi[a]) : lo[a])),
      hi: perAxis((a) => (open(1, a) ? Math.max(others.hi[a], lo[a]) : hi[a])),
    };
  }

  function drinkBox(): Box3 | null {
    const hand = drinkAtHand(items);
    if (!hand) return null;
    const near = items.filter(
      (i) => i.kind === "live" || i.kind === "ghost" || i.key === hand.parent || i.current,
    );
    const box = boxAround([
      hand.point,
      ...near.map((i) => i.point),
      ...model.ghosts.flatMap((g) => g.path.flatMap((m) => m.points)),
    ]);
    const sd = (a: 0 | 1 | 2) => 2.6 * Math.sqrt(Math.max(hand.covariance?.[a][a] ?? 0, 0));
    return (
      box && {
        lo: perAxis((a) => Math.min(box.lo[a], hand.point[a] - sd(a))),
        hi: perAxis((a) => Math.max(box.hi[a], hand.point[a] + sd(a))),
      }
    );
  }

  /** A bench opens on its trail and its target; a few far references must not shrink them. */
  function openingView(): View {
    const target = targetBox();
    const box = boxAround([
      ...items.filter((i) => i.kind !== "reference").map((i) => i.point),
      ...(target ? [target.lo, target.hi] : []),
    ]);
    return box ? fitView(box, home, 0.94) : HOME_VIEW;
  }

  function fitHome(): void {
    const target = targetBox();
    const all = boxAround([
      ...items.map((i) => i.point),
      ...model.ghosts.flatMap((g) => g.path.flatMap((m) => m.points)),
      ...(target ? [target.lo, target.hi] : []),
    ]);
    if (!all) {
      home = EMPTY_BOX;
      return;
    }
    const next = padBox(all, 0.06, MIN_SPAN);
    // While it still holds everything and is not much too large, the frame stays, so that dragging an amount
    // moves the drink and not the paper.
    const roomy = [0, 1, 2].some((a) => {
      const axis = a as 0 | 1 | 2;
      return home.hi[axis] - home.lo[axis] > 1.35 * (next.hi[axis] - next.lo[axis]);
    });
    if (!boxContains(home, all) || roomy) home = next;
  }

  /** While only the drink moves (an amount is being dragged) the labels stay where they are; they settle when it rests. */
  function holdLabels(from: MapModel, to: MapModel): void {
    const names = (m: MapModel) =>
      [...m.rounds, ...m.ghosts, ...m.references].map((entry) => entry.id).join("\n");
    labels.held = labels.placed.size > 0 && from.target === to.target && names(from) === names(to);
    clearTimeout(rest);
    if (!labels.held) return;
    rest = setTimeout(() => {
      labels.held = false;
      render();
    }, LABELS_REST_MS);
  }

  // ---------- cursor ----------

  function tell(): void {
    const at = cursor();
    const ghost = at?.kind === "ghost" ? at.id : null;
    if (ghost === told) return;
    told = ghost;
    if (!updating) handlers.onFocusGhost(ghost);
  }

  function moveCursor(change: { pin?: string | null; hover?: string | null }): void {
    if (change.pin !== undefined) pinned = change.pin;
    if (change.hover !== undefined) hovered = change.hover;
    render();
    tell();
  }

  function choose(item: Item): void {
    if (item.kind === "round") handlers.onSelectRound(item.id);
    else if (item.kind === "ghost") handlers.onTakeGhost(item.id);
    else if (item.kind === "reference") handlers.onSelectReference?.(item.highlighted ? null : item.id);
  }

  const markOf = (key: string) =>
    svg
      .selectAll<SVGGElement, Item>("g.m-panel:not([aria-hidden]) g.m-mark")
      .filter((i) => i.key === key)
      .node();

  function focusOn(item: Item): void {
    const next = panToShow(view, home, item.point);
    if (next !== view) view = next;
    moveCursor({ pin: item.key, hover: null });
    markOf(item.key)?.focus({ preventScroll: false });
  }

  // ---------- view ----------

  function setView(next: View): void {
    labels.held = false;
    view = next;
    render();
  }

  function glide(to: View): void {
    const from = view;
    if (stillness.matches) {
      setView(to);
      return;
    }
    const k = interpolateNumber(Math.log(from.k), Math.log(to.k));
    svg
      .transition("glide")
      .duration(420)
      .tween("view", () => (t) => {
        const c = (a: 0 | 1 | 2) => from.centre[a] + (to.centre[a] - from.centre[a]) * t;
        setView(t === 1 ? to : clampView({ k: Math.exp(k(t)), centre: perAxis(c) }));
      });
  }

  const anchor = (): Vec3 => {
    const at = find(pinned) ?? drinkAtHand(items);
    return at ? toFraction(home, at.point) : view.centre;
  };

  /** Zoom with the chosen point (or the drink) brought to the middle, so that no dragging is needed. */
  function zoomBy(factor: number): void {
    const k = view.k * factor;
    glide(factor > 1 ? clampView({ k, centre: anchor() }) : zoomAbout(view, factor, view.centre));
  }

  const zooms = new Map<PanelId, ZoomBehavior<SVGGElement, unknown>>();
  function wireZoom(node: SVGGElement, box: PanelBox): void {
    let behaviour = zooms.get(box.id);
    if (!behaviour) {
      behaviour = zoom<SVGGElement, unknown>();
      zooms.set(box.id, behaviour);
    }
    behaviour
      .extent([
        [0, 0],
        [box.width, box.height],
      ])
      .translateExtent([
        [0, 0],
        [box.width, box.height],
      ])
      .scaleExtent([1, 24])
      // The page keeps its scroll wheel and its one-finger scroll; the map takes Ctrl + wheel, two fingers and the mouse drag.
      .filter((event: Event) => {
        if (event instanceof WheelEvent) return event.ctrlKey || event.metaKey;
        if ("touches" in event) return (event as TouchEvent).touches.length >= 2;
        return (event as MouseEvent).button === 0 && !(event as MouseEvent).ctrlKey;
      })
      .wheelDelta((event) => Math.max(-0.5, Math.min(0.5, -event.deltaY * (event.deltaMode ? 0.05 : 0.004))))
      .on("zoom", (event) => {
        if (!event.sourceEvent) return;
        svg.interrupt("glide");
        setView(fromTransform(view, event.transform, box.x, box.y, box.width, box.height, anchor()));
      });
    const g = select(node);
    g.call(behaviour).on("dblclick.zoom", null);
    const t = toTransform(view, box.x, box.y, box.width, box.height);
    // Straight into d3.zoom's store: its `transform` method would announce a gesture nobody made.
    (node as SVGGElement & { __zoom: typeof zoomIdentity }).__zoom = zoomIdentity
      .translate(t.x, t.y)
      .scale(t.k);
  }

  // ---------- drawing ----------

  function render(): void {
    if (width <= 0) return;
    const focused = svg.node()?.contains(document.activeElement) ?? false;
    const s = scene();
    picture = drawPicture(svg, s, width, shown);
    svg.selectAll<SVGGElement, PanelBox>("g.m-panel").each(function (box) {
      wireZoom(this, box);
    });
    const stop = (find(pinned) ?? entryPoint(items))?.key;
    svg
      .selectAll<SVGGElement, Item>("g.m-panel:not([aria-hidden]) g.m-mark")
      .attr("tabindex", (i) => (i.key === stop ? 0 : -1));
    // What had the focus may be gone (a proposal was taken): the focus goes to the drink, not to the page's top.
    if (focused && !svg.node()?.contains(document.activeElement)) {
      const next = entryPoint(items);
      if (next) {
        pinned = next.key;
        markOf(next.key)?.focus();
      }
    }
    const narrow = width < WIDE_FROM_PX;
    tabs.property("hidden", !narrow);
    key.property("hidden", !narrow);
    hint.text(narrow && matchMedia("(hover: none)").matches ? TOUCH_HINT : HINT);
    if (narrow) drawKey(keySvg, s, width);
    tabButtons.attr("aria-pressed", (id) => String(id === shown));
    fitDrink.property("disabled", !s.hand);
    fitTarget.property("disabled", !model.target);
    drawStrip(s);
    tableToggle.attr("aria-expanded", String(tableOpen));
    tableHost.property("hidden", !tableOpen);
    if (tableOpen) {
      drawTable(tableHost.node()!, model, items, s.cursor?.key ?? null, (key) => {
        const item = find(key);
        if (!item) return;
        view = panToShow(view, home, item.point);
        moveCursor({ pin: key });
      });
    }
    playPaths(s.activeGhosts);
  }

  function drawStrip(s: Scene): void {
    const at = s.cursor ?? s.hand;
    const title = at ? titleOf(at) : "Nothing on the map yet.";
    const rest = at
      ? fieldsOf(at, model, items)
          .map((f) => (f.label ? `${f.label} ${f.text}` : f.text))
          .join("; ")
      : "";
    const node = live.node()!;
    // Spoken when the user goes to a point; not at every step of an amount being dragged, which the page reads out itself.
    live.attr("aria-live", s.cursor ? "polite" : "off");
    const text = rest ? `${title}: ${rest}.` : title;
    if (node.textContent !== text) {
      const name = document.createElement("strong");
      name.textContent = title;
      node.replaceChildren(name, text.slice(title.length));
    }
    const ghost = s.cursor?.kind === "ghost" ? s.cursor : null;
    take
      .property("hidden", !ghost)
      .text(ghost ? `Take proposal ${ghost.tag}` : "")
      .on("click", () => ghost && handlers.onTakeGhost(ghost.id));
  }

  /** A proposal that has just become active is drawn move by move. */
  function playPaths(active: ReadonlySet<string>): void {
    const fresh = [...active].filter((id) => !drawnActive.has(id));
    drawnActive = new Set(active);
    if (fresh.length === 0 || stillness.matches) return;
    svg
      .selectAll<SVGPathElement, { ghost: string; index: number }>("path.move")
      .filter((m) => fresh.includes(m.ghost))
      .attr("pathLength", 1)
      .style("stroke-dasharray", "1 1")
      .style("stroke-dashoffset", 1)
      .transition("draw")
      .delay((m) => m.index * 480)
      .duration(460)
      .style("stroke-dashoffset", 0)
      .on("end interrupt", function () {
        select(this)
          .attr("pathLength", null)
          .style("stroke-dasharray", null)
          .style("stroke-dashoffset", null);
      });
  }

  // ---------- pointer and keys ----------

  function hitAt(event: PointerEvent | MouseEvent): string | null {
    const node = (event.target as Element).closest<SVGGElement>("g.m-panel");
    const box = picture?.layout.panels.find((p) => p.id === node?.dataset.panel);
    const frame = svg.node()?.getBoundingClientRect();
    if (!box || !frame || !picture) return null;
    const at: [number, number] = [event.clientX - frame.left - box.left, event.clientY - frame.top - box.top];
    return findHit(picture.hits.get(box.id) ?? [], at);
  }

  let lastPointer = "mouse";
  let pinnedAtPress: string | null = null;
  svg
    .on("pointerdown.cursor", (event: PointerEvent) => {
      lastPointer = event.pointerType;
      // Before the press itself moves the focus, and with it the pin.
      pinnedAtPress = pinned;
    })
    .on("pointermove.cursor", (event: PointerEvent) => {
      if (event.pointerType === "touch" || event.buttons !== 0) return;
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
        moveCursor({ pin: null, hover: null });
        return;
      }
      // A finger cannot hover: its first tap shows, the second (or the button in the strip) acts.
      const known = pinnedAtPress === item.key;
      focusOn(item);
      if (lastPointer !== "touch" || known) choose(item);
    })
    .on("focusin.cursor", (event: FocusEvent) => {
      const mark = (event.target as Element).closest("g.m-mark");
      const item = mark ? (select(mark).datum() as Item) : null;
      if (item && item.key !== pinned) moveCursor({ pin: item.key });
    })
    .on("keydown.cursor", (event: KeyboardEvent) => {
      const from = find(pinned) ?? entryPoint(items);
      if (!from || !picture) return;
      if (NAV_KEYS.includes(event.key)) {
        const box = picture.layout.panels[0]!;
        // Direction only, so fractions of the home box do for pixels.
        const at = (i: Item): [number, number] => {
          const f = toFraction(home, i.point);
          return [f[box.x] * box.width, (1 - f[box.y]) * box.height];
        };
        focusOn(stepFrom(items, from, event.key as NavKey, at));
      } else if (event.key === "Enter" || event.key === " ") choose(from);
      else if (event.key === "+" || event.key === "=") zoomBy(1.6);
      else if (event.key === "-") zoomBy(1 / 1.6);
      else if (event.key === "0") glide(HOME_VIEW);
      else if (event.key === "Escape") moveCursor({ pin: null, hover: null });
      else return;
      event.preventDefault();
    });

  // ---------- export ----------

  function exportSvg(): string {
    const off = create("svg").attr("class", "map-picture map-offscreen").attr("aria-hidden", "true");
    root.append(() => off.node());
    const sheet = off as unknown as Svg;
    drawPicture(
      sheet,
      {
        ...scene(),
        cursor: null,
        idPrefix: `${idPrefix}-file`,
        labels: { held: false, placed: new Map() },
      },
      EXPORT_WIDTH_PX,
      "sugar-acid",
    );
    const paper = getComputedStyle(root.node()!).getPropertyValue("--map-paper").trim() || "#ffffff";
    const text = standaloneSvg(sheet.node()!, "Balance map: sugar, acid and alcohol", paper);
    off.remove();
    return text;
  }

  const observer = new ResizeObserver(([entry]) => {
    const next = Math.floor(entry?.contentRect.width ?? 0);
    if (next === width) return;
    labels.held = false;
    width = next;
    render();
  });
  observer.observe(root.node()!);
  width = Math.floor(root.node()!.getBoundingClientRect().width);

  return {
    update(next) {
      updating = true;
      const known = new Set(model.rounds.map((r) => r.id));
      const otherBench = next.rounds.length > 0 && !next.rounds.some((r) => known.has(r.id));
      const before = home;
      const hadGhosts = model.ghosts.length > 0;
      holdLabels(model, next);
      model = next;
      items = itemsOf(next);
      fitHome();
      const untouched = view === ownView;
      if (otherBench) view = openingView();
      // The same view object while the frame stays, so that a view chosen by hand can be told from the map's own.
      else if (before !== home) view = rebaseView(view, before, home);
      if (otherBench || untouched) ownView = view;
      if (pinned !== null && !find(pinned)) pinned = null;
      if (hovered !== null && !find(hovered)) hovered = null;
      render();
      tell();
      updating = false;
      // New ways in are a short step from the drink: near enough to be read, unless the user has chosen a view.
      if (!otherBench && untouched && hadGhosts !== next.ghosts.length > 0) {
        const box = next.ghosts.length > 0 ? drinkBox() : null;
        ownView = box ? fitView(box, home) : openingView();
        glide(ownView);
      }
    },
    exportSvg,
    destroy() {
      observer.disconnect();
      clearTimeout(rest);
      svg.interrupt("glide");
      root.remove();
    },
  };
}
