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
