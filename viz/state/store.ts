import { batch, computed, effect, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { toVec } from "../../engine/axes.ts";
import { probabilityInside } from "../../engine/doubt/probability-inside.ts";
import { MOST } from "../../engine/limits.ts";
import type { Bench, Placement } from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import { type Behind, type Derived, derive } from "./derived.ts";
import { createHistory } from "./history.ts";
import { mergeBenches, withBenches } from "./merge.ts";
import type { ChosenTarget } from "./target.ts";
import type { Work } from "./view.ts";

/** A message for the user that stays until dismissed or until what it speaks of has changed. */
export interface Notice {
  tone: "info" | "problem";
  text: string;
  /** A way out, where there is one. */
  action?: { label: string; act: () => void };
  /** The work it speaks of; null for one that outlives changes. */
  about: Work | null;
}

/** Everything the page shows and the ways to change it. */
export interface Store extends Derived, Behind {
  data: PageData;
  work: ReadonlySignal<Work>;
  /**
   * Change the work so that it can be undone. Patches with the same `mergeKey` in a row (one drag) are one step, and
   * what follows from them is worked out once the hand has seen its amount change.
   * False, and said on the page: the bench may only be looked at.
   */
  edit(patch: Partial<Work>, mergeKey?: string): boolean;
  /** Take over what another tab or another address says: not a step of this user's. */
  adopt(work: Work): void;
  undo(): void;
  redo(): void;
  canUndo: ReadonlySignal<boolean>;
  canRedo: ReadonlySignal<boolean>;
  /** Chance that the real drink is in range, 0–1, worked out once the hand rests; null while it moves or has none. */
  chance: ReadonlySignal<number | null>;
  theme: Signal<"auto" | "light" | "dark">;
  /** A classic set beside the drink. */
  reference: Signal<string | null>;
  /** The proposal that is shown. */
  focused: Signal<string | null>;
  /** The ingredient under the pointer or the focus, whose pull the map shows. */
  pulling: ReadonlySignal<string | null>;
  /** A pointer or the focus comes to an ingredient, or leaves it: its pull is shown once it has rested there. */
  pull(ingredient: string, isThere: boolean): void;
  /** The round being looked at without opening it. */
  peeked: Signal<string | null>;
  notice: ReadonlySignal<Notice | null>;
  /** Say something that stays on the page. */
  tell(text: string, options?: Partial<Omit<Notice, "text">> & { lasting?: boolean }): void;
  dismiss(): void;
  /** What a screen reader is told next. */
  said: Signal<string>;
}

/** What takes longer than a frame, or moves the page about under the hand, waits until the hand rests. */
const REST_MS = 180;

/** Redo on `now` the change from `from` to `to`. Benches are merged, so rounds made since stay. */
function carry(now: Work, from: Work, to: Work): Work {
  const next: Work = { ...now };
  const take = <K extends keyof Work>(key: K) => {
    if (from[key] !== to[key]) next[key] = to[key];
  };
  for (const key of Object.keys(to) as (keyof Work)[]) if (key !== "benches") take(key);
  return withBenches(next, mergeBenches(from.benches, now.benches, to.benches));
}

/** Why a change must not be made, in words; null where it may. */
export type Refusal = (before: Work, patch: Partial<Work>) => string | null;

/** Works out the chance that a drink is in range, 0–1; null where it cannot. */
export type Reckon = (within: ChosenTarget, of: Placement) => Promise<number | null>;

/** Why a bench that a change adds to could not be read back once it is kept, in words; null where all of them could. */
function tooLarge(before: readonly Bench[], after: readonly Bench[] = before): string | null {
  for (const bench of after) {
    const old = before.find(({ id }) => id === bench.id);
    if (bench === old) continue;
    const added = bench.rounds.filter((round) => !old?.rounds.includes(round));
    if (bench.rounds.length > MOST.rounds && bench.rounds.length > (old?.rounds.length ?? 0))
      return `A bench keeps ${MOST.rounds} rounds, and this one is full. Delete some, or start another from the drink as it is.`;
    if (added.some(({ spec }) => spec.lines.length > MOST.lines))
      return `A round keeps ${MOST.lines} ingredients, and this drink has more. Take some out first.`;
  }
  return null;
}

/** In this thread: some frames long on a slow machine. */
export const reckonHere = ({ compiled }: ChosenTarget, { point, covariance }: Placement): number =>
  probabilityInside(compiled, toVec(point), covariance);

/** Slow enough to wait for a rest of the hand; until then no chance stands, rather than another drink's. */
function chanceOf({ placement, target }: Derived, reckon: Reckon): ReadonlySignal<number | null> {
  const reckoned = signal<{ of: Placement; within: ChosenTarget; chance: number } | null>(null);
  let timer: ReturnType<typeof setTimeout> | undefined;
  effect(() => {
    const of = placement.value;
    const within = target.value;
    clearTimeout(timer);
    if (!of || !within) return;
    timer = setTimeout(async () => {
      const chance = await reckon(within, of);
      if (chance !== null) reckoned.value = { of, within, chance };
    }, REST_MS);
  });
  return computed(() => {
    const known = reckoned.value;
    return known?.of === placement.value && known?.within === target.value ? (known?.chance ?? null) : null;
  });
}

/** What a store is told of the page it is on. */
export interface Surroundings {
  /** Holds a change back; default: none. */
  refusalOf: Refusal;
  /** Default: in this thread. */
  reckon: Reckon;
  /** Puts off what may wait until the next frame is on the screen; default: nothing waits. */
  afterPaint(act: () => void): void;
}

/** The store over the data and the work a visit starts with. */
export function createStore(
  data: PageData,
  opening: Work,
  {
    refusalOf = () => null,
    reckon = async (within, of) => reckonHere(within, of),
    afterPaint = (act) => act(),
  }: Partial<Surroundings> = {},
): Store {
  const work = signal(opening);
  const history = createHistory(carry);
  const steps = signal({ back: 0, forth: 0 });
  const notice = signal<Notice | null>(null);
  const rested = signal(opening.spec);
  const shown = signal(opening.spec);
  const derived = derive(data, work, { shown, rested });
  const focused = signal<string | null>(null);

  let isComing = false;
  const showSoon = () => {
    if (isComing) return;
    isComing = true;
    afterPaint(() => {
      isComing = false;
      shown.value = work.peek().spec;
    });
  };
  const put = (next: Work, byHand = false) => {
    batch(() => {
      work.value = next;
      if (byHand) showSoon();
      else shown.value = next.spec;
      steps.value = history.steps();
      if (notice.value?.about && notice.value.about !== next) notice.value = null;
    });
  };
  const travel = (next: Work | null) => {
    if (next) put(next);
  };

  let resting: ReturnType<typeof setTimeout> | undefined;
  let bench = opening.bench;
  effect(() => {
    const spec = derived.spec.value;
    clearTimeout(resting);
    const rest = () => {
      rested.value = spec;
    };
    // Another bench is no drag.
    const isOther = work.peek().bench !== bench;
    bench = work.peek().bench;
    if (isOther) rest();
    else resting = setTimeout(rest, REST_MS);
  });
  const pulling = signal<string | null>(null);
  let reached: string | null = null;
  let coming: ReturnType<typeof setTimeout> | undefined;

  return {
    ...derived,
    data,
    work,
    edit(patch, mergeKey) {
      const before = work.value;
      const text = refusalOf(before, patch) ?? tooLarge(before.benches, patch.benches);
      if (text) {
        notice.value = { tone: "info", text, about: null };
        return false;
      }
      const after = { ...before, ...patch };
      history.note(before, after, mergeKey);
      put(after, mergeKey !== undefined);
      return true;
    },
    adopt(next) {
      // What the user was just told, and the way to undo it, stays.
      const told = notice.value;
      if (told?.about === work.value) notice.value = { ...told, about: next };
      put(next);
    },
    undo: () => travel(history.undo(work.value)),
    redo: () => travel(history.redo(work.value)),
    canUndo: computed(() => steps.value.back > 0),
    canRedo: computed(() => steps.value.forth > 0),
    chance: chanceOf(derived, reckon),
    theme: signal("auto"),
    reference: signal(null),
    focused,
    pulling,
    pull(ingredient, isThere) {
      // Another that was come to since is left alone.
      if (!isThere && reached !== ingredient) return;
      clearTimeout(coming);
      reached = isThere ? ingredient : null;
      if (isThere) coming = setTimeout(() => (pulling.value = ingredient), REST_MS);
      else pulling.value = null;
    },
    shown,
    rested,
    peeked: signal(null),
    notice,
    tell(text, { tone = "info", action, lasting = false } = {}) {
      notice.value = { tone, text, ...(action && { action }), about: lasting ? null : work.value };
    },
    dismiss: () => {
      notice.value = null;
    },
    said: signal(""),
  };
}
