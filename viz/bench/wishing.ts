import { batch, computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { lineVolumeMl } from "../../engine/amounts/line.ts";
import type { WishResult } from "../../engine/explore/wish.ts";
import type { Spec, Vec3 } from "../../engine/types.ts";
import type { MapWish } from "../map/model.ts";
import type { Solver } from "../solver/client.ts";
import type { Store } from "../state/store.ts";
import { lineWords, pourWords } from "../words/amounts.ts";
import { measuresOf } from "./measures.ts";
import { requestOf } from "./request.ts";

/** Short enough to follow a hand; and what a hand that has let go will wait for. */
const DRAG_BUDGET_MS = 300;
const SETTLED_BUDGET_MS = 2000;

/** Where the user wants the drink, and what would bring it there. While it is dragged it goes from answer to answer. */
export interface Wish {
  at: Vec3;
  found: WishResult | null;
  /** The hand has let go: the wish stands and can be taken. */
  settled: boolean;
  /** The spec it starts from; another spec makes it void. */
  from: Spec;
}

/** Wishes for a point, answered while they are dragged. */
export interface Wishing {
  wish: ReadonlySignal<Wish | null>;
  onMap: ReadonlySignal<MapWish | null>;
  problem: Signal<string | null>;
  /** Wish for a point; `settled` when it is not being dragged any more. */
  wishFor(at: Vec3, settled: boolean): void;
  drop(): void;
}

/** What the found pours change, in the user's measures. */
export function wishChanges(store: Store, spec: Spec): string[] {
  const measures = measuresOf(store);
  const pantry = store.pantry.value;
  const old = store.spec.value.lines;
  const ml = (lines: Spec["lines"], id: string) =>
    lines.reduce(
      (sum, line) =>
        line.ingredient === id ? sum + (lineVolumeMl(line, pantry.get(id), measures.settings) ?? 0) : sum,
      0,
    );
  const ids = [...new Set([...old, ...spec.lines].map((line) => line.ingredient))];
  return ids.flatMap((id) => {
    const [from, to] = [ml(old, id), ml(spec.lines, id)];
    if (Math.abs(from - to) < 1e-6) return [];
    const ingredient = pantry.get(id);
    const line = old.find((candidate) => candidate.ingredient === id);
    const was = line ? lineWords(line, ingredient, measures) : "none";
    return [`${ingredient?.name ?? id} ${was} → ${pourWords(to, ingredient, measures)}`];
  });
}

/** The wishing of a bench; `solver` is one that may be kept busy by a drag. */
export function createWishing(store: Store, solver: Solver): Wishing {
  const wish = signal<Wish | null>(null);
  const problem = signal<string | null>(null);
  /** Where the hand is by now: only the map follows it at every move. */
  const mark = signal<Vec3 | null>(null);
  const standing = computed(() => (wish.value?.from === store.spec.value ? wish.value : null));
  return {
    wish: standing,
    onMap: computed(() => {
      const now = standing.value;
      return now && { at: mark.value ?? now.at, reached: now.found?.point ?? null, words: "" };
    }),
    problem,
    async wishFor(at, settled) {
      const from = store.spec.value;
      const before = standing.value;
      batch(() => {
        mark.value = at;
        if (settled || !before || before.settled) {
          wish.value = { at, settled, from, found: before?.found ?? null };
        }
      });
      const request = requestOf(store);
      if (!request) return;
      const reply = await solver.follow("wish", {
        request: { ...request, timeBudgetMs: settled ? SETTLED_BUDGET_MS : DRAG_BUDGET_MS },
        wish: at,
      });
      if (reply === null || wish.value?.from !== from) return;
      if ("problem" in reply) {
        problem.value = reply.problem;
        return;
      }
      problem.value = null;
      const { settled: stands } = wish.value;
      wish.value = { ...wish.value, ...(!stands && { at }), found: reply.result };
    },
    drop() {
      wish.value = null;
    },
  };
}
