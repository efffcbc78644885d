import type { z } from "zod";
import type { Intent } from "../../engine/ask/intent.ts";
import { rangeNamed } from "../../engine/ask/name-range.ts";
import { readQuestion as readWords } from "../../engine/ask/read-question.ts";
import { intentText } from "../../engine/ask/words.ts";
import { fail } from "../../engine/errors.ts";
import type { Pantry, Spec } from "../../engine/types.ts";
import { cautionsOf } from "../answer/cautions-of.ts";
import type { ApiContext } from "../context.ts";
import { type Endpoint, endpoint, SOLVER_PROBLEMS } from "../endpoint.ts";
import { aim } from "../read/aim.ts";
import { readSolve } from "../read/solve.ts";
import { requireKnown } from "../read/spec.ts";
import { AskAnswerSchema, AskBodySchema, DoseAnswerSchema, DoseBodySchema } from "../schemas/ask.ts";
import type { TargetInput } from "../schemas/target.ts";

const route = {
  method: "post",
  path: "/v1/ask",
  operationId: "ask",
  tags: ["Drinks"],
  isLean: true,
  summary: "A plain question about a drink: how much, what if, drier or sharper, how far, what fixes it",
  body: AskBodySchema,
  example: {
    question: "how much lemon for sour range",
    spec: { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" },
  },
  answers: { 200: { description: "The question as understood, and its answer", schema: AskAnswerSchema } },
  problems: SOLVER_PROBLEMS,
} as const;

const doseRoute = {
  method: "post",
  path: "/v1/dose",
  operationId: "doseStrip",
  tags: ["Drinks"],
  isLean: true,
  summary: "Every dose of one ingredient and where it lands: what comes into range, what leaves, how sure",
  description:
    "All else is held. The best dose is the least change that holds, else the surest, else the nearest; where no dose does it alone, the one companion that finishes the job is named.",
  body: DoseBodySchema,
  example: {
    ingredient: "juice-lemon",
    spec: { text: "2 oz bourbon\n1/4 oz lemon juice\n3/4 oz maple syrup", method: "shaken" },
    target: { id: "family:sour" },
  },
  answers: { 200: { description: "The dose strip, and what it comes to", schema: DoseAnswerSchema } },
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
  /** The range a question is about: the family or classic it names, else the one given. */
  const rangeOf = (body: Body, words: string | null): TargetInput | undefined => {
    if (words === null) return body.target;
    const named = rangeNamed(words, data.families, data.drinks);
    if (named) return { id: named.kind === "family" ? `family:${named.family}` : `near:${named.drink}` };
    const names = data.families.map(({ name }) => name.toLowerCase()).join(", ");
    return fail(
      "/question",
      `no range here is called “${words}”`,
      `name a classic or one of these: ${names}`,
    );
  };

  return [
    endpoint(route, async ({ body }, c) => {
      const { task, pantry, ...read } = readSolve(body, context);
      const { intent, echo, targetWords } = readQuestion(body, read.frame.spec, pantry);
      const { target, frame } = aim(rangeOf(body, targetWords), read.frame, pantry, catalogue);
      const answer = await compute.run("ask", { intent, request: { ...task, target } }, c.get("exchange"));
      const specs = [frame.spec, answer.spec, ...answer.proposals.map((proposal) => proposal.spec)];
      const cautions = cautionsOf(specs, pantry, body, catalogue);
      return { ...frame, intent, echo, target, answer, cautions };
    }),
    endpoint(doseRoute, async ({ body: { ingredient, ...body } }, c) => {
      const { task, pantry, ...read } = readSolve(body, context);
      requireKnown([{ id: ingredient, pointer: "/ingredient" }], pantry);
      const { target, frame } = aim(body.target, read.frame, pantry, catalogue);
      const asked = { intent: { ask: "how-much", ingredient }, request: { ...task, target } } as const;
      const { text, before, after, strip, spec } = await compute.run("ask", asked, c.get("exchange"));
      const cautions = cautionsOf([frame.spec, spec], pantry, body, catalogue);
      // A question about how much always has both.
      return {
        ...frame,
        target,
        text,
        before,
        after: after!,
        strip: strip!,
        changed: spec,
        cautions,
      };
    }),
  ];
}
