import { laddersFor } from "../../engine/amounts/ladder.ts";
import { toVec } from "../../engine/axes.ts";
import {
  type CatalogueView,
  createCatalogue,
  intersectionOf,
  type PlacedReference,
  USUAL_COVERAGE,
} from "../../engine/catalogue.ts";
import { analyticProbability } from "../../engine/doubt/probability-inside.ts";
import { EngineError } from "../../engine/errors.ts";
import { place } from "../../engine/place/place.ts";
import type { CompiledTarget } from "../../engine/targets/compile-target.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { analyseTrail } from "../../engine/trail/analyse-trail.ts";
import type {
  Bench,
  Membership,
  Pantry,
  Placement,
  PourLadder,
  Round,
  Spec,
  TargetSpec,
  Trail,
  UnitSettings,
} from "../../engine/types.ts";
import type { PageData } from "../data/client.ts";
import { withMeasured } from "../edit/measured-ingredient.ts";
import { type Verdict, verdictOf } from "../words/verdict.ts";
import type { State } from "./store.ts";
import type { LadderChoice, TargetPart } from "./view.ts";

/** The target as the page needs it: compiled, and in words. */
export interface ChosenTarget {
  compiled: CompiledTarget;
  spec: TargetSpec;
  label: string;
  /** How it was made: n, method, whose band it is. */
  notes: string[];
}

/** What follows from the state; recomputed only where its inputs changed. */
export interface Derived {
  pantry: Pantry;
  ladder: PourLadder;
  placement: Placement | null;
  placeProblem: string | null;
  target: ChosenTarget | null;
  targetProblem: string | null;
  membership: Membership | null;
  /** The same in plain words. */
  verdict: Verdict | null;
  /** Chance that the real drink is inside the target, from the doubt of its point; 0–1. Slow: not in a drag. */
  chance(): number | null;
  bench: Bench | null;
  round: Round | null;
  /** The spec on the bench differs from the round it was opened from. */
  edited: boolean;
  trail: Trail | null;
  trailProblem: string | null;
  references: readonly PlacedReference[];
}

/** Remember the last result of a function of several inputs, compared by identity. */
function remember<A extends readonly unknown[], R>(compute: (...inputs: A) => R): (...inputs: A) => R {
  let last: { inputs: A; result: R } | null = null;
  return (...inputs) => {
    if (last === null || inputs.some((input, i) => input !== last?.inputs[i])) {
      last = { inputs, result: compute(...inputs) };
    }
    return last.result;
  };
}

/** The reason of a refused input, for a person. */
export function reasonOf(error: unknown): string {
  if (error instanceof EngineError) {
    return error.issues.map((issue) => `${issue.detail}: ${issue.remedy}`).join(". ");
  }
  return error instanceof Error ? error.message : String(error);
}

function attempt<T>(compute: () => T): { value: T | null; problem: string | null } {
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
  return JSON.stringify(pouring(a)) === JSON.stringify(pouring(b));
}

function pouring(spec: Spec): unknown {
  return [
    spec.method,
    spec.glass ?? null,
    spec.dilution ?? null,
    spec.lines.map((line) => [
      line.ingredient,
      Number(line.amount.toPrecision(6)),
      line.unit,
      line.stage ?? null,
    ]),
  ];
}

function describePart(
  part: TargetPart,
  data: PageData,
  view: CatalogueView,
): { spec: TargetSpec; label: string; note: string | null } {
  switch (part.kind) {
    case "family": {
      const region = view.region(`family:${part.family}`, part.coverage);
      const percent = part.coverage === USUAL_COVERAGE ? "" : ` (${Math.round(part.coverage * 100)} %)`;
      return {
        spec: region.target,
        label: `the ${region.name} range${percent}`,
        note: `${region.name}: made from the ${region.n} classics of this family. ${region.note}`,
      };
    }
    case "band": {
      const region = view.region(part.band);
      const source = data.sources.find((candidate) => candidate.id === region.source);
      return {
        spec: region.target,
        label: region.name,
        note: `${region.name}: one author's figures, not a law (${source?.citation ?? region.source})${
          region.memory ? "; given from memory" : ""
        }.${region.note ? ` Note: ${region.note}.` : ""}`,
      };
    }
    case "box":
      return {
        spec: {
          kind: "box",
          name: "my box",
          sugarGPer100Ml: part.sugar,
          acidGPer100Ml: part.acid,
          abvPercent: part.abv,
        },
        label: "my box",
        note: null,
      };
    case "ratio":
      return {
        spec: {
          kind: "ratio",
          name: `sugar : acid ${part.min ?? "…"}–${part.max ?? "…"}`,
          min: part.min,
          max: part.max,
        },
        label: `sugar : acid ${part.min ?? "…"}–${part.max ?? "…"}`,
        note: null,
      };
    case "plane":
      return {
        spec: { kind: "half-space", name: "my limit", normal: part.normal, offset: part.offset },
        label: "my limit",
        note: null,
      };
  }
}

