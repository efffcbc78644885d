import { toPoint } from "../../engine/axes.ts";
import { fail } from "../../engine/errors.ts";
import { prepareSpec } from "../../engine/place/prepare-spec.ts";
import { planFlight } from "../../engine/taste/flight.ts";
import { panelReport } from "../../engine/taste/panel/report.ts";
import { priorOfTarget } from "../../engine/taste/prior.ts";
import { TASTING_WORDS } from "../../engine/taste/vocabulary.ts";
import { cautionsOf } from "../answer/cautions-of.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { fixedEndpoint } from "../fixed.ts";
import { aim } from "../read/aim.ts";
import { readSettings } from "../read/settings.ts";
import { readSolve } from "../read/solve.ts";
import { readSpec } from "../read/spec.ts";
import {
  FlightAnswerSchema,
  FlightBodySchema,
  PanelAnswerSchema,
  PanelBodySchema,
  TableRangeAnswerSchema,
  TableRangeBodySchema,
  TastingWordsAnswerSchema,
} from "../schemas/tables.ts";

const tags = ["Tables"];

const tableRange = {
  method: "post",
  path: "/v1/table-range",
  operationId: "tableRange",
  tags,
  summary: "Where a table's ideal lies, learned from its tasters, and what to pour next",
  description:
    "A Bayesian ideal-point model: the classics before anyone has tasted, then likings, just-about-right marks, words and comparisons. The same record gives the same answer.",
  body: TableRangeBodySchema,
  example: {
    target: { id: "family:sour" },
    rounds: [
      { id: "r1", spec: { text: "60 ml white rum\n15 ml lime juice\n30 ml simple syrup", method: "shaken" } },
    ],
    tastings: [
      { round: "r1", taster: "invented A", liking: 4, sweet: 2, sour: -1, strong: 0 },
      { round: "r1", taster: "invented B", liking: 5, sweet: 1, sour: -1, strong: 0, words: ["flat"] },
    ],
    ladder: "metric-jigger",
  },
  answers: { 200: { description: "What was learned, and how sure it is", schema: TableRangeAnswerSchema } },
  problems: SOLVER_PROBLEMS,
} as const;

const flight = {
  method: "post",
  path: "/v1/flight",
  operationId: "planFlight",
  tags,
  summary: "Three-digit codes and balanced orders for a blind flight",
  body: FlightBodySchema,
  example: { rounds: ["r1", "r2", "r3"], tasters: ["invented A", "invented B"], seed: 1 },
  answers: { 200: { description: "Codes, and each taster's order", schema: FlightAnswerSchema } },
} as const;

const panel = {
  method: "post",
  path: "/v1/panel",
  operationId: "panelStatistics",
  tags,
  summary: "A panel's statistics: ranking with intervals, rank tests, triangle and paired tests",
  description:
    "Bradley–Terry with bias reduction, Friedman and Page (exact for small panels), exact binomial tests, and how many answers more would likely decide.",
  body: PanelBodySchema,
  example: {
    tastings: [
      { round: "r1", taster: "invented A", liking: 4 },
      { round: "r2", taster: "invented A", liking: 6 },
      { round: "r1", taster: "invented B", liking: 5 },
      { round: "r2", taster: "invented B", liking: 7 },
    ],
    choice: { test: "triangle", right: 5, answers: 8 },
  },
  answers: { 200: { description: "Each test with its p value or interval", schema: PanelAnswerSchema } },
} as const;

const words = {
  method: "get",
  path: "/v1/tasting-words",
  operationId: "listTastingWords",
  tags,
  summary: "The trade words of tasting, and where on the map each points",
  answers: { 200: { description: "Every word", schema: TastingWordsAnswerSchema } },
} as const;

export function tableRoutes(context: ApiContext): Endpoint[] {
  const { catalogue, compute } = context;
  return [
    endpoint(tableRange, async ({ body }, c) => {
      const { target: classics, rounds, tastings, comparisons, coverage, from, ...options } = body;
      const goingOn = from === undefined ? rounds.length - 1 : rounds.findIndex((r) => r.id === from);
      if (goingOn < 0) fail("/from", `no round has the id ${from}`, "name one of the rounds");
      const { task, pantry, ...going } = readSolve({ ...options, spec: rounds[goingOn]!.spec }, context);
      const settings = readSettings(body, catalogue);
      const read = rounds.map((round, i) => readSpec(round.spec, pantry, settings, `/rounds/${i}/spec`));
      const { target, frame } = aim(classics, going.frame, pantry, catalogue);
      const answer = await compute.run(
        "table",
        {
          record: {
            prior: priorOfTarget(target, "/target"),
            rounds: rounds.map(({ id }, i) => {
              const { model, volumesMl } = prepareSpec(read[i]!.spec, pantry, settings);
              return { id, point: toPoint(model.finish(volumesMl).point) };
            }),
            tastings,
            comparisons,
          },
          coverage,
          request: task,
        },
        c.get("exchange"),
      );
      const proposed = answer.next?.proposals.map(({ proposal }) => proposal.spec) ?? [];
      return {
        answer,
        assumptions: frame.assumptions,
        cautions: cautionsOf([...read.map(({ spec }) => spec), ...proposed], pantry, body, catalogue),
        provenance: frame.provenance,
      };
    }),
    endpoint(flight, ({ body }) => planFlight(body.rounds, body.tasters, body.seed, body.taken)),
    endpoint(panel, ({ body }) => panelReport(body)),
    fixedEndpoint(words, () => ({
      words: TASTING_WORDS.map(({ id, aliases, meaning }) => ({
        id,
        aliases,
        kind: meaning.kind,
        direction: meaning.kind === "move" ? meaning.direction : null,
      })),
    })),
  ];
}
