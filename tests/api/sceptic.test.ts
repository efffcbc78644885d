import { expect, test } from "vitest";
import { post, testApp } from "./harness.ts";

/** What a head bartender would not sign. Common practice, no published source. */

const app = testApp();

async function explored(method: string, text: string) {
  const response = await post(app, "/v1/explore", { spec: { text, method } });
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  return answer;
}

test("who writes in mL is told moves in mL, and who writes in ounces in ounces", async () => {
  const metric = await explored("shaken", "6 cl vodka\n3 cl lemon juice\n1 cl simple syrup");
  expect(metric.ladder.id).toBe("metric-jigger");
  const moves = metric.proposals.flatMap((p: { moves: { text: string }[] }) => p.moves);
  expect(moves.length).toBeGreaterThan(0);
  for (const { text } of moves) expect(text).not.toContain("oz");
  const ounces = await explored("shaken", "2 oz vodka\n1 oz lemon juice\n10 ml simple syrup");
  expect(ounces.ladder.id).toBe("us-jigger");
});

test.each([
  ["built", "60 ml bitter orange aperitif\n90 ml prosecco\n30 ml soda"],
  ["shaken", "2 oz cognac\n1/2 oz green herbal liqueur\n3/4 oz lemon\n1/4 oz simple syrup"],
  ["shaken", "60 ml rye\n15 ml lemon\n15 ml orange juice\n15 ml grenadine"],
  ["crushed", "50 ml gin\n20 ml lemon\n10 ml simple syrup\n15 ml creme de mure"],
])("a drink that holds already is left alone: %s, %s", async (method, text) => {
  const { solved, chanceNow, proposals } = await explored(method, text);
  expect(solved.status).toBe("already_inside");
  for (const { probabilityInside } of proposals)
    expect(probabilityInside).toBeGreaterThanOrEqual(chanceNow + 0.05);
});

test("an Old Fashioned with too much syrup is too sweet, and not short of acid", async () => {
  const { solved } = await explored("stirred", "60 ml rye\n15 ml demerara syrup 2:1\n3 dashes bitters");
  const { text, violations } = solved.membershipBefore;
  expect(text).toContain("sugar");
  expect(text).not.toContain("acid");
  // The nearest point is still told whole.
  expect(violations.map((v: { measure: string }) => v.measure)).toContain("acid");
});

test("no sour juice is suggested for cream, which it would split", async () => {
  const { solved, repair } = await explored(
    "shaken",
    "1 oz creme de menthe\n1 oz creme de cacao\n1 oz cream",
  );
  expect(solved.status).toBe("infeasible");
  for (const { id } of repair.repairs) expect(id).not.toMatch(/^juice-/);
});

test("a drink on the edge is said to be there, without a gap nobody can measure", async () => {
  const { solved } = await explored("stirred", "45 ml rye\n45 ml sweet vermouth\n2 dashes aromatic bitters");
  expect(solved.explanation).toMatch(/^Inside [^:]+, barely: acid can hardly rise\.$/);
});

test("nobody who set no limit is told of limits that he set", async () => {
  const { proposals } = await explored("shaken", "2 oz reposado tequila\n1 oz lime\n1/2 oz agave syrup");
  expect(proposals.length).toBeGreaterThan(0);
  for (const { why } of proposals) expect(why).not.toContain("limits you set");
});

async function asked(question: string, method: string, text: string) {
  const response = await post(app, "/v1/ask", { question, spec: { text, method } });
  return response.json();
}

test("a dose does not bring in what is said to be out in the same breath", async () => {
  const { answer } = await asked(
    "how much bitters",
    "stirred",
    "60 ml bourbon\n10 ml simple syrup 2:1\n2 dashes aromatic bitters",
  );
  const [, brought, out] = /it brings the (.+?) in, but (.+?), at /.exec(answer.text) ?? [];
  expect(answer.text).toContain("comes nearest");
  for (const word of brought?.split(/ and |, /) ?? []) expect(out).not.toContain(word);
});

test("too sour, said of a drink without acid, is answered for what it is", async () => {
  const { errors } = await asked("it's too sour", "stirred", "60 ml bourbon\n10 ml simple syrup 2:1");
  expect(errors[0].detail).toBe("there is no acid in this drink to take away");
});

test("no gap too small to be poured is told of the nearest drink", async () => {
  const { answer } = await asked(
    "get it closer to a margarita",
    "shaken",
    "2 oz white rum\n1/2 oz lime juice\n1 oz simple syrup 1:1",
  );
  expect(answer.text).not.toMatch(/\b0\.00\d/);
});

test("a drink without alcohol is told that the range it is held to has some", async () => {
  const { assumptions } = await explored("built", "1 oz lime\n1 oz simple syrup\n4 oz soda water");
  expect(assumptions.at(-1)).toContain("this has none: compare sugar and acid alone");
  const { assumptions: usual } = await explored("built", "2 oz gin\n1 oz lime\n1 oz simple syrup\n4 oz soda");
  expect(usual.at(-1)).not.toContain("alcohol");
});

test("what is best left out is not said to be, as it is", async () => {
  const { answer } = await asked(
    "how much maple",
    "shaken",
    "2 oz white rum\n1/2 oz lime juice\n1 oz simple syrup 1:1",
  );
  expect(answer.text).toContain("None at all comes nearest");
});

test("a drink in range but unsure is first told the least that makes it hold, not a long way to the middle", async () => {
  const { solved, chanceNow, proposals } = await explored(
    "shaken",
    `1.5 oz jamaican rum
1.5 oz gold rum
1 oz 151 rum
.75 oz lime
.5 oz falernum
.25 oz grenadine
.5 oz grapefruit juice
1/4 oz cinnamon syrup`,
  );
  expect(solved.status).toBe("already_inside");
  expect(chanceNow).toBeLessThan(0.8);
  const least = Math.min(...proposals.map((p: { volumeChangedMl: number }) => p.volumeChangedMl));
  expect(least).toBeLessThan(15);
});
