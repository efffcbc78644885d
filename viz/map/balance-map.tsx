import { type ReadonlySignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { MapHandle, MapHandlers, MapModel, MapOptions } from "./model.ts";
import { createMap } from "./stage.ts";

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
  useEffect(() => {
    if (!host.current) return;
    const made = createMap(host.current, handlers);
    handle.current = made;
    made.update(model.peek(), options.peek());
    onReady?.(made);
    return () => {
      cancelAnimationFrame(frame.current);
      handle.current = null;
      made.destroy();
    };
  }, []);
  // Several changes before a paint are one drawing.
  useSignalEffect(() => {
    model.value;
    options.value;
    cancelAnimationFrame(frame.current);
    frame.current = requestAnimationFrame(() => handle.current?.update(model.peek(), options.peek()));
  });
  return <div class="map-host" ref={host} />;
}
