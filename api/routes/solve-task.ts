import type { z } from "@hono/zod-openapi";
import { laddersFor } from "../../engine/amounts/ladder.ts";
import type { Pantry, PourLadder, Spec, UnitSettings } from "../../engine/types.ts";
import type { SolveTask } from "../compute/tasks.ts";
import { ProblemError } from "../problems.ts";
import { readSpec, unknownIngredients } from "../read-spec.ts";
import type { LadderInputSchema } from "../schemas/amount.ts";
import { DEFAULT_SOLVE_BUDGET_MS, type SolveBodySchema } from "../schemas/solve.ts";
import { pricesOf, unitSettingsOf } from "./place-options.ts";

type Options = Omit<z.infer<typeof SolveBodySchema>, "spec" | "target" | "certificateRows">;

function ladderOf(input: z.infer<typeof LadderInputSchema> | undefined, settings: UnitSettings): PourLadder {
  if (typeof input === "object") return { ...input, id: "own", name: input.name ?? "Own steps" };
  return laddersFor(settings)[input ?? "us-jigger"];
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

/** A request's options as the solver takes them; the target is added by the route. */
export function solveTask(
  options: Options,
  spec: Spec,
  pantry: Pantry,
): { task: Omit<SolveTask, "target">; assumptions: string[] } {
  const unknown = unknownIngredients(namedIn(options), pantry);
  if (unknown.length > 0) throw new ProblemError("invalid-request", "unknown ingredients", unknown);

  const unitSettings = unitSettingsOf(options);
  const first = options.firstRound && readSpec(options.firstRound, pantry, unitSettings, "/firstRound");
  const { ladder, timeBudgetMs, pricePerLitre: _prices, ingredients: _own, ...limits } = options;
  return {
    task: {
      ...limits,
      spec,
      pantry,
      ladder: ladderOf(ladder, unitSettings),
      unitSettings,
      prices: pricesOf(options),
      firstRound: first?.spec,
      timeBudgetMs: timeBudgetMs ?? DEFAULT_SOLVE_BUDGET_MS,
    },
    assumptions: [
      ...(first?.assumptions ?? []).map((a) => `first round: ${a}`),
      ...(ladder === undefined ? ["no ladder given: US jigger"] : []),
    ],
  };
}
