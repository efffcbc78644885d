import { expect, test } from "vitest";
import { post, testApp } from "./harness.ts";

const app = testApp();
const text = "Rooftop sour\n2 oz aged rum\n3/4 oz lime juice\n2 barspoons simple syrup\nShake, strain";

async function placed(body: { spec: object; unitSettings?: object }) {
  const response = await post(app, "/v1/place", body);
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  return answer;
}

test("a text names its drink, unless the caller does", async () => {
  expect((await placed({ spec: { text } })).spec).toMatchObject({ name: "Rooftop sour", method: "shaken" });
  expect((await placed({ spec: { text, name: "Mine" } })).spec.name).toBe("Mine");
  const untitled = text.replace("Rooftop sour\n", "");
  expect((await placed({ spec: { text: untitled } })).spec.name).toBe("Untitled");
});

test("a text is read with the caller's own spoon", async () => {
  const spoon = (answer: { placement: { lines: { ingredient: string; volumeMl: number }[] } }) =>
    answer.placement.lines.find((l) => l.ingredient === "syrup-simple-1-1")!.volumeMl;
  expect(spoon(await placed({ spec: { text } }))).toBeCloseTo(10, 9);
  const own = await placed({ spec: { text }, unitSettings: { barspoonMl: 2.5 } });
  expect(spoon(own)).toBeCloseTo(5, 9);
});

test("what is said about parts has the caller's own size", async () => {
  const parts = "2 parts aged rum\n1 part lime juice\n1 part simple syrup";
  const { assumptions, placement } = await placed({
    spec: { text: parts, method: "shaken" },
    unitSettings: { partMl: 22.5 },
  });
  expect(placement.initialVolumeMl).toBeCloseTo(90, 9);
  expect(assumptions.join("\n")).toContain("one part taken as 22.5 mL");
});

test("a typed strength is used, and what was made of it can be sent back to place the spec by lines", async () => {
  const strong = "Shaken\n2 oz gin 42%\n3/4 oz lemon juice\n1/2 oz honey syrup 4:1";
  const first = await placed({ spec: { text: strong } });
  expect(first.made.map(({ from }: { from: string }) => from)).toEqual(["gin-43", "syrup-honey-3-1"]);
  expect(first.made[0].ingredient.abvPercent).toMatchObject({ value: 42, source: "typed" });
  const again = await placed({
    spec: first.spec,
    ingredients: first.made.map(({ ingredient }: { ingredient: object }) => ingredient),
  } as never);
  expect(again.placement.point).toEqual(first.placement.point);
});

test("words that give a size widen the doubt, under a code that stays when the sentence changes", async () => {
  const text = "Built in a highball\n45 ml gin\n30 ml lemon juice\n15 ml simple syrup\ntop with soda";
  const { spec, reading, placement } = await placed({ spec: { text } });
  const soda = spec.lines.at(-1);
  expect(soda).toMatchObject({ ingredient: "soda-water", unit: "ml", stage: "top" });
  expect(reading.at(-1).assumptions.map(({ code }: { code: string }) => code)).toContain("filled");
  const sure = await placed({
    spec: {
      ...spec,
      lines: spec.lines.map(({ amountSdPercent: _, ...line }: Record<string, unknown>) => line),
    },
  });
  expect(placement.point).toEqual(sure.placement.point);
  expect(placement.sd.abvPercent).toBeGreaterThan(1.3 * sure.placement.sd.abvPercent);
});

test("what tops a drink is an amount that can be poured, and the glass it is reckoned for goes with it", async () => {
  const built = await placed({
    spec: { text: "2 oz white rum\n1/2 oz lime\n1 oz simple syrup\nbuild\ntop with soda" },
  });
  expect(built.spec.glass).toBe("highball");
  const soda = built.spec.lines.at(-1);
  expect(soda).toMatchObject({ unit: "oz", stage: "top" });
  expect((soda.amount * 4) % 1).toBe(0);
  const codes = built.reading.at(-1).assumptions.map(({ code }: { code: string }) => code);
  expect(codes).toEqual(expect.arrayContaining(["filled", "glass-supposed"]));
  const inMl = await placed({ spec: { text: "Gin 60\nLemon juice 25\nRich syrup 15\nshake\nTop soda" } });
  expect(inMl.spec.lines.at(-1).amount % 5).toBe(0);
});
