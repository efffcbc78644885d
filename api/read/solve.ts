import type { z } from "zod";
import { laddersFor } from "../../engine/amounts/ladder.ts";
import { fail } from "../../engine/errors.ts";
import type { SolveTask } from "../../engine/tasks.ts";
import type { Pantry, PourLadder, Spec, UnitId, UnitSettings } from "../../engine/types.ts";
import type { Catalogue } from "../catalogue.ts";
import type { ApiContext } from "../context.ts";
import type { LadderInputSchema } from "../schemas/amount.ts";
import { type ExploreBodySchema, MAX_MOVABLE } from "../schemas/solve.ts";
import { withOwnIngredients } from "./own-ingredients.ts";
import { pricesOf, readSettings, unitSettingsOf } from "./settings.ts";
import { type ReadSpec, readSpec, requireKnown } from "./spec.ts";

/** A solver request as it is sent, but for its target. */
export type SolveInput = Omit<z.infer<typeof ExploreBodySchema>, "target">;
type Options = Omit<SolveInput, "spec">;

export function ladderOf(
  input: z.infer<typeof LadderInputSchema> | undefined,
  settings: UnitSettings,
  spec?: Spec,
): PourLadder {
  if (typeof input === "object") return { ...input, id: "own", name: input.name ?? "Own steps" };
  return laddersFor(settings)[input ?? (spec && isMetric(spec) ? "metric-jigger" : "us-jigger")];
}

/** Whoever writes more lines in mL or cL than in ounces has a metric jigger in hand. Common practice, no published source. */
function isMetric({ lines }: Spec): boolean {
  const inUnits = (...units: UnitId[]) => lines.filter((line) => units.includes(line.unit)).length;
  return inUnits("ml", "cl") > inUnits("oz");
}

/** Every ingredient the options name, with where. */
function namedIn(options: Options): { id: string; pointer: string }[] {
  const list = (key: "additions" | "locks") =>
    (options[key] ?? []).map((id, i) => ({ id, pointer: `/${key}/${i}` }));
  return [
    ...list("additions"),
    ...list("locks"),
    ...(options.bounds ?? []).map((b, i) => ({ id: b.ingredient, pointer: `/bounds/${i}/ingredient` })),
    ...(options.character ?? []).flatMap((rule, i) => [
      { id: rule.ingredient, pointer: `/character/${i}/ingredient` },
      ...(rule.atLeastAsMuchAs === undefined
        ? []
        : [{ id: rule.atLeastAsMuchAs, pointer: `/character/${i}/atLeastAsMuchAs` }]),
    ]),
  ];
}

function requireMovableFew({ locks = [], additions = [] }: Options, spec: Spec): void {
  const named = new Set([...spec.lines.map((line) => line.ingredient), ...additions]);
  const movable = [...named].filter((id) => !locks.includes(id)).length;
  if (movable <= MAX_MOVABLE) return;
  fail(
    "/locks",
    `${movable} ingredients could move, the limit is ${MAX_MOVABLE}`,
    "lock some of them, or let fewer in",
  );
}

/** A request as the solver takes it, and what every answer says about it. */
export interface ReadSolve {
  pantry: Pantry;
  task: Omit<SolveTask, "target">;
  frame: Omit<ReadSpec, "pantry"> & { ladder: PourLadder; provenance: Catalogue["provenance"] };
}

/** Read all of a solver request but its target, which a question may name in words. */
export function readSolve(body: SolveInput, { catalogue, solveBudgetMs }: ApiContext): ReadSolve {
  const own = withOwnIngredients(catalogue.pantry, body.ingredients);
  requireKnown(namedIn(body), own.pantry);

  const unitSettings = unitSettingsOf(body);
  const settings = readSettings(body, catalogue);
  const { pantry: drinkPantry, ...read } = readSpec(body.spec, own.pantry, settings, "/spec");
  requireMovableFew(body, read.spec);
  const first = body.firstRound && readSpec(body.firstRound, own.pantry, settings, "/firstRound");
  const pantry = first ? new Map([...first.pantry, ...drinkPantry]) : drinkPantry;
  const ladder = ladderOf(body.ladder, unitSettings, read.spec);
  return {
    pantry,
    task: {
      spec: read.spec,
      pantry,
      ladder,
      unitSettings,
      additions: body.additions,
      locks: body.locks,
      bounds: body.bounds,
      maxTouched: body.maxTouched,
      maxFinishedMl: body.maxFinishedMl,
      measure: body.measure,
      character: body.character,
      driftBudget: body.driftBudget,
      minProbability: body.minProbability,
      count: body.count,
      release: body.release,
      leaves: body.include?.includes("proof"),
      prices: pricesOf(body),
      firstRound: first?.spec,
      timeBudgetMs: body.timeBudgetMs ?? solveBudgetMs,
    },
    frame: {
      ...read,
      ladder,
      provenance: catalogue.provenance,
      assumptions: [
        ...own.assumptions,
        ...read.assumptions,
        ...(first?.assumptions ?? []).map((a) => `first round: ${a}`),
        ...(body.ladder === undefined
          ? [
              `no ladder given: ${ladder.id === "metric-jigger" ? "metric jigger, as most is written in mL" : "US jigger"}`,
            ]
          : []),
      ],
    },
  };
}
