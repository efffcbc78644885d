import { computed, effect, type ReadonlySignal, signal } from "@preact/signals";
import { reasonOf } from "../../engine/errors.ts";
import type { TableAnswer, TableQuestion } from "../../engine/taste/answer.ts";
import { priorOfTarget } from "../../engine/taste/prior.ts";
import type { Tasting } from "../../engine/taste/types.ts";
import { requestOf } from "../bench/request.ts";
import type { House } from "../house.ts";
import { createSolver } from "../solver/client.ts";
import type { PlacedRound } from "../state/derived.ts";
import { targetFor } from "../state/opening.ts";
import type { Store } from "../state/store.ts";
import type { TargetPart } from "../state/view.ts";
import type { Desk, KeptTasting } from "./desk.ts";

/** The most one table is learned from; what is older is left out. */
const MOST_TASTINGS = 240;

/** What the table tells, as it comes from the worker. */
export interface Learning {
  /** Rounds somebody tasted, in order of number. */
  tasted: ReadonlySignal<PlacedRound[]>;
  /** Marks of those rounds. */
  tastings: ReadonlySignal<KeptTasting[]>;
  answer: ReadonlySignal<TableAnswer | null>;
  /** Being worked out. */
  busy: ReadonlySignal<boolean>;
  problem: ReadonlySignal<string | null>;
  /** The family the learning starts from; null where the bench has a range of another kind. */
  family: ReadonlySignal<string | null>;
  stop(): void;
}

/**
 * What the learning starts from: the range the bench works towards, but never the table's own, which would
 * count the same marks twice.
 */
export function startingParts(store: Store): TargetPart[] {
  const parts = store.work.value.target;
  const given = parts.filter((part) => part.kind !== "table");
  if (given.length > 0) return given;
  const table = parts.find((part) => part.kind === "table");
  const family = table?.kind === "table" ? table.family : null;
  const { spec, own } = store.work.value;
  return targetFor(family ?? store.bench.value?.target, store.data, spec, own);
}

const said = ({ round, taster, liking, sweet, sour, strong, words }: KeptTasting): Tasting => ({
  round,
  taster,
  liking,
  sweet: sweet as Tasting["sweet"] & {},
  sour: sour as Tasting["sour"] & {},
  strong: strong as Tasting["strong"] & {},
  words,
});

/** Learn from the bench's tastings, again whenever something they rest on changes. */
export function createLearning(house: House, desk: Desk): Learning {
  const { store } = house;
  const solver = createSolver();
  const parts = computed(() => JSON.stringify(startingParts(store)));
  const family = computed(() => {
    const [first] = JSON.parse(parts.value) as TargetPart[];
    return first?.kind === "family" ? first.family : null;
  });
  const placed = computed(() => new Map(store.rounds.value.map((entry) => [entry.round.id, entry])));
  const tastings = computed(() =>
    desk.tastings.value.filter(({ round }) => placed.value.get(round)?.placement).slice(0, MOST_TASTINGS),
  );
  const tasted = computed(() =>
    [...new Set(tastings.value.map(({ round }) => round))]
      .map((round) => placed.value.get(round)!)
      .sort((a, b) => a.round.number - b.round.number),
  );
  const answer = signal<TableAnswer | null>(null);
  const busy = signal(false);
  const problem = signal<string | null>(null);

  const question = computed((): TableQuestion | string | null => {
    if (tastings.value.length === 0) return null;
    try {
      const { value: target, problem: wrong } = store.targetOf(JSON.parse(parts.value));
      const request = requestOf(store);
      if (!target || !request)
        return wrong ?? "Choose a range for this bench first: the learning starts from it.";
      const { target: _, minProbability: __, ...asked } = request;
      return {
        record: {
          prior: priorOfTarget(target.spec),
          rounds: tasted.value.map(({ round, placement }) => ({ id: round.id, point: placement!.point })),
          tastings: tastings.value.map(said),
        },
        request: asked,
      };
    } catch (error) {
      return reasonOf(error);
    }
  });
  const key = computed(() => {
    const now = question.value;
    return now === null || typeof now === "string"
      ? now
      : JSON.stringify([now, store.work.value.own, store.work.value.measured]);
  });

  const stop = effect(() => {
    const asked = key.value === null ? null : question.peek();
    if (asked === null || typeof asked === "string") {
      answer.value = null;
      busy.value = false;
      problem.value = asked;
      return;
    }
    busy.value = true;
    solver.ask("table", asked).then((got) => {
      if (got === null) return;
      busy.value = false;
      problem.value = "problem" in got ? got.problem : null;
      answer.value = "problem" in got ? null : got.result;
    });
  });
  return { tasted, tastings, answer, busy, problem, family, stop };
}
