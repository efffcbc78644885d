import { expect, test } from "vitest";
import { type Compute, inThread } from "../../api/compute/compute.ts";
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

test("how much, without a range: the family closest to the drink, every dose, and the best of them", async () => {
  const { answer, target } = await ask({ question: "how much lime" });
  expect(target.name).toBe("Sour");
  const { strip } = answer;
  expect(strip.ingredient).toBe("juice-lime");
  expect(strip.rungs.length).toBeGreaterThan(10);
  // The best dose, placed by itself, is where the strip says.
  const best = strip.rungs.find((rung: { ml: number }) => rung.ml === strip.bestMl);
  const lines = answer.spec.lines.filter((line: { ingredient: string }) => line.ingredient === "juice-lime");
  expect(lines).toHaveLength(1);
  const placed = await post(app, "/v1/place", { spec: answer.spec });
  const { placement } = await placed.json();
  const reached = strip.companion ?? best;
  expect(placement.point.acidGPer100Ml).toBeCloseTo(reached.point.acidGPer100Ml, 3);
  expect(reached.chance >= strip.sure).toBe(strip.holds || strip.companion.holds);
});

test("a family the question names comes before the target of the body", async () => {
  const { target } = await ask({
    question: "how far is this from daisy range",
    target: { id: "family:sour" },
  });
  expect(target.name).toBe("Daisy");
});

test("two clauses: both are answered, or the question is refused with each alone", async () => {
  const { intent } = await ask({ question: "take the syrup down a bar spoon and add 1/4 oz lime" });
  expect(intent.changes).toHaveLength(2);
  const problem = await readProblem(
    await post(app, "/v1/ask", { spec, question: "how much lime for sour range and how much syrup" }),
  );
  expect(problem.errors?.[0]).toMatchObject({
    pointer: "#/question",
    remedy: expect.stringMatching(/how much lime for sour range; how much syrup/),
  });
});

test("how much lime, with lime cordial in the glass, asks which", async () => {
  const text = "2 oz gin\n3/4 oz lime cordial";
  const problem = await readProblem(
    await post(app, "/v1/ask", { spec: { text, method: "shaken" }, question: "how much lime" }),
  );
  expect(problem.errors?.[0]?.detail).toMatch(/could be Lime cordial.* or Lime juice/);
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
    expect.objectContaining({ pointer: "#/question", remedy: expect.stringContaining("where does it sit") }),
  ]);
});

test("a range that is not here is asked for by the names that are", async () => {
  const problem = await readProblem(
    await post(app, "/v1/ask", { spec, question: "how much lime for moon range" }),
  );
  expect(problem.errors).toEqual([
    expect.objectContaining({ pointer: "#/question", remedy: expect.stringContaining("sour") }),
  ]);
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

test("a dose strip: every rung where placing it says, and the best with what finishes the job", async () => {
  const target = { id: "family:sour" };
  const ounces = (ml: number) => ({ ingredient: "juice-lime", amount: ml, unit: "ml" });
  const response = await post(app, "/v1/dose", { ingredient: "juice-lime", spec, target });
  expect(response.status).toBe(200);
  const { strip, text, changed, after, before } = await response.json();
  const others = (await ask({ question: "how far is this from sour range" })).spec.lines.filter(
    (line: { ingredient: string }) => line.ingredient !== "juice-lime",
  );
  for (const rung of strip.rungs) {
    const lines = [...others, ...(rung.ml > 0 ? [ounces(rung.ml)] : [])];
    const placed = await post(app, "/v1/place", { spec: { name: "", method: "shaken", lines }, target });
    const { placement, toward } = await placed.json();
    // A rung is sent to a hundredth of a millilitre, of some 120.
    expect(placement.point.sugarGPer100Ml).toBeCloseTo(rung.point.sugarGPer100Ml, 2);
    expect(placement.point.acidGPer100Ml).toBeCloseTo(rung.point.acidGPer100Ml, 2);
    expect(placement.point.abvPercent).toBeCloseTo(rung.point.abvPercent, 2);
    expect(toward.membership.inside).toBe(rung.inside);
    if (rung.ml === strip.presentMl) expect(rung.point).toEqual(before);
  }
  // In words as in the answer to the question.
  expect(text).toBe((await ask({ question: "how much lime for sour range" })).answer.text);
  expect((await (await post(app, "/v1/place", { spec: changed })).json()).placement.point).toEqual(after);
});

test("the runs of a dose strip are the doses at which each axis is between the ends of a box", async () => {
  const target = { kind: "box", sugarGPer100Ml: [9, 11.5], acidGPer100Ml: [0.7, 1.1], abvPercent: [13, 20] };
  const { strip } = await (await post(app, "/v1/dose", { ingredient: "juice-lime", spec, target })).json();
  for (const [measure, axis] of [
    ["sugar", "sugarGPer100Ml"],
    ["acid", "acidGPer100Ml"],
    ["abv", "abvPercent"],
  ] as const) {
    const [low, high] = target[axis] as [number, number];
    const [run, ...more] = strip.spans.filter((span: { measure: string }) => span.measure === measure);
    expect(more).toEqual([]);
    for (const { ml, point } of strip.rungs) {
      const isIn = point[axis] >= low && point[axis] <= high;
      expect(ml >= run.fromMl && ml <= run.toMl, `${measure} ${ml}`).toBe(isIn);
    }
  }
});

test("a dose strip works without a range, for what the drink lacks, and names what it does not know", async () => {
  const free = await (await post(app, "/v1/dose", { ingredient: "juice-lemon", spec })).json();
  expect(free.strip).toMatchObject({ ingredient: "juice-lemon", presentMl: 0 });
  expect(free.assumptions.at(-1)).toBe(`no target given: ${free.target.name}, which this is most like`);
  const problem = await readProblem(await post(app, "/v1/dose", { ingredient: "juice-lemmon", spec }));
  expect(problem.errors).toEqual([expect.objectContaining({ in: "body", pointer: "#/ingredient" })]);
  expect(problem.errors[0]!.remedy).toContain("juice-lemon");
});

test.each([
  ["/v1/swaps", { ingredient: "rum-aged", target: { id: "family:sour" } }, "swaps"],
  ["/v1/dose", { ingredient: "juice-lime" }, "ask"],
  ["/v1/trail", { rounds: [{ id: "r1", spec }] }, "trail"],
])("%s is left to the solvers, with whoever waits for it", async (path, body, task) => {
  const { run } = inThread();
  const seen: unknown[] = [];
  const compute = {
    run: (name, input, asker) => {
      seen.push(name, asker?.signal?.aborted, asker?.question);
      return run(name, input, asker);
    },
  } satisfies Compute as Compute;
  const sent = path === "/v1/trail" ? body : { spec, ...body };
  expect((await post(testApp({ compute }), path, sent)).status).toBe(200);
  expect(seen).toEqual([task, false, JSON.stringify(sent)]);
});
