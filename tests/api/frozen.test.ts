import { expect, test } from "vitest";
import { createApp } from "../../api/app.ts";
import { coefficientsOf } from "../../engine/mix/coefficients.ts";
import { compositionDoubts } from "../../engine/mix/composition-doubts.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { post } from "./harness.ts";

// What is kept of a pantry entry between requests is shared by all of them. Frozen to the last field, a change in
// place throws (ECMAScript, strict mode), and the answer would be a fault of the server.

function freeze<T>(x: T): T {
  if (typeof x === "object" && x !== null && !Object.isFrozen(x)) {
    Object.freeze(x);
    for (const part of Object.values(x)) freeze(part);
  }
  return x;
}

test("no request changes what is kept of the pantry, and each is answered as the first was", async () => {
  const data = freeze(loadReferenceData());
  for (const item of data.pantry) {
    freeze(coefficientsOf(item));
    freeze(compositionDoubts(item));
  }
  const app = createApp({ data });
  const asked = data.drinks.flatMap(({ spec }) => [
    { spec },
    { spec, include: ["doubts", "kin", "models"], target: { id: "family:sour" } },
    { spec: { ...spec, dilution: { model: "energy" } } },
  ]);
  asked.push({
    spec: { text: "2 oz rum\n3/4 oz lime juice\n15 ml rich syrup\n2 dashes bitters", method: "shaken" },
  } as never);
  const answers = async () => {
    const said: string[] = [];
    for (const body of asked) {
      const response = await post(app, "/v1/place", body);
      expect(response.status, JSON.stringify(body)).toBeLessThan(500);
      said.push(await response.text());
    }
    return said.map((text) => text.replace(/"requestId":"[^"]*"/, ""));
  };
  expect(await answers()).toEqual(await answers());
});
