import { createRoute, type z } from "@hono/zod-openapi";
import type { Intent } from "../../engine/explore/intent.ts";
import { parseQuestion } from "../../engine/explore/parse-question.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import type { ApiContext } from "../context.ts";
import { ProblemError } from "../problems.ts";
import { BODY_PROBLEMS, createRouter, jsonAnswer, jsonBody, problemResponses } from "../router.ts";
import { AskAnswerSchema, AskBodySchema } from "../schemas/ask.ts";
import type { TargetInput } from "../schemas/target.ts";
import { cautionsOf } from "./cautions-of.ts";
import { readSolve } from "./read-solve.ts";

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
    const { task, frame, pantry } = readSolve(body, catalogue);
    const { intent, echo, targetWords } = readQuestion(body, frame.spec, pantry);
    const named = body.target ?? targetInWords(targetWords);
    if (!named) {
      invalid(
        "#/target",
        "the question names no target this server has",
        "add target, as in GET /v1/targets",
      );
    }
    const target = catalogue.resolveTarget(named, "/target", frame.spec);
    const answer = await compute.run("ask", { intent, request: { ...task, target } });
    const specs = [frame.spec, answer.spec, ...answer.proposals.map((proposal) => proposal.spec)];
    return c.json(
      { ...frame, intent, echo, target, answer, cautions: cautionsOf(specs, pantry, body, catalogue) },
      200,
    );
  });
}
