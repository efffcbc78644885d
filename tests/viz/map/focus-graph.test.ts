import { describe, expect, test } from "vitest";
import { entryPoint, type NavKey, stepFrom } from "../../../viz/map/focus-graph.ts";
import { type Item, itemsOf } from "../../../viz/map/items.ts";
import { model } from "./a-model.ts";

const items = itemsOf(model);
const item = (key: string) => items.find((i) => i.key === key)!;
const at = (i: Item): [number, number] => [i.point[0] * 50, i.point[1] * -300];
const walk = (from: string, ...keys: NavKey[]) =>
  keys.reduce((here, key) => stepFrom(items, here, key, at), item(from)).key;

describe("walking the map by keys", () => {
  test("starts at the current round, or at the first item of a bench without one", () => {
    expect(entryPoint(items)!.key).toBe("round:5");
    expect(entryPoint(items.filter((i) => i.kind === "reference"))!.key).toBe("reference:a");
    expect(entryPoint([])).toBeNull();
  });

  test("left goes to the parent and stops at the first round", () => {
    expect(walk("round:5", "ArrowLeft", "ArrowLeft")).toBe("round:2");
    expect(walk("round:5", "ArrowLeft", "ArrowLeft", "ArrowLeft", "ArrowLeft", "ArrowLeft")).toBe("round:1");
  });

  test("right goes to the child that was kept, past the abandoned branch", () => {
    expect(walk("round:1", "ArrowRight", "ArrowRight")).toBe("round:4");
  });

  test("up and down go between the branches of a fork and stop at their ends", () => {
    expect(walk("round:4", "ArrowUp")).toBe("round:3");
    expect(walk("round:3", "ArrowDown")).toBe("round:4");
    expect(walk("round:3", "ArrowUp")).toBe("round:3");
  });

  test("from the current round, right reaches the edited spec and down its proposals; left leads back", () => {
    expect(walk("round:5", "ArrowRight")).toBe("live:");
    expect(walk("round:5", "ArrowRight", "ArrowDown", "ArrowDown")).toBe("ghost:y");
    expect(walk("round:5", "ArrowRight", "ArrowDown", "ArrowLeft")).toBe("round:5");
  });

  test("page keys go round the groups, to the reference nearest and back to the current round", () => {
    expect(walk("round:2", "PageDown")).toBe("live:");
    expect(walk("round:2", "PageDown", "PageDown")).toBe("reference:b");
    expect(walk("round:2", "PageDown", "PageDown", "PageDown")).toBe("round:5");
    expect(walk("round:2", "PageUp")).toBe("reference:b");
  });

  test("among references the arrows go where they point", () => {
    expect(walk("reference:a", "ArrowRight")).toBe("reference:b");
    expect(walk("reference:a", "ArrowUp")).toBe("reference:c");
    expect(walk("reference:a", "ArrowLeft")).toBe("reference:a");
    expect(walk("reference:a", "End", "Home")).toBe("reference:a");
  });

  test("every item can be reached from every other by keys alone", () => {
    const keys: NavKey[] = [
      "ArrowLeft",
      "ArrowRight",
      "ArrowUp",
      "ArrowDown",
      "PageUp",
      "PageDown",
      "Home",
      "End",
    ];
    for (const start of items) {
      const seen = new Set([start.key]);
      const queue = [start];
      for (let here = queue.pop(); here; here = queue.pop()) {
        for (const key of keys) {
          const next = stepFrom(items, here, key, at);
          if (!seen.has(next.key)) queue.push(next);
          seen.add(next.key);
        }
      }
      expect([...seen].sort()).toEqual(items.map((i) => i.key).sort());
    }
  });

  test("a trail that bad data closed into a ring still ends every step", () => {
    const ring = items.map((i) => (i.key === "round:1" ? { ...i, parent: "round:5" } : i));
    expect(stepFrom(ring, ring[1]!, "ArrowDown", at).kind).toBe("round");
  });

  test("a bench with nothing but references answers every key", () => {
    const lone = itemsOf({
      ...model,
      rounds: [],
      ghosts: [],
      live: null,
      references: [model.references[0]!],
    });
    for (const key of ["PageDown", "PageUp", "ArrowRight", "Home"] as const) {
      expect(stepFrom(lone, lone[0]!, key, at).key).toBe("reference:a");
    }
  });
});
