import type { z } from "zod";
import type { Intent } from "../../engine/ask/intent.ts";
import { rangeNamed } from "../../engine/ask/name-range.ts";
import { readQuestion as readWords } from "../../engine/ask/read-question.ts";
import { intentText } from "../../engine/ask/words.ts";
import { fail } from "../../engine/errors.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import { cautionsOf } from "../answer/cautions-of.ts";
import { LIKELIEST } from "../catalogue.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { readSolve } from "../read/solve.ts";
import { AskAnswerSchema, AskBodySchema } from "../schemas/ask.ts";
import type { TargetInput } from "../schemas/target.ts";

const route = {
  method: "post",
  path: "/v1/ask",
  operationId: "ask",
  tags: ["Drinks"],
  isLean: true,
  summary: "A plain question about a drink: how much, what if, drier or sharper, how far",
  body: AskBodySchema,
  example: {
    question: "how much lemon for sour range",
    spec: { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" },
  },
  answers: { 200: { description: "The question as understood, and its answer", schema: AskAnswerSchema } },
  problems: SOLVER_PROBLEMS,
} as const;

type Body = z.infer<typeof AskBodySchema>;

interface Question {
  intent: Intent;
  echo: string;
  targetWords: string | null;
}

function readQuestion(body: Body, spec: Spec, pantry: Pantry): Question {
  if (body.intent)
    return { intent: body.intent, echo: intentText(body.intent, pantry, null), targetWords: null };
  const read = readWords(
    body.question ?? "",
    pantry,
    spec.lines.map((line) => line.ingredient),
  );
  return read.read ? read : fail("/question", read.reason, `ask for example: ${read.forms.join("; ")}`);
}

export function askRoutes(context: ApiContext): Endpoint[] {
  const { catalogue, compute, data } = context;
  /** The range a question is about: the family it names, else the one given, else the one the drink is most like. */
  const rangeOf = (body: Body, words: string | null): TargetInput => {
    if (words === null) return body.target ?? { id: LIKELIEST };
    const family = rangeNamed(words, data.families);
    const names = data.families.map(({ name }) => name.toLowerCase()).join(", ");
    return family
      ? { id: `family:${family.id}` }
      : fail("/question", `no range here is called “${words}”`, `name one of these: ${names}`);
  };

  return [
    endpoint(route, async ({ body }, c) => {
      const { task, frame, pantry } = readSolve(body, context);
      const { intent, echo, targetWords } = readQuestion(body, frame.spec, pantry);
      const named = rangeOf(body, targetWords);
      const target = catalogue.resolveTarget(named, "/target", frame.spec, pantry);
      const answer = await compute.run("ask", { intent, request: { ...task, target } }, c.get("exchange"));
      const specs = [frame.spec, answer.spec, ...answer.proposals.map((proposal) => proposal.spec)];
      const cautions = cautionsOf(specs, pantry, body, catalogue);
      const assumptions =
        named === body.target || targetWords !== null
          ? frame.assumptions
          : [...frame.assumptions, `no target given: ${target.name}, which this is most like`];
      return { ...frame, assumptions, intent, echo, target, answer, cautions };
    }),
  ];
}
