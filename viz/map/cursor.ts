import { drinkAtHand, type Item } from "./items.ts";
import type { MapModel } from "./model.ts";

/** The items of the map, and which of them it points at. */
export interface Cursor {
  readonly items: readonly Item[];
  /** The item chosen by focus or click. */
  readonly pinned: Item | null;
  /** Key of the item under the pointer. */
  readonly hovered: string | null;
  /** What the cursor is on: it stays where it was put, and is lent to what the pointer is over. */
  readonly at: Item | null;
  /** The drink the arms weigh. */
  readonly hand: Item | null;
  find(key: string | null): Item | null;
  hold(model: MapModel, items: readonly Item[]): void;
  /** Put the cursor somewhere. */
  move(change: { pin?: string | null; hover?: string | null }): void;
}

/** A cursor on an empty map. */
export function createCursor(): Cursor {
  let items: readonly Item[] = [];
  let model: MapModel | null = null;
  let pinned: string | null = null;
  let hovered: string | null = null;
  const find = (key: string | null) => items.find((i) => i.key === key) ?? null;
  return {
    get items() {
      return items;
    },
    get pinned() {
      return find(pinned);
    },
    get hovered() {
      return hovered;
    },
    get at() {
      return find(hovered) ?? find(pinned);
    },
    get hand() {
      return model && drinkAtHand(items, model);
    },
    find,
    hold(next, nextItems) {
      model = next;
      items = nextItems;
      if (!find(pinned)) pinned = null;
      if (!find(hovered)) hovered = null;
    },
    move({ pin = pinned, hover = hovered }) {
      pinned = pin;
      hovered = hover;
    },
  };
}
