import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Answer as QuestionAnswer } from "../../engine/ask/answer.ts";
import type { Intent } from "../../engine/ask/intent.ts";
import type { Exploration } from "../../engine/explore/explore.ts";
import type { Route } from "../../engine/explore/routes.ts";
import type { TaskInput, TaskName } from "../../engine/tasks.ts";
import type { Proposal, TargetSpec } from "../../engine/types.ts";
import type { Solver } from "../solver/client.ts";
import type { Store } from "../state/store.ts";
import type { Work } from "../state/view.ts";
import { requestOf } from "./request.ts";
import { ASKING } from "./words.ts";

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
  intent: Intent;
  answer: QuestionAnswer;
}

/** Work in progress. */
export interface Progress {
  what: "ways" | "routes" | "question";
  elapsedMs: number;
}

/** The questions asked on the bench and their answers. */
export interface Asking {
  progress: ReadonlySignal<Progress | null>;
  answer: ReadonlySignal<Answer | null>;
  reply: ReadonlySignal<Reply | null>;
  problem: Signal<string | null>;
  questionProblem: Signal<string | null>;
  /** Something the answer rests on has changed since. */
  stale: ReadonlySignal<boolean>;
  /** The proposal of the answer that is on the bench now: it was taken. */
  taken: ReadonlySignal<Proposal | null>;
  /** Every proposal on offer for the spec on the bench, in the order shown. */
  offers: ReadonlySignal<Proposal[]>;
  /** Those the map draws: of the many other kinds of change only the one pointed at. */
  drawn: ReadonlySignal<Proposal[]>;
  /** The one that is shown, if it is still on offer. */
  shown: ReadonlySignal<Proposal | null>;
  ask(): Promise<void>;
  askRoutes(): Promise<void>;
  /** With a range of its own, where the question names one. */
  askQuestion(intent: Intent, echo: string, range?: TargetSpec): Promise<void>;
  stop(): void;
}

/** Everything an answer rests on, to be compared by identity. */
function questionOf(work: Work): readonly unknown[] {
  const { spec, rules, target, ask, ladder, units, unitSettings, measured, own, prices } = work;
  return [spec, rules, target, ask, ladder, units, unitSettings, measured, own, prices];
}

/** Ids are unique only within one answer; several answers are on the map at once. */
function renamed<T extends Proposal | null>(proposal: T, prefix: string): T {
  return proposal === null ? proposal : { ...proposal, id: `${prefix}-${proposal.id}` };
}

function withIds(found: Exploration): Exploration {
  return {
    ...found,
    proposals: found.proposals.map((proposal, i) => renamed(proposal, `way-${i + 1}`)),
    edge: found.edge && `way-${found.proposals.findIndex(({ id }) => id === found.edge) + 1}`,
    repair: found.repair && {
      ...found.repair,
      repairs: found.repair.repairs.map((entry, i) => ({
        ...entry,
        proposal: renamed(entry.proposal, `freed-${i + 1}`),
      })),
    },
  };
}

/** What was kept, while what it rests on is as it was. */
function fresh<T extends { to: readonly unknown[] }>(kept: T | null, now: readonly unknown[]): T | null {
  return kept?.to.every((part, i) => part === now[i]) ? kept : null;
}

/** The proposals by another kind of change. */
const kindsOf = (answer: Answer | null): Proposal[] =>
  answer?.routes?.flatMap((route) => route.proposal ?? []) ?? [];

/** Every proposal of the answers, in the order shown. */
function offersOf(answer: Answer | null, kinds: readonly Proposal[], reply: Reply | null): Proposal[] {
  return [
    ...(answer?.found.proposals ?? []),
    ...(answer?.found.repair?.repairs.map((repair) => repair.proposal) ?? []),
    ...kinds,
    ...(reply?.answer.proposals ?? []),
  ];
}

