import { type Selection, type ZoomBehavior, zoom, zoomIdentity } from "d3";
import type { Vec3 } from "../../engine/types.ts";
import { fromTransform, MAX_ZOOM, toTransform, type View } from "./shared-view.ts";

/** What the hands hold on to. */
interface Held {
  view(): View;
  /** What stays in sight of the axis the plot does not show. */
  anchor(): Vec3;
  look(view: View): void;
}

/** Panning and zooming by mouse, wheel and two fingers. */
export interface Hands {
  /** Attach to the plot, once for each size, and agree with the view that is shown. */
  attach(
    plot: Selection<SVGGElement, unknown, null, undefined>,
    size: { width: number; height: number },
  ): void;
}

export function createHands({ view, anchor, look }: Held): Hands {
  const behaviour: ZoomBehavior<SVGGElement, unknown> = zoom<SVGGElement, unknown>();
  let attached: unknown = null;
  return {
    attach(plot, size) {
      const { width, height } = size;
      const node = plot.node();
      if (!node) return;
      if (attached !== size) {
        attached = size;
        const extent: [[number, number], [number, number]] = [
          [0, 0],
          [width, height],
        ];
        behaviour
          .extent(extent)
          .translateExtent(extent)
          .scaleExtent([1, MAX_ZOOM])
          // The page keeps its wheel and its one-finger scroll; the map takes Ctrl + wheel, two fingers and the
          // mouse's drag on the paper. The drink's own mark is dragged to a wish.
          .filter((event: Event) => {
            if ((event.target as Element).closest(".is-hand, .weight-hand")) return false;
            if (event instanceof WheelEvent) return event.ctrlKey || event.metaKey;
            if ("touches" in event) return (event as TouchEvent).touches.length >= 2;
            return (event as MouseEvent).button === 0 && !(event as MouseEvent).ctrlKey;
          })
          .wheelDelta((event) =>
            Math.max(-0.5, Math.min(0.5, -event.deltaY * (event.deltaMode ? 0.05 : 0.004))),
          )
          .on("zoom", (event) => {
            if (event.sourceEvent)
              look(fromTransform(view(), event.transform, 0, 1, width, height, anchor()));
          });
        plot.call(behaviour).on("dblclick.zoom", null);
      }
      const t = toTransform(view(), 0, 1, width, height);
      // Straight into d3.zoom's store: its `transform` method would announce a gesture nobody made.
      (node as SVGGElement & { __zoom: typeof zoomIdentity }).__zoom = zoomIdentity
        .translate(t.x, t.y)
        .scale(t.k);
    },
  };
}
