import { perAxis } from "../../engine/axes.ts";
import { clampView, type View } from "./shared-view.ts";

const GLIDE_MS = 420;

/** A window on its way to another. */
export interface Glide {
  /** Go to a window in a short glide, unless less motion is asked for. */
  to(view: View): void;
  stop(): void;
}

/** Glides from the window that is shown; `look` shows each window on the way. */
export function createGlide(shown: () => View, look: (view: View) => void): Glide {
  const stillness = matchMedia("(prefers-reduced-motion: reduce)");
  let gliding = 0;
  const stop = () => cancelAnimationFrame(gliding);
  return {
    stop,
    to(view) {
      stop();
      if (stillness.matches) {
        look(view);
        return;
      }
      const from = shown();
      const began = performance.now();
      const step = (now: number) => {
        const share = Math.min(1, Math.max(0, (now - began) / GLIDE_MS));
        const t = share * share * (3 - 2 * share);
        const between = (a: number, b: number) => a + (b - a) * t;
        const k = Math.exp(between(Math.log(from.k), Math.log(view.k)));
        const centre = perAxis((a) => between(from.centre[a], view.centre[a]));
        look(share === 1 ? view : clampView({ k, centre }));
        if (share < 1) gliding = requestAnimationFrame(step);
      };
      gliding = requestAnimationFrame(step);
    },
  };
}
