import { computed, type ReadonlySignal } from "@preact/signals";
import { laddersFor } from "../../engine/amounts/ladder.ts";
import { scaledDistance, toVec } from "../../engine/axes.ts";
import type { CatalogueView, PlacedReference } from "../../engine/catalogue.ts";
import { reasonOf } from "../../engine/errors.ts";
import type { Kin, Misfit } from "../../engine/kin/kin.ts";
import { pantryWithFigures } from "../../engine/mix/own-figures.ts";
import { type PlaceOptions, place } from "../../engine/place/place.ts";
import { analyseTrail } from "../../engine/trail/analyse-trail.ts";
import type {
  Bench,
  Pantry,
  Placement,
  PourLadder,
  Round,
  Spec,
  Trail,
  UnitSettings,
} from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import { type Verdict, verdictOf } from "../words/verdict.ts";
import { catalogueOf } from "./catalogue.ts";
import { type Lent, lentTo } from "./keys.ts";
import { type ChosenTarget, chooseTarget } from "./target.ts";
import type { LadderChoice, Work } from "./view.ts";

/** A round where it stands. */
export interface PlacedRound {
  round: Round;
  /** Null for a round that cannot be placed. */
  placement: Placement | null;
  /** Axis-scale distance from the first round; null where either has no place. */
  drift: number | null;
}

/** A value, or the reason there is none. */
export interface Attempt<T> {
  value: T | null;
  problem: string | null;
}

/** The work part by part: what reads one is let alone when another changes. */
export type Parts = { readonly [K in keyof Work]: ReadonlySignal<Work[K]> };

/** What follows from the work; each part is worked out again only when what it rests on changed. */
export interface Derived {
  parts: Parts;
  pantry: ReadonlySignal<Pantry>;
  /** What the open bench is placed with beside its pantry: sizes of measures, glasses, prices. */
  placing: ReadonlySignal<Required<Pick<PlaceOptions, "unitSettings" | "glasses" | "prices">>>;
  ladder: ReadonlySignal<PourLadder>;
  spec: ReadonlySignal<Spec>;
  placed: ReadonlySignal<Attempt<Placement>>;
  placement: ReadonlySignal<Placement | null>;
  chosen: ReadonlySignal<Attempt<ChosenTarget>>;
  target: ReadonlySignal<ChosenTarget | null>;
  /** What the drink is like, once the hand rests; null for one that cannot be placed. */
  kin: ReadonlySignal<Kin | null>;
  /** Set when the drink is hardly a member of the one family it is measured against. */
  misfit: ReadonlySignal<Misfit | null>;
  verdict: ReadonlySignal<Verdict | null>;
  bench: ReadonlySignal<Bench | null>;
  round: ReadonlySignal<Round | null>;
  /** The spec on the bench differs from the round it was opened from. */
  edited: ReadonlySignal<boolean>;
  rounds: ReadonlySignal<PlacedRound[]>;
  newestFirst: ReadonlySignal<readonly PlacedRound[]>;
  /** Which move did what, step by step: slow, so only for whoever reads it. */
  trail: ReadonlySignal<Attempt<Trail>>;
  /** The classics, diluted as the user's drink is. */
  references: ReadonlySignal<readonly PlacedReference[]>;
  /** Another target than the chosen one, made as it would be if it were chosen. */
  targetOf(parts: Work["target"]): Attempt<ChosenTarget>;
  /** Place any spec with the user's pantry and measures. */
  placeSpec(spec: Spec): Attempt<Placement>;
}

function attempt<T>(compute: () => T | null): Attempt<T> {
  try {
    return { value: compute(), problem: null };
  } catch (error) {
    return { value: null, problem: reasonOf(error) };
  }
}

/** The pour ladder the user works with, showing amounts in the unit they chose. */
export function ladderOf(choice: LadderChoice, units: "oz" | "ml", settings: UnitSettings): PourLadder {
  if (choice.id === "own") {
    const stepMl = choice.stepMl ?? 5;
    return { id: "own", name: `Own, ${stepMl} mL steps`, stepMl, displayUnit: units };
  }
  const ladder = laddersFor(settings)[choice.id];
  return choice.id === "scale" ? ladder : { ...ladder, displayUnit: units };
}

/** Two specs that pour the same drink the same way. */
export function sameSpec(a: Spec, b: Spec): boolean {
  return a === b || JSON.stringify(pouring(a)) === JSON.stringify(pouring(b));
}

function pouring(spec: Spec): unknown {
  return [
    spec.name,
    spec.method,
    spec.glass ?? null,
    spec.servedOn ?? null,
    spec.dilution ?? null,
    spec.lines.map((line) => [
      line.ingredient,
      Number(line.amount.toPrecision(6)),
      line.unit,
      line.stage ?? null,
      line.amountSdPercent ?? null,
    ]),
  ];
}