/** The asking of a bench. `solver` answers the questions of the room; a new one ends the one before. */
export function createAsking(store: Store, solver: Solver): Asking {
  const progress = signal<Progress | null>(null);
  const answer = signal<Answer | null>(null);
  const reply = signal<Reply | null>(null);
  const problem = signal<string | null>(null);
  const questionProblem = signal<string | null>(null);
  const now = () => questionOf(store.work.value);
  const freshAnswer = computed(() => fresh(answer.value, now()));
  const freshReply = computed(() => fresh(reply.value, now()));
  const kinds = computed(() => kindsOf(freshAnswer.value));
  const offers = computed(() => offersOf(freshAnswer.value, kinds.value, freshReply.value));

  /** The solver's answer, or what is wrong; null when another question took its place. */
  const put = async <N extends TaskName>(what: Progress["what"], name: N, input: TaskInput<N>) => {
    const show = (elapsedMs: number) => {
      progress.value = { what, elapsedMs };
    };
    show(0);
    const got = await solver.ask(name, input, show);
    if (got !== null || progress.value?.what === what) progress.value = null;
    return got;
  };

  const ask = async () => {
    const request = requestOf(store);
    if (!request) return;
    const to = now();
    problem.value = null;
    questionProblem.value = null;
    reply.value = null;
    const got = await put("ways", "explore", request);
    if (got === null) return;
    if ("problem" in got) {
      answer.value = null;
      problem.value = got.problem;
      store.said.value = ASKING.refused(got.problem);
      return;
    }
    const found = withIds(got.result);
    answer.value = { to, found, milliseconds: got.milliseconds, routes: null };
    store.focused.value = found.proposals[0]?.id ?? found.repair?.repairs[0]?.proposal.id ?? null;
    store.said.value = ASKING.found(found);
  };
  const askRoutes = async () => {
    const request = requestOf(store);
    const asked = answer.value;
    if (!request || !asked) return;
    const got = await put("routes", "routes", request);
    if (got === null) return;
    if ("problem" in got) {
      problem.value = got.problem;
      return;
    }
    if (answer.value !== asked) return;
    const routes = got.result.map((route, i) => ({
      ...route,
      proposal: renamed(route.proposal, `route-${i + 1}`),
    }));
    answer.value = { ...asked, routes };
    store.said.value = ASKING.routes(routes.filter((route) => route.proposal).length);
  };
  const askQuestion = async (intent: Intent, echo: string, range?: TargetSpec) => {
    const chosen = requestOf(store);
    const request = chosen && range ? { ...chosen, target: range } : chosen;
    if (!request) {
      questionProblem.value = ASKING.noTarget;
      return;
    }
    const to = now();
    questionProblem.value = null;
    const got = await put("question", "ask", { intent, request });
    if (got === null) return;
    if ("problem" in got) {
      reply.value = null;
      questionProblem.value = got.problem;
      store.said.value = got.problem;
      return;
    }
    const proposals = got.result.proposals.map((proposal, i) => renamed(proposal, `reply-${i + 1}`));
    reply.value = { to, echo, intent, answer: { ...got.result, proposals } };
    if (proposals[0]) store.focused.value = proposals[0].id;
    store.said.value = got.result.text;
  };

  return {
    progress,
    answer,
    reply: freshReply,
    problem,
    questionProblem,
    stale: computed(() => answer.value !== null && freshAnswer.value === null),
    taken: computed(() => {
      if (freshAnswer.value) return null;
      const offered = offersOf(answer.value, kindsOf(answer.value), null);
      return offered.find(({ spec }) => spec === store.spec.value) ?? null;
    }),
    offers,
    drawn: computed(() =>
      offers.value.filter((offer) => !kinds.value.includes(offer) || offer.id === store.focused.value),
    ),
    shown: computed(() => offers.value.find((offer) => offer.id === store.focused.value) ?? null),
    ask,
    askRoutes,
    askQuestion,
    stop: () => solver.stop(),
  };
}
