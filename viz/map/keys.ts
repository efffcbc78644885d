import { AXIS_SCALE, perAxis } from "../../engine/axes.ts";
import type { Vec3 } from "../../engine/types.ts";
import type { NavKey } from "./focus-graph.ts";
import type { Item } from "./items.ts";

/** What a key asks of the map. */
export type KeyAct =
  | { act: "wish"; to: Vec3 }
  | { act: "step"; key: NavKey }
  | { act: "zoom"; factor: number }
  | { act: "choose" | "fit" | "leave" };

/** A wish moved by keyboard goes in such steps of the axis scales. */
const WISH_STEP = 0.25;
const ZOOM_STEP = 1.6;

const WISH_STEPS: Partial<Record<string, Vec3>> = {
  ArrowRight: [1, 0, 0],
  ArrowLeft: [-1, 0, 0],
  ArrowUp: [0, 1, 0],
  ArrowDown: [0, -1, 0],
  PageUp: [0, 0, 1],
  PageDown: [0, 0, -1],
};

const steps = (keys: readonly NavKey[]) => keys.map((key) => [key, { act: "step", key }] as const);

const ACTS: ReadonlyMap<string, KeyAct> = new Map<string, KeyAct>([
  ...steps(["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "PageUp", "PageDown", "Home", "End"]),
  ["Enter", { act: "choose" }],
  [" ", { act: "choose" }],
  ["+", { act: "zoom", factor: ZOOM_STEP }],
  ["=", { act: "zoom", factor: ZOOM_STEP }],
  ["-", { act: "zoom", factor: 1 / ZOOM_STEP }],
  ["0", { act: "fit" }],
  ["Escape", { act: "leave" }],
]);

/**
 * What a key means while the cursor is on `from`; null where it means nothing here. With Shift, on the drink at
 * hand, the arrows and page keys move the wish, which starts at `wish` or else at the drink.
 */
export function keyAct(
  event: Pick<KeyboardEvent, "key" | "shiftKey">,
  from: Item,
  hand: Item | null,
  wish: Vec3 | null,
): KeyAct | null {
  const step = WISH_STEPS[event.key];
  if (event.shiftKey && step && hand && from.key === hand.key) {
    const start = wish ?? hand.point;
    const to = perAxis((a) => Math.max(0, start[a] + WISH_STEP * AXIS_SCALE[a] * step[a]));
    return { act: "wish", to };
  }
  return ACTS.get(event.key) ?? null;
}
