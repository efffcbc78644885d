import { createRoute, type z } from "@hono/zod-openapi";
import type { Intent } from "../../engine/explore/intent.ts";
import { parseQuestion } from "../../engine/explore/parse-question.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import type { ApiContext } from "../context.ts";
import { withOwnIngredients } from "../own-ingredients.ts";
import { ProblemError } from "../problems.ts";
import { readSpec } from "../read-spec.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { AskAnswerSchema, AskBodySchema } from "../schemas/ask.ts";
import type { TargetInput } from "../schemas/target.ts";
import { cautionsOf } from "./cautions-of.ts";
import { unitSettingsOf } from "./place-options.ts";
import { solveTask } from "./solve-task.ts";

const route = createRoute({
  method: "post",
  path: "/ask",
  operationId: "ask",
  tags: ["Drinks"],
  summary: "A plain question about a drink: how much, what if, drier or sharper, how far",
  request: jsonBody(AskBodySchema),
  responses: {
    ...jsonAnswer(AskAnswerSchema, "The question as understood, and its answer"),
    ...problemResponses(...BODY_PROBLEMS, "unread-lines", "busy", "overrun"),
  },
});

type Body = z.infer<typeof AskBodySchema>;

interface Question {
  intent: Intent;
  echo: string | null;
  targetWords: string | null;
}

function invalid(pointer: string, detail: string, remedy: string): never {
  throw new ProblemError("invalid-request", detail, [{ in: "body", pointer, detail, remedy }]);
}

function readQuestion(body: Body, spec: Spec, pantry: Pantry): Question {
  if (body.intent) return { intent: body.intent, echo: null, targetWords: null };
  const read = parseQuestion(
    body.question ?? "",
    pantry,
    spec.lines.map((line) => line.ingredient),
  );
  return read.read
    ? read
    : invalid("#/question", read.reason, `ask in one of these forms: ${read.forms.join("; ")}`);
}

export function askRoutes({ catalogue, compute, data }: ApiContext) {
  /** The family a question names ("sour range"), if it names exactly one. */
  const targetInWords = (words: string | null): TargetInput | null => {
    const said = words
      ?.toLowerCase()
      .replace(/\b(the|range|territory|region)\b/g, "")
      .trim();
    const family = data.families.find((f) => said === f.id || said === f.name.toLowerCase());
    return family ? { id: `family:${family.id}` } : null;
  };

  return createRouter().openapi(route, async (c) => {
    const body = c.req.valid("json");
    const own = withOwnIngredients(catalogue.pantry, body.ingredients);
    const read = readSpec(body.spec, own.pantry, unitSettingsOf(body), "/spec");
    const { intent, echo, targetWords } = readQuestion(body, read.spec, own.pantry);
    const named = body.target ?? targetInWords(targetWords);
    if (!named) {
      invalid(
        "#/target",
        "the question names no target this server has",
        "add target, as in GET /v1/targets",
      );
    }
    const target = catalogue.resolveTarget(named, "/target");
    const { task, assumptions } = solveTask(body, read.spec, own.pantry);
    const answer = await compute.run("ask", { intent, request: { ...task, target } });
    return c.json(
      {
        intent,
        echo,
        spec: read.spec,
        reading: read.reading,
        assumptions: [...own.assumptions, ...read.assumptions, ...assumptions],
        target,
        ladder: task.ladder,
        answer,
        cautions: cautionsOf(
          [read.spec, answer.spec, ...answer.proposals.map((proposal) => proposal.spec)],
          own.pantry,
          body,
          catalogue,
        ),
        provenance: catalogue.provenance,
      },
      200,
    );
  });
}
