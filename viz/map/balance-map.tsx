import "./map.css";
import { effect, type ReadonlySignal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { ahead } from "../parts/later.tsx";
import type { MapHandle, MapHandlers, MapModel, MapOptions } from "./model.ts";

const loadStage = ahead(() => import("./stage.ts"));

/** How near the window's edge the map must come to be fetched. */
const NEAR = "500px 0px";
/** And to be drawn: out of sight it costs nothing, and follows once it is looked for. */
const IN_SIGHT = "100px 0px";

/** The map as a component: it follows its model and options, and is as large as the box it is given. */
export function BalanceMap({
  model,
  options,
  handlers,
  onReady,
}: {
  model: ReadonlySignal<MapModel>;
  options: ReadonlySignal<MapOptions>;
  handlers: MapHandlers;
  onReady?: (handle: MapHandle) => void;
}) {
  const host = useRef<HTMLDivElement>(null);
  const handle = useRef<MapHandle | null>(null);
  const frame = useRef(0);
  const inSight = useSignal(true);
  const draw = () => {
    frame.current = 0;
    handle.current?.update(model.peek(), options.peek());
  };
  useEffect(() => {
    const box = host.current;
    if (!box) return;
    let gone = false;
    // On a phone the map is far down: it is fetched when it comes near.
    const watch = new IntersectionObserver(
      async ([entry]) => {
        if (!entry?.isIntersecting) return;
        watch.disconnect();
        const { createMap } = await loadStage();
        if (gone) return;
        const made = createMap(box, handlers);
        handle.current = made;
        draw();
        onReady?.(made);
      },
      { rootMargin: NEAR },
    );
    watch.observe(box);
    const look = new IntersectionObserver(([entry]) => (inSight.value = entry?.isIntersecting ?? true), {
      rootMargin: IN_SIGHT,
    });
    look.observe(box);
    addEventListener("beforeprint", draw);
    return () => {
      gone = true;
      watch.disconnect();
      look.disconnect();
      removeEventListener("beforeprint", draw);
      cancelAnimationFrame(frame.current);
      handle.current?.destroy();
      handle.current = null;
    };
  }, []);
  // Several changes before a paint are one drawing. An effect of a component would hear of them a frame late.
  useEffect(
    () =>
      effect(() => {
        if (!inSight.value) return;
        model.value;
        options.value;
        frame.current ||= requestAnimationFrame(draw);
      }),
    [model, options],
  );
  return <div class="map-host" ref={host} />;
}
