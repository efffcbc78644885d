import type { ComponentType, FunctionComponent } from "preact";
import { useEffect, useState } from "preact/hooks";

/** What the rooms that were opened fetch when it is first needed. */
const loads = new Set<() => Promise<unknown>>();

/** Let `load` be called by `fetchAhead` too, so that what it brings is there without a network. */
export function ahead<T>(load: () => Promise<T>): () => Promise<T> {
  loads.add(load);
  return load;
}

/** Fetch what has not come yet, once the page is at rest; what fails is tried again where it is shown. */
export function fetchAhead(): void {
  for (const load of loads) load().catch(() => {});
}

/** A component that is fetched when it is first shown; nothing stands in its place until it has come. */
export function later<P extends object>(load: () => Promise<ComponentType<P>>): FunctionComponent<P> {
  ahead(load);
  let come: ComponentType<P> | null = null;
  return function Later(props: P) {
    const [, setCome] = useState(come !== null);
    useEffect(() => {
      if (come) return;
      let gone = false;
      load().then((component) => {
        come = component;
        if (!gone) setCome(true);
      });
      return () => {
        gone = true;
      };
    }, []);
    const Component = come;
    return Component ? <Component {...props} /> : null;
  };
}
