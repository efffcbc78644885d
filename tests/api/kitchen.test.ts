import { describe, expect, test } from "vitest";
import { post, readProblem, testApp } from "./harness.ts";

const app = testApp();
const ask = async (path: string, body: unknown) => {
  const response = await post(app, path, body);
  expect(response.status, JSON.stringify(await response.clone().json())).toBe(200);
  return response.json();
};
const SOUR = { text: "2 oz aged rum\n3/4 oz lime juice\n3/4 oz simple syrup", method: "shaken" };
const HONEY = {
  id: "honey-syrup",
  name: "Honey syrup",
  role: "syrup",
  parts: [
    { ingredient: "honey", amount: 300, unit: "g" },
    { ingredient: "water", amount: 100, unit: "g" },
  ],
  storage: "fridge",
  madeOn: "2031-05-09",
  batch: "1",
};

describe("preps over HTTP", () => {
  test("a litre at 60 % vol comes to 40 % with 513.88 mL of water (worked out by others from OIML R 22)", async () => {
    const made = await ask("/v1/kitchen/proof", {
      amount: { volumeMl: 1000 },
      fromAbvPercent: 60,
      toAbvPercent: 40,
    });
    expect(made.waterMl.value).toBeCloseTo(513.88, 1);
    expect(made.finalMl.value).toBe(1500);
    expect(made.cautions.map((c: { id: string }) => c.id)).toContain("alcohol");
  });

  test("a made syrup can be sent back and placed; measured, its doubt shrinks and so does the drink's", async () => {
    const compile = (measured: unknown[]) => ask("/v1/kitchen/compile", { preps: [{ ...HONEY, measured }] });
    const place = (made: { preps: { ingredient: unknown }[] }) =>
      ask("/v1/place", {
        spec: {
          name: "x",
          method: "shaken",
          lines: [
            { ingredient: "rum-white", amount: 60, unit: "ml" },
            { ingredient: "juice-lime", amount: 22.5, unit: "ml" },
            { ingredient: "honey-syrup", amount: 20, unit: "ml" },
          ],
        },
        ingredients: [made.preps[0]!.ingredient],
      });
    const [plain, read] = [
      await compile([]),
      await compile([{ kind: "refractometer", readingBrix: 61.5, sampleTempC: 20 }]),
    ];
    expect(read.preps[0].replaced[0]).toMatchObject({ quantity: "sugar", by: "refractometer" });
    expect(read.preps[0].replaced[0].after.sd).toBeLessThan(0.5 * read.preps[0].replaced[0].before.sd);
    const [before, after] = [await place(plain), await place(read)];
    expect(after.placement.sd.sugarGPer100Ml).toBeLessThan(before.placement.sd.sugarGPer100Ml);
    expect(before.cautions.map((c: { id: string }) => c.id)).toContain("honey-infants");
  });

  test("a prep that holds itself is named, what a change touches is listed, and nothing else is spoiled", async () => {
    const loop = { ...HONEY, id: "loop", parts: [{ ingredient: "loop", amount: 1, unit: "g" }] };
    const cordial = {
      ...HONEY,
      id: "cordial",
      parts: [{ ingredient: "honey-syrup", amount: 100, unit: "g" }],
    };
    const spec = { name: "x", method: "shaken", lines: [{ ingredient: "cordial", amount: 20, unit: "ml" }] };
    const made = await ask("/v1/kitchen/compile", {
      preps: [HONEY, loop, cordial],
      changed: "honey-syrup",
      specs: [{ ...spec, lines: [{ ingredient: "gin", amount: 20, unit: "ml" }] }, spec],
    });
    expect(made.preps.map((p: { id: string }) => p.id)).toEqual(["honey-syrup", "cordial"]);
    expect(made.failed).toEqual([
      { id: "loop", issues: [expect.objectContaining({ pointer: "/parts/0/parts" })] },
    ]);
    expect(made.affected).toEqual({ preps: ["cordial"], specs: [1] });
  });

  test("an id that is not in the pantry is answered with the nearest that is", async () => {
    const problem = await readProblem(
      await post(app, "/v1/kitchen/syrup", {
        sweetener: "hony",
        strength: { by: "mass", ratio: 2 },
        want: { volumeMl: 500 },
      }),
    );
    expect(problem.errors[0]).toMatchObject({ pointer: "#/sweetener" });
    expect(problem.errors[0]!.remedy).toContain("honey");
  });

  test("one weighed shake fits the melt water, and the track then passes through it", async () => {
    const usual = await ask("/v1/melt", { spec: SOUR, seconds: 12 });
    const wanted = 1.15 * usual.track.waterMl.at(-1);
    const fitted = await ask("/v1/melt", { spec: SOUR, seconds: 12, weighedWaterMl: wanted });
    expect(fitted.calibration.waterMl).toBeCloseTo(wanted, 1);
    expect(fitted.track.waterMl.at(-1)).toBeCloseTo(wanted, 1);
    expect(
      new Set(
        Object.values(fitted.track)
          .filter(Array.isArray)
          .map((list) => list.length),
      ).size,
    ).toBe(2);
  });

  test("a card read back from each of its forms comes to the same point", async () => {
    const card = await ask("/v1/card", { spec: { ...SOUR, name: "Ours (invented)" }, garnish: "lime wheel" });
    const point = async (spec: unknown) => (await ask("/v1/place", { spec })).placement.point;
    const here = await point(card.spec);
    for (const [format, text] of [
      ["text", card.text],
      ["markdown", card.markdown],
      ["csv", card.csv],
      ["json", JSON.stringify(card.card)],
      ["json-ld", card.jsonLd],
    ]) {
      const back = await ask("/v1/card/read", { format, text });
      expect(await point(back.spec), String(format)).toEqual(here);
    }
  });

  test("a batch says when to pour what, and one serve of it is the drink", async () => {
    const { batch, placement } = {
      ...(await ask("/v1/batch", { spec: SOUR, size: { serves: 12 }, freezerTempC: -18 })),
      ...(await ask("/v1/place", { spec: SOUR })),
    };
    expect(batch.lines.map((l: { when: string }) => l.when)).toEqual(["base", "last", "base"]);
    expect(batch.serve.point.abvPercent).toBeCloseTo(placement.point.abvPercent, 0);
    expect(batch.freezer.state).toBe("freezes");
  });
});
