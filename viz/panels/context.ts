import type { PageData } from "../data/client.ts";
import type { Derived } from "../state/derived.ts";
import type { State, Store } from "../state/store.ts";

/** What every panel is given. */
export interface Context {
  store: Store;
  data: PageData;
  /** What follows from the present state. */
  derive(): Derived;
  /** Say something to a screen reader without moving the focus. */
  announce(text: string): void;
}

/** A panel builds itself once in its host and returns how it follows the state. */
export type Panel = (host: HTMLElement, context: Context) => (state: State, derived: Derived) => void;