/** Build the function that turns a state into what the panels show. */
export function createDerive(data: PageData): (state: State) => Derived {
  const pantryOf = remember(
    (measured: State["measured"]): Pantry =>
      new Map(
        data.pantry.map((ingredient) => {
          const own = measured[ingredient.id];
          return [ingredient.id, own ? withMeasured(ingredient, own) : ingredient];
        }),
      ),
  );
  const catalogue = createCatalogue(data);

  const placed = remember((pantry: Pantry, spec: Spec, unitSettings: UnitSettings, prices: State["prices"]) =>
    attempt(() =>
      place(spec, pantry, { unitSettings, glasses: data.glasses, prices: new Map(Object.entries(prices)) }),
    ),
  );
  const chosen = remember((parts: TargetPart[], view: CatalogueView) =>
    attempt((): ChosenTarget | null => {
      if (parts.length === 0) return null;
      const described = parts.map((part) => describePart(part, data, view));
      const label = described.map((entry) => entry.label).join(" and ");
      const spec = intersectionOf(described.map((entry) => entry.spec));
      return {
        compiled: compileTarget(spec),
        spec,
        label,
        notes: described.flatMap((entry) => entry.note ?? []),
      };
    }),
  );
  const membershipOf = remember((placement: Placement | null, target: ChosenTarget | null) =>
    placement && target ? target.compiled.membership(toVec(placement.point)) : null,
  );
  const verdictFor = remember(
    (placement: Placement | null, target: ChosenTarget | null, membership: Membership | null) =>
      placement && target && membership
        ? verdictOf(
            toVec(placement.point),
            toVec(membership.nearest),
            membership.inside,
            membership.signedDistance,
            target.label,
          )
        : null,
  );
  const chanceOf = remember((placement: Placement | null, target: ChosenTarget | null) =>
    placement && target
      ? attempt(
          () => analyticProbability(target.compiled, toVec(placement.point), placement.covariance).analytic,
        ).value
      : null,
  );
  const trailOf = remember((pantry: Pantry, rounds: Round[] | undefined, unitSettings: UnitSettings) =>
    attempt(() =>
      rounds && rounds.length > 0
        ? analyseTrail(rounds, pantry, { unitSettings, glasses: data.glasses })
        : null,
    ),
  );
  const ladder = remember(ladderOf);

  return (state) => {
    const pantry = pantryOf(state.measured);
    const standing = placed(pantry, state.spec, state.unitSettings, state.prices);
    const view = catalogue.view(state.spec);
    const target = chosen(state.target, view);
    const membership = membershipOf(standing.value, target.value);
    const bench = state.benches.find((candidate) => candidate.id === state.bench) ?? null;
    const round = bench?.rounds.find((candidate) => candidate.id === state.round) ?? null;
    const trail = trailOf(pantry, bench?.rounds, state.unitSettings);
    return {
      pantry,
      ladder: ladder(state.ladder, state.units, state.unitSettings),
      placement: standing.value,
      placeProblem: standing.problem,
      target: target.value,
      targetProblem: target.problem,
      membership,
      verdict: verdictFor(standing.value, target.value, membership),
      chance: () => chanceOf(standing.value, target.value),
      bench,
      round,
      edited: round === null || !sameSpec(round.spec, state.spec),
      trail: trail.value,
      trailProblem: trail.problem,
      references: view.references,
    };
  };
}
