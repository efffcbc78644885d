import type { MapModel } from "./model.ts";
import type { LabelMemory } from "./scene.ts";

/** A drink that has not moved for this long is at rest, and the labels may settle. */
const LABELS_REST_MS = 500;

/** A memory of labels that are placed nowhere yet. */
export const noLabels = (): LabelMemory => ({
  held: false,
  placed: null,
  edges: new Map(),
  rings: new Map(),
  calm: null,
});

/** Where labels stand, and when they may move. */
export interface LabelRest {
  readonly memory: LabelMemory;
  /** While only the drink moves (an amount is being dragged) labels stay where they are; they settle when it rests. */
  hold(from: MapModel | null, to: MapModel): void;
  /** The next picture may move them. */
  free(): void;
  /** The next picture places them all anew. */
  forget(): void;
  stop(): void;
}

/** Labels that are placed nowhere yet; `settle` draws them again once the drink is at rest. */
export function createLabelRest(settle: () => void): LabelRest {
  const memory = noLabels();
  let rest: ReturnType<typeof setTimeout> | undefined;
  const free = () => {
    memory.held = false;
  };
  return {
    memory,
    free,
    hold(from, to) {
      memory.held =
        memory.placed !== null &&
        from !== null &&
        from.target === to.target &&
        from.rounds === to.rounds &&
        from.ghosts === to.ghosts &&
        from.references === to.references &&
        from.families === to.families;
      clearTimeout(rest);
      if (!memory.held) return;
      rest = setTimeout(() => {
        free();
        settle();
      }, LABELS_REST_MS);
    },
    forget() {
      free();
      memory.placed = null;
    },
    stop: () => clearTimeout(rest),
  };
}
