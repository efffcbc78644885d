import { brotliDecompressSync, gunzipSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type IncludeId, leanJson } from "../../api/answer/lean.ts";
import { AXIS_INDICES, toVec } from "../../engine/axes.ts";
import { place } from "../../engine/place/place.ts";
import { specDoubt } from "../../engine/place/spec-doubt.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { familyTarget } from "../../engine/targets/family-target.ts";
import type { Point } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { post, readProblem, testApp } from "./harness.ts";

const lean = (answer: object, include?: readonly IncludeId[]): unknown =>
  JSON.parse(leanJson(answer, include).toString());
const app = testApp();
const data = loadReferenceData();
const pantry = new Map(data.pantry.map((item) => [item.id, item]));
const sour = { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" };
const target = { id: "family:sour" };
const ask = async (path: string, body: object) => (await post(app, path, body)).json();

// JCGM 100:2008 (GUM), 7.2.6: a result is rounded to the decimals of its uncertainty, of which one or two figures
// are kept. A tenth of the uncertainty, which no rounding here may exceed, keeps one figure more than that.
describe("numbers are as long as they mean something", () => {
  test.each(data.drinks.map((drink) => [drink.name, drink.spec] as const))("%s", (_, spec) => {
    const exact = place(spec, pantry);
    const sent = lean(exact) as { point: Point; sd: Point; finishedVolumeMl: number };
    for (const k of AXIS_INDICES) {
      const sd = toVec(exact.sd)[k];
      expect(Math.abs(toVec(sent.point)[k] - toVec(exact.point)[k])).toBeLessThanOrEqual(sd / 10 + 1e-12);
      expect(Math.abs(toVec(sent.sd)[k] - sd)).toBeLessThanOrEqual(sd / 10 + 1e-12);
    }
    expect(Math.abs(sent.finishedVolumeMl - exact.finishedVolumeMl)).toBeLessThanOrEqual(0.005 + 1e-12);
    expect(lean(sent)).toEqual(sent);
  });

  test("what the caller sent, and what a proof rests on, to the last digit", () => {
    const third = 1 / 3;
    const exact = {
      spec: { lines: [{ amount: third }] },
      target: { mean: [third, third, third] },
      certificate: { gap: third, rows: [{ limit: third }] },
    };
    expect(lean(exact, ["proof"])).toEqual({
      ...exact,
      certificate: { gap: 0.33333, rows: [{ limit: third }] },
    });
  });

  test("five figures of anything else, however large or small", () => {
    for (const [x, sent] of [
      [123456.789, 123460],
      [0.000123456789, 0.00012346],
      [0.0000012345678, 0.0000012346],
      [-0.00012345678, -0.00012346],
      [-2.345678901, -2.3457],
      [0, 0],
      [1e300 / 3, 3.3333e299],
    ] as const) {
      expect((lean({ gap: x }) as { gap: number }).gap / (sent || 1)).toBeCloseTo(sent === 0 ? 0 : 1, 12);
    }
  });

  // Answers share pages of memory: JSON.stringify, which does not, says what each has to be.
  test("an answer stays what it is while others are written, whatever their length and their letters", () => {
    const text = fc.oneof(
      fc.string({ unit: "binary", maxLength: 200 }),
      fc.tuple(fc.string({ minLength: 1, maxLength: 20 }), fc.nat(4000)).map(([s, n]) => s.repeat(n)),
    );
    fc.assert(
      fc.property(fc.array(fc.record({ text, list: fc.array(text, { maxLength: 3 }) })), (answers) => {
        const sent = answers.map((answer) => leanJson(answer));
        expect(() =>
          leanJson({
            text: "lost",
            get x() {
              throw new Error("unfinished");
            },
          }),
        ).toThrow("unfinished");
        expect(leanJson({ text: "next" }).toString()).toBe('{"text":"next"}');
        expect(sent.map(String)).toEqual(answers.map((answer) => JSON.stringify(answer)));
      }),
      { numRuns: 100 },
    );
  });

  // ECMAScript's own JSON is the judge: what it reads and writes again is the same text.
  test("numbers and texts are written as JSON.stringify writes them, each rounded to its step", () => {
    const STEP = { waterMl: 0.01, abvPercent: 0.001, acidGPer100Ml: 0.0001, energyKcal: 0.1 };
    const value = fc.oneof(fc.double(), fc.double({ min: -50, max: 50, noNaN: true }), fc.integer());
    fc.assert(
      fc.property(value, fc.string({ unit: "binary" }), (x, text) => {
        const answer = { ...Object.fromEntries(Object.keys(STEP).map((name) => [name, x])), gap: x, text };
        const sent = leanJson(answer).toString();
        expect(JSON.stringify(JSON.parse(sent))).toBe(sent);
        expect(JSON.parse(sent).text).toBe(JSON.parse(JSON.stringify(text)));
        for (const [name, step] of Object.entries(STEP)) {
          const written = JSON.parse(sent)[name] as number | null;
          if (!Number.isFinite(x / step)) continue;
          expect(Math.abs(written! - x)).toBeLessThanOrEqual(step / 2 + 1e-15 * Math.abs(x));
        }
      }),
      { numRuns: 300 },
    );
  });

  test("what is sent back to the last digit is written as JSON.stringify writes it", () => {
    const typed = fc.tuple(fc.integer(), fc.nat(12)).map(([steps, decimals]) => steps / 10 ** decimals);
    const tiny = fc.double({ min: -1e-4, max: 1e-4, noNaN: true });
    fc.assert(
      fc.property(fc.array(fc.oneof(fc.double(), typed, tiny)), (amounts) => {
        const answer = { spec: { amounts } };
        expect(leanJson(answer).toString()).toBe(JSON.stringify(answer));
      }),
      { numRuns: 500 },
    );
  });

  test("an exploration is less than half as long as all of its digits and parts", async () => {
    const short = JSON.stringify(await ask("/v1/explore", { spec: sour, target })).length;
    const long = JSON.stringify(
      await ask("/v1/explore", { spec: sour, target, include: ["paths", "proof"] }),
    ).length;
    expect(short).toBeLessThan(0.6 * long);
  });
});

/** The value at a path of keys. */
const at = (answer: unknown, path: string): unknown =>
  path.split(".").reduce((value, key) => (value as Record<string, unknown>)[key], answer);

describe("more is sent when it is asked for", () => {
  test.each<[string, object, string, string]>([
    ["/v1/place", { spec: sour }, "doubts", "placement.doubts"],
    ["/v1/place", { spec: sour }, "models", "placement.dilution.energy"],
    ["/v1/solve", { spec: sour, target }, "paths", "result.proposals.0.path"],
    ["/v1/solve", { spec: sour, target }, "proof", "result.certificate.rows"],
    ["/v1/explore", { spec: sour, target }, "paths", "proposals.0.path"],
    ["/v1/trail", { rounds: [{ id: "r1", spec: sour }] }, "placements", "trail.rounds.0.placement"],
  ])("%s: %j with %s", async (path, body, part, where) => {
    expect(at(await ask(path, body), where)).toBeUndefined();
    expect(at(await ask(path, { ...body, include: [part] }), where)).toBeTruthy();
  });

  test("doubts add up to the covariance", async () => {
    const { placement } = await ask("/v1/place", { spec: sour, include: ["doubts"] });
    const sum = placement.doubts.reduce((s: number, d: { variance: number[] }) => s + d.variance[0]!, 0);
    expect(sum / placement.covariance[0][0]).toBeCloseTo(1, 3);
  });

  test("a part there is none of is refused with those there are", async () => {
    const problem = await readProblem(await post(app, "/v1/place", { spec: sour, include: ["everything"] }));
    expect(problem.errors).toEqual([
      expect.objectContaining({ pointer: "#/include/0", remedy: "use one of: doubts, kin, models" }),
    ]);
  });
});

describe("a drink placed toward a target", () => {
  test("says whether it is inside, by how much, and which family it is closest to", async () => {
    expect(await ask("/v1/place", { spec: sour })).not.toHaveProperty("toward");
    const { placement, toward } = await ask("/v1/place", { spec: sour, target });
    // The same from the reference drinks by hand.
    const members = data.drinks.filter((drink) => drink.families.includes("sour"));
    const region = familyTarget(
      members.map(({ spec }) => ({
        point: toVec(place(spec, pantry).point),
        doubt: specDoubt(spec, pantry),
      })),
      0.9,
      { ratio: true },
    );
    const by = compileTarget(region.target).membership(
      toVec(place((await ask("/v1/place", { spec: sour })).spec, pantry).point),
    );
    expect(toward.membership.inside).toBe(by.inside);
    expect(toward.membership.signedDistance).toBeCloseTo(by.signedDistance, 3);
    expect(toward.membership.violations.length).toBeGreaterThan(0);
    expect(toward.closest.id).toMatch(/^family:/);
    expect(toward.closest.signedDistance).toBeLessThanOrEqual(toward.membership.signedDistance);
    expect(placement.point.acidGPer100Ml).toBeGreaterThan(0);
  });

  test("says what it is like when asked, and that it is poured more like another family than the one named", async () => {
    const punch = {
      text: "2 oz aged rum\n1/2 oz lime juice\n2 oz pineapple juice\n1/4 oz simple syrup",
      method: "shaken",
    };
    const { kin, toward } = await ask("/v1/place", { spec: punch, target, include: ["kin"] });
    expect(kin.families[0].id).toBe("family:punch");
    expect(kin.byPour).toHaveLength(3);
    expect(toward.misfit).toMatchObject({ likelier: { id: "family:punch" }, part: { id: "juice" } });
    const likeliest = await ask("/v1/place", { spec: punch, target: { id: "likeliest" } });
    expect(likeliest.toward.target.name).toBe("Punch and tropical sour");
    expect(likeliest).not.toHaveProperty("kin");
    expect((await ask("/v1/place", { spec: sour, target })).toward.misfit).toBeNull();
    const near = await ask("/v1/place", { spec: sour, target: { id: "near:daiquiri-modern" } });
    expect(near.toward.target.name).toBe("the range near Daiquiri, syrup build");
  });

  test.each(data.families.slice(0, 6).map(({ id }) => id))(
    "a classic of family %s is near it",
    async (family) => {
      const drink = data.drinks.find(({ families }) => families.includes(family));
      if (!drink) return;
      const answer = await post(app, "/v1/place", {
        spec: drink.spec,
        target: { kind: "box", abvPercent: [0, 60] },
      });
      const { toward } = await answer.json();
      expect(toward.membership.inside).toBe(true);
      expect(toward.closest.inside).toBe(true);
    },
  );
});

test.each([
  ["br", brotliDecompressSync],
  ["gzip", gunzipSync],
] as const)(
  "a long answer to a POST is packed with %s when the client takes it",
  async (encoding, unpack) => {
    const plain = await (await post(app, "/v1/place", { spec: sour })).text();
    const packed = await post(app, "/v1/place", { spec: sour }, { "Accept-Encoding": encoding });
    expect(packed.headers.get("content-encoding")).toBe(encoding);
    expect(packed.headers.get("vary")).toBe("Accept-Encoding");
    const bytes = Buffer.from(await packed.arrayBuffer());
    expect(bytes.length).toBeLessThan(plain.length / 2);
    expect(String(unpack(bytes))).toBe(plain);
    const short = await post(app, "/v1/parse", { text: "" }, { "Accept-Encoding": encoding });
    expect(short.headers.get("content-encoding")).toBeNull();
  },
);
