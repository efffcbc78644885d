import { perAxis } from "../../engine/axes.ts";
import type { CompiledTarget } from "../../engine/targets/compile-target.ts";
import { PHYSICAL_RANGE } from "../../engine/targets/physical-range.ts";
import type { Vec3 } from "../../engine/types.ts";
import type { Axis } from "../words/axis.ts";
import { drinkAtHand, type Item } from "./items.ts";
import type { Layout } from "./layout.ts";
import { linearScale } from "./linear-scale.ts";
import type { MapModel } from "./model.ts";
import type { Frame } from "./scene.ts";
import {
  type Box3,
  boxAround,
  boxContains,
  domainOf,
  fitView,
  HOME_VIEW,
  padBox,
  rebaseView,
  type View,
} from "./shared-view.ts";

/** The home box of an empty map: where mixed drinks are. */
const EMPTY_BOX: Box3 = { lo: [0, 0, 0], hi: [14, 1.4, 30] };
/** No axis shows less than this when all is fitted, so that one lone point does not fill the map with its rounding. */
const MIN_SPAN: Vec3 = [2, 0.2, 4];
/** Room left around a drink that is dragged outward, as a share of what is shown. */
const STRIDE = 0.14;
/** A frame this much larger than it need be is drawn anew. */
const ROOMY = 1.35;

const others = (model: MapModel) => model.others.flatMap((trail) => trail.rounds.map((round) => round.point));
const ghostPoints = (model: MapModel) =>
  model.ghosts.flatMap((g) => [g.point, ...g.path.flatMap((m) => [...m.points])]);

function targetBox(target: CompiledTarget, items: readonly Item[]): Box3 {
  const [lo, hi] = target.boundingBox;
  const around = boxAround(items.map((i) => i.point)) ?? EMPTY_BOX;
  const open = (side: 0 | 1, a: Axis) => Math.abs(PHYSICAL_RANGE[side][a] - (side ? hi : lo)[a]) < 1e-3;
  // An open side of a target ends where the drinks end.
  return {
    lo: perAxis((a) => (open(0, a) ? Math.min(around.lo[a], hi[a]) : lo[a])),
    hi: perAxis((a) => (open(1, a) ? Math.max(around.hi[a], lo[a]) : hi[a])),
  };
}

function drinkBox(items: readonly Item[], model: MapModel): Box3 | null {
  const hand = drinkAtHand(items, model);
  if (!hand) return null;
  const near = items.filter(
    (i) => i.kind === "live" || i.kind === "ghost" || i.key === hand.parent || i.current,
  );
  const box = boxAround([hand.point, ...near.map((i) => i.point), ...ghostPoints(model)]);
  const sd = (a: Axis) => 2.6 * Math.sqrt(Math.max(hand.covariance?.[a][a] ?? 0, 0));
  return (
    box && {
      lo: perAxis((a) => Math.min(box.lo[a], hand.point[a] - sd(a))),
      hi: perAxis((a) => Math.max(box.hi[a], hand.point[a] + sd(a))),
    }
  );
}

/** Where the window is, and how it follows what is on the map. */
export interface Camera {
  readonly home: Box3;
  readonly view: View;
  look(view: View): void;
  /** Take note of a new model; true when the map should come nearer or go back of itself. */
  follow(model: MapModel, items: readonly Item[]): View | null;
  viewOf(what: "all" | "drink" | "range"): View;
  frame(layout: Layout): Frame;
}

/** A camera over an empty map. */
export function createCamera(): Camera {
  let home = EMPTY_BOX;
  let view: View = HOME_VIEW;
  /** The view the map itself chose last: while it is still shown, the map may choose again. */
  let ownView: View = HOME_VIEW;
  let model: MapModel | null = null;
  let items: readonly Item[] = [];
  let framed: { frame: Frame; layout: Layout; view: View; home: Box3 } | null = null;

  const fitHome = (next: MapModel, before: MapModel | null) => {
    const target = next.target ? targetBox(next.target, items) : null;
    const all = boxAround([
      ...items.flatMap((i) => (i.kind === "reference" ? [] : [i.point])),
      ...next.references.flatMap((r) =>
        r.families.some((id) => next.families.includes(id)) ? [r.point] : [],
      ),
      ...others(next),
      ...ghostPoints(next),
      ...(target ? [target.lo, target.hi] : []),
    ]);
    if (!all) {
      home = EMPTY_BOX;
      return;
    }
    const wanted = padBox(all, 0.06, MIN_SPAN);
    const isDrag = before?.target === next.target && before.rounds === next.rounds;
    // While it still holds everything and is not much too large, the frame stays, so that dragging an amount
    // moves the drink and not the paper.
    const roomy = ([0, 1, 2] as const).some(
      (a) => home.hi[a] - home.lo[a] > ROOMY * (wanted.hi[a] - wanted.lo[a]),
    );
    // A drink that is dragged out of it takes it along in strides, as all of the map is drawn anew for each.
    if (!boxContains(home, all)) home = isDrag ? padBox(all, STRIDE, MIN_SPAN) : wanted;
    else if (roomy) home = wanted;
  };
  /** A bench opens on its trail and its target; a few far classics must not shrink them. */
  const openingView = (): View => {
    if (!model) return HOME_VIEW;
    const target = model.target ? targetBox(model.target, items) : null;
    const box = boxAround([
      ...items.filter((i) => i.kind !== "reference").map((i) => i.point),
      ...others(model),
      ...(target ? [target.lo, target.hi] : []),
    ]);
    return box ? fitView(box, home, 0.94) : HOME_VIEW;
  };
  const viewOf = (what: "all" | "drink" | "range"): View => {
    if (!model) return HOME_VIEW;
    const box =
      what === "drink"
        ? drinkBox(items, model)
        : what === "range" && model.target
          ? targetBox(model.target, items)
          : null;
    return box ? fitView(box, home) : HOME_VIEW;
  };

  return {
    get home() {
      return home;
    },
    get view() {
      return view;
    },
    look(next) {
      view = next;
    },
    viewOf,
    follow(next, nextItems) {
      const before = model;
      const known = new Set(before?.rounds.map((r) => r.id));
      const otherBench =
        before === null || (next.rounds.length > 0 && !next.rounds.some((r) => known.has(r.id)));
      const oldHome = home;
      model = next;
      items = nextItems;
      fitHome(next, before);
      const untouched = view === ownView;
      if (otherBench) view = openingView();
      // The same view object while the frame stays, so that a view chosen by hand can be told from the map's own.
      else if (oldHome !== home) view = rebaseView(view, oldHome, home);
      if (otherBench || untouched) ownView = view;
      // New proposals are a short step from the drink: near enough to be read, unless the user has chosen a view.
      const had = (before?.ghosts.length ?? 0) > 0;
      const lain = before !== null && before.others !== next.others;
      if (otherBench || !untouched || (!lain && had === next.ghosts.length > 0)) return null;
      // Trails laid over it are looked at with the bench's own: all of them, or they would run off the map.
      ownView = next.ghosts.length > 0 && !lain ? viewOf("drink") : openingView();
      return ownView;
    },
    frame(layout) {
      if (framed?.layout === layout && framed.view === view && framed.home === home) return framed.frame;
      const { plot, alcohol } = layout;
      const frame: Frame = {
        layout,
        x: linearScale(domainOf(view, home, 0), [0, plot.width]),
        y: linearScale(domainOf(view, home, 1), [plot.height, 0]),
        z: linearScale(domainOf(view, home, 2), alcohol.upright ? [alcohol.length, 0] : [0, alcohol.length]),
      };
      framed = { frame, layout, view, home };
      return frame;
    },
  };
}
