import type { z } from "zod";
import type { Round } from "../../engine/types.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { withOwnIngredients } from "../read/own-ingredients.ts";
import { placeOptions, readSettings } from "../read/settings.ts";
import { readSpec } from "../read/spec.ts";
import { TrailAnswerSchema, TrailBodySchema } from "../schemas/trail.ts";

const route = {
  method: "post",
  path: "/v1/trail",
  operationId: "trail",
  tags: ["Drinks"],
  isLean: true,
  summary: "Where each round of a bench went, and which change did what",
  body: TrailBodySchema,
  example: {
    rounds: [
      { id: "r1", spec: { text: "2 oz aged rum\n1/2 oz lime juice\n3/4 oz simple syrup", method: "shaken" } },
      { id: "r2", spec: { text: "2 oz aged rum\n3/4 oz lime juice\n1/2 oz simple syrup", method: "shaken" } },
    ],
  },
  answers: {
    200: { description: "Rounds placed; steps split among their changes", schema: TrailAnswerSchema },
  },
  problems: SOLVER_PROBLEMS,
} as const;

type RoundInput = z.infer<typeof TrailBodySchema>["rounds"][number];

/** A round with what the caller left out: numbered by its place, changed from the one before. */
function complete(input: RoundInput, index: number, rounds: readonly RoundInput[]): Omit<Round, "spec"> {
  const { spec: _, ...given } = input;
  const number = input.number ?? index + 1;
  return {
    ...given,
    number,
    label: input.label ?? `Round ${number}`,
    parent: input.parent !== undefined ? input.parent : (rounds[index - 1]?.id ?? null),
  };
}

export function trailRoutes({ catalogue, compute }: ApiContext): Endpoint[] {
  return [
    endpoint(route, async ({ body }, c) => {
      const own = withOwnIngredients(catalogue.pantry, body.ingredients);
      const assumptions = [...own.assumptions];
      const settings = readSettings(body, catalogue);
      let { pantry } = own;
      const rounds = body.rounds.map((input, i): Round => {
        const read = readSpec(input.spec, own.pantry, settings, `/rounds/${i}/spec`);
        if (read.made.length > 0) pantry = new Map([...pantry, ...read.pantry]);
        assumptions.push(...read.assumptions.map((a) => `round ${input.id}: ${a}`));
        return { ...complete(input, i, body.rounds), spec: read.spec };
      });
      const trail = await compute.run(
        "trail",
        {
          rounds,
          pantry,
          options: placeOptions(body, catalogue, body.include),
        },
        c.get("exchange"),
      );
      const wanted = body.include?.includes("placements");
      const placed = trail.rounds.map(({ placement, ...round }) => ({
        ...round,
        point: placement.point,
        sd: placement.sd,
        finishedVolumeMl: placement.finishedVolumeMl,
        ...(wanted && { placement }),
      }));
      return { trail: { ...trail, rounds: placed }, assumptions, provenance: catalogue.provenance };
    }),
  ];
}
