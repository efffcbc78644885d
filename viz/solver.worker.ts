import { solve } from "../engine/solve/solve.ts";
import type { Ingredient, Pantry } from "../engine/types.ts";
import type { Ask } from "./solver-client.ts";

let pantry: Pantry = new Map();

/** The solver off the page's thread: first the pantry, then one question at a time. */
self.addEventListener(
  "message",
  (event: MessageEvent<{ pantry: Ingredient[] } | { id: number; ask: Ask }>) => {
    const message = event.data;
    if ("pantry" in message) {
      pantry = new Map(message.pantry.map((ingredient) => [ingredient.id, ingredient]));
      return;
    }
    const started = performance.now();
    try {
      const result = solve({ ...message.ask, pantry, now: () => performance.now() });
      self.postMessage({ id: message.id, result, milliseconds: performance.now() - started });
    } catch (error) {
      self.postMessage({ id: message.id, problem: error instanceof Error ? error.message : String(error) });
    }
  },
);
