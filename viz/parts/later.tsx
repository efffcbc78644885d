import type { ComponentType, FunctionComponent } from "preact";
import { useEffect, useState } from "preact/hooks";

/** A component that is fetched when it is first shown; nothing stands in its place until it has come. */
export function later<P extends object>(load: () => Promise<ComponentType<P>>): FunctionComponent<P> {
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