/** What is poured in this house; or, `from` another, what its benches are poured from. */
export function pantryFor(
  data: PageData,
  { own, measured }: Pick<Work, "own" | "measured">,
  from?: Lent,
): Pantry {
  const all = [...(data.notes.value.ingredients ?? data.pantry), ...own];
  return from ? pantryWithFigures([...all, ...from.ingredients], {}) : pantryWithFigures(all, measured);
}

function partsOf(work: ReadonlySignal<Work>): Parts {
  const keys = Object.keys(work.peek()) as (keyof Work)[];
  return Object.fromEntries(keys.map((key) => [key, computed(() => work.value[key])])) as unknown as Parts;
}

/** The spec of the work, as much behind as what follows from it may be. */
export interface Behind {
  /** By the frame in which a hand that steps or slides sees its amount change. What is placed is this one. */
  shown: ReadonlySignal<Spec>;
  /** By as long as a hand keeps changing it. */
  rested: ReadonlySignal<Spec>;
}

/** Make everything that follows from `work`. */
export function derive(data: PageData, work: ReadonlySignal<Work>, { shown, rested }: Behind): Derived {
  const parts = partsOf(work);
  const { spec, measured, own, unitSettings, prices, benches } = parts;
  // A bench that came by a link stands as it does in the house it came from.
  const lent = computed(() => lentTo(parts.bench.value));
  const pantry = computed(() => pantryFor(data, { own: own.value, measured: measured.value }, lent.value));
  const placing = computed(() => ({
    unitSettings: lent.value?.unitSettings ?? unitSettings.value,
    glasses: data.glasses,
    prices: new Map(Object.entries(prices.value)),
  }));
  const placer = computed(() => {
    const options = placing.value;
    const ingredients = pantry.value;
    const known = new WeakMap<Spec, Attempt<Placement>>();
    return (wanted: Spec): Attempt<Placement> => {
      const before = known.get(wanted);
      if (before) return before;
      const found = attempt(() => place(wanted, ingredients, options));
      known.set(wanted, found);
      return found;
    };
  });
  const placed = computed(() => placer.value(shown.value));
  const placement = computed(() => placed.value.value);
  // By its text, so that a drag, which changes neither, leaves the classics and the regions alone.
  const like = computed(() => JSON.stringify([shown.value.method, shown.value.dilution]));
  const catalogue = catalogueOf(data);
  const view = computed((): CatalogueView => {
    like.value;
    const { method, dilution } = shown.peek();
    return catalogue.view({ method, ...(dilution && { dilution }) });
  });
  const references = computed(() => view.value.references);
  const chosen = computed(() => attempt(() => chooseTarget(parts.target.value, data, view.value)));
  const target = computed(() => chosen.value.value);
  const kin = computed(() => attempt(() => view.value.kin(rested.value, pantry.value)).value);
  const misfit = computed(() => {
    const [part, ...more] = parts.target.value;
    if (part?.kind !== "family" || more.length > 0) return null;
    return attempt(() => view.value.misfit(rested.value, `family:${part.family}`, pantry.value)).value;
  });
  const verdict = computed(() =>
    placement.value && target.value
      ? verdictOf(target.value.compiled, toVec(placement.value.point), target.value.label)
      : null,
  );
  const bench = computed(() => benches.value.find((candidate) => candidate.id === parts.bench.value) ?? null);
  const round = computed(
    () => bench.value?.rounds.find((candidate) => candidate.id === parts.round.value) ?? null,
  );
  const edited = computed(() => round.value === null || !sameSpec(round.value.spec, shown.value));
  const rounds = computed((): PlacedRound[] => {
    const all = (bench.value?.rounds ?? []).map((entry) => ({
      round: entry,
      placement: placer.value(entry.spec).value,
    }));
    const first = all.find((entry) => entry.round.parent === null)?.placement;
    return all.map((entry) => ({
      ...entry,
      drift:
        first && entry.placement ? scaledDistance(toVec(entry.placement.point), toVec(first.point)) : null,
    }));
  });
  const newestFirst = computed(() => [...rounds.value].sort((a, b) => b.round.number - a.round.number));
  const trail = computed(() =>
    attempt(() => (bench.value ? analyseTrail(bench.value.rounds, pantry.value, placing.value) : null)),
  );
  const ladder = computed(() => ladderOf(parts.ladder.value, parts.units.value, placing.value.unitSettings));
  return {
    parts,
    pantry,
    placing,
    ladder,
    spec,
    placed,
    placement,
    chosen,
    target,
    kin,
    misfit,
    verdict,
    bench,
    round,
    edited,
    rounds,
    newestFirst,
    trail,
    references,
    targetOf: (parts) => attempt(() => chooseTarget(parts, data, view.value)),
    placeSpec: (wanted) => placer.value(wanted),
  };
}
