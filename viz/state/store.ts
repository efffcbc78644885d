import type { Answer as QuestionAnswer } from "../../engine/explore/answer.ts";
import type { Exploration } from "../../engine/explore/explore.ts";
import type { Route } from "../../engine/explore/routes.ts";
import type { Bench, Proposal } from "../../engine/types.ts";
import type { View } from "./view.ts";

/** A message for the user that stays until dismissed or replaced. */
export interface Notice {
  tone: "info" | "problem";
  text: string;
}

/** Everything an answer rests on, to be compared by identity. */
export function questionOf(state: State): readonly unknown[] {
  const { spec, rules, target, ask, ladder, units, unitSettings, measured, prices } = state;
  return [spec, rules, target, ask, ladder, units, unitSettings, measured, prices];
}

/** Whether an answer is still the answer to what is on the bench. */
export function isFresh(answer: { to: readonly unknown[] }, state: State): boolean {
  const now = questionOf(state);
  return answer.to.every((part, i) => part === now[i]);
}

/** The last answer, kept with what it answers so that a stale one can be told apart. */
export interface Answer {
  to: readonly unknown[];
  found: Exploration;
  milliseconds: number;
  /** Other kinds of change, compared; null until asked for. */
  routes: Route[] | null;
}

/** The last plain question, what it was read as, and its answer. */
export interface Reply {
  to: readonly unknown[];
  echo: string;
  answer: QuestionAnswer;
}

/** What the page is showing. One object; panels read it and never keep copies. */
export interface State extends View {
  benches: Bench[];
  theme: "auto" | "light" | "dark";
  /** Currency per litre, by pantry id. */
  prices: Record<string, number>;
  /** What is being worked out. */
  asking: "explore" | "routes" | "question" | null;
  answer: Answer | null;
  reply: Reply | null;
  questionProblem: string | null;
  askProblem: string | null;
  focusedProposal: string | null;
  notice: Notice | null;
}

/** Every proposal on offer for the spec on the bench, in the order shown. */
export function offers(state: State): Proposal[] {
  const answer = state.answer && isFresh(state.answer, state) ? state.answer : null;
  const reply = state.reply && isFresh(state.reply, state) ? state.reply : null;
  return [
    ...(answer?.found.proposals ?? []),
    ...(answer?.found.repair?.repairs.map((repair) => repair.proposal) ?? []),
    ...(answer?.routes?.flatMap((route) => route.proposal ?? []) ?? []),
    ...(reply?.answer.proposals ?? []),
  ];
}

/** The proposals drawn on the map: of the many other kinds of change only the one pointed at. */
export function onMap(state: State): Proposal[] {
  return offers(state).filter(({ id }) => !id.startsWith("route-") || id === state.focusedProposal);
}

type Listener = (state: State) => void;

/** One state, many listeners, and an undo history of the spec. */
export interface Store {
  get(): State;
  /** Merge a patch; listeners run once per microtask however many patches came. */
  set(patch: Partial<State>): void;
  /** Like `set`, and the spec and rules before it can be returned to with `undo`. */
  edit(patch: Partial<State>, mergeKey?: string): void;
  undo(): void;
  canUndo(): boolean;
  subscribe(listener: Listener): void;
}

const HISTORY_LIMIT = 200;

/** Create the store. Patches with the same `mergeKey` in a row (one drag) are one undo step. */
export function createStore(initial: State): Store {
  let state = initial;
  let scheduled = false;
  let lastMergeKey: string | undefined;
  const listeners: Listener[] = [];
  const history: Pick<State, "spec" | "rules" | "round">[] = [];

  const set = (patch: Partial<State>) => {
    state = { ...state, ...patch };
    if (scheduled) return;
    scheduled = true;
    queueMicrotask(() => {
      scheduled = false;
      for (const listener of listeners) listener(state);
    });
  };

  return {
    get: () => state,
    set,
    edit(patch, mergeKey) {
      if (mergeKey === undefined || mergeKey !== lastMergeKey) {
        history.push({ spec: state.spec, rules: state.rules, round: state.round });
        if (history.length > HISTORY_LIMIT) history.shift();
      }
      lastMergeKey = mergeKey;
      set(patch);
    },
    undo() {
      const before = history.pop();
      lastMergeKey = undefined;
      if (before) set(before);
    },
    canUndo: () => history.length > 0,
    subscribe: (listener) => listeners.push(listener),
  };
}
