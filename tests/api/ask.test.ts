import { expect, test } from "vitest";
import { post, readProblem, testApp } from "./harness.ts";

const app = testApp();
const spec = { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" };

async function ask(body: object) {
  const response = await post(app, "/v1/ask", { spec, ...body });
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  return answer;
}

test("how much: the words name the ingredient and the family, and both are echoed", async () => {
  const said = await ask({ question: "How much lime for sour range?" });
  expect(said.intent).toEqual({ ask: "how-much", ingredient: "juice-lime" });
  expect(said.echo).toContain("sour range");
  expect(said.target).toMatchObject({ kind: "intersection", name: "Sour" });
  const asked = await ask({
    intent: { ask: "how-much", ingredient: "juice-lime" },
    target: { id: "family:sour" },
  });
  expect(asked.answer).toEqual(said.answer);
});

test("what if: the amount keeps the unit it was said in, and the point moves the way it must", async () => {
  const { intent, answer } = await ask({
    question: "what if I take the syrup down a bar spoon",
    target: { id: "family:sour" },
  });
  expect(intent.changes).toEqual([{ ingredient: "syrup-simple-1-1", by: { amount: -1, unit: "barspoon" } }]);
  expect(answer.after.sugarGPer100Ml).toBeLessThan(answer.before.sugarGPer100Ml);
  expect(answer.after.abvPercent).toBeGreaterThan(answer.before.abvPercent);
});

test("lean: drier without losing acid", async () => {
  const { answer } = await ask({
    question: "what would make this drier without losing acid",
    target: { id: "family:sour" },
  });
  expect(answer.status).toBe("optimal");
  const [proposal] = answer.proposals;
  expect(proposal.after.sugarGPer100Ml).toBeLessThan(proposal.before.sugarGPer100Ml);
  expect(proposal.after.acidGPer100Ml).toBeGreaterThanOrEqual(proposal.before.acidGPer100Ml - 1e-9);
});

test("a question of no known form is refused with the forms that are", async () => {
  const problem = await readProblem(
    await post(app, "/v1/ask", { spec, question: "is it any good", target: { id: "family:sour" } }),
  );
  expect(problem.errors).toEqual([
    expect.objectContaining({ pointer: "#/question", remedy: expect.stringContaining("how much lemon") }),
  ]);
});

test("a target that neither the body nor the question names is asked for", async () => {
  const problem = await readProblem(
    await post(app, "/v1/ask", { spec, question: "how much lime for moon range" }),
  );
  expect(problem.errors).toEqual([expect.objectContaining({ pointer: "#/target" })]);
});

test("without any target it is the family the drink is most like, and that is said", async () => {
  const intent = { ask: "how-much", ingredient: "juice-lime" };
  const { target, assumptions, answer } = await ask({ intent });
  expect(target.name).toBe("Sour");
  expect(assumptions).toContainEqual("no target given: Sour, which this is most like");
  const named = await ask({ intent, target: { id: "likeliest" } });
  expect(named.answer).toEqual(answer);
});

test("a question is given one way", async () => {
  for (const extra of [{}, { question: "where is this", intent: { ask: "where" } }]) {
    const problem = await readProblem(
      await post(app, "/v1/ask", { spec, target: { id: "family:sour" }, ...extra }),
    );
    expect(problem.errors).toEqual([
      expect.objectContaining({ pointer: "#", remedy: expect.stringContaining("exactly one") }),
    ]);
  }
});
