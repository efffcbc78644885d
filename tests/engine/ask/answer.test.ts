import { describe, expect, test } from "vitest";
import { rungsBetween } from "../../../engine/amounts/ladder.ts";
import { DEFAULT_UNIT_SETTINGS } from "../../../engine/amounts/units.ts";
import { answer, leanTarget } from "../../../engine/ask/answer.ts";
import { AXIS_SCALE, toVec } from "../../../engine/axes.ts";
import { EngineError } from "../../../engine/errors.ts";
import { explore } from "../../../engine/explore/explore.ts";
import { place } from "../../../engine/place/place.ts";
import { solve } from "../../../engine/solve/solve.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { Spec } from "../../../engine/types.ts";
import { demoRequest, demoRound, expectSamePoint, pantry, sour } from "../explore/demo-request.ts";

const dull: Spec = {
  name: "Dull sour (invented)",
  method: "shaken",
  lines: [
    { ingredient: "rum-aged", amount: 2, unit: "oz" },
    { ingredient: "juice-lime", amount: 0.25, unit: "oz" },
    { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
  ],
};
const pointWith = (spec: Spec) => toVec(place(spec, pantry).point);
const withLemon = (ml: number): Spec => ({
  ...dull,
  lines: ml > 0 ? [...dull.lines, { ingredient: "juice-lemon", amount: ml, unit: "ml" }] : dull.lines,
});

describe("how much", () => {
  test("gives the least amount on the ladder and the whole run around it, by trying every rung", () => {
    const request = demoRequest(dull);
    const target = compileTarget(sour);
    const inside = rungsBetween(0, 90, request.ladder, pantry.get("juice-lemon")).filter((ml) =>
      target.contains(pointWith(withLemon(ml))),
    );
    expect(inside.length).toBeGreaterThan(2);
    const said = answer({ ask: "how-much", ingredient: "juice-lemon" }, request);
    expect(said.status).toBe("optimal");
    expect(said.range!.leastMl).toBeCloseTo(inside[0]!, 9);
    expect(said.range!.mostMl).toBeCloseTo(inside.at(-1)!, 9);
    expect(pointWith(said.spec!)).toEqual(toVec(said.after!));
    expect(target.contains(toVec(said.after!))).toBe(true);
  });

  test("says where the nearest amount lands when no amount is enough", () => {
    const said = answer({ ask: "how-much", ingredient: "bitters-aromatic" }, demoRequest(demoRound(1)));
    expect(said).toMatchObject({ status: "infeasible", range: null, spec: null });
    expect(said.membership.inside).toBe(false);
    expect(said.text).toMatch(/^No amount of/);
  });

  test("counts in the user's own dashes, not the usual ones", () => {
    const unitSettings = { ...DEFAULT_UNIT_SETTINGS, dashMl: 0.5 };
    const { abvPercent } = place(dull, pantry).point;
    const said = answer(
      { ask: "how-much", ingredient: "bitters-aromatic" },
      demoRequest(dull, { unitSettings, target: { kind: "box", abvPercent: [abvPercent + 0.1, null] } }),
    );
    expect(said.range!.leastMl / 0.5).toBeCloseTo(Math.round(said.range!.leastMl / 0.5), 9);
    expect(said.range!.leastMl).toBeLessThan(2);
  });

  test("counts an ingredient on two lines as one amount", () => {
    const split: Spec = {
      ...dull,
      lines: [...dull.lines, { ingredient: "juice-lime", amount: 0.125, unit: "oz" }],
    };
    const whole: Spec = {
      ...dull,
      lines: dull.lines.map((l) => (l.ingredient === "juice-lime" ? { ...l, amount: 0.375 } : l)),
    };
    const ask = (spec: Spec) => answer({ ask: "how-much", ingredient: "juice-lime" }, demoRequest(spec));
    expect(ask(split).range!.fromMl).toBeCloseTo(ask(whole).range!.fromMl, 9);
    expect(ask(split).range!.leastMl).toBeCloseTo(ask(whole).range!.leastMl, 9);
  });
});

describe("what if", () => {
  const request = demoRequest(dull);

  test("lands where placing the changed spec lands", () => {
    const said = answer(
      { ask: "what-if", changes: [{ ingredient: "syrup-simple-1-1", by: { amount: -1, unit: "barspoon" } }] },
      request,
    );
    const by = (0.75 * 29.5735295625 - 5) / 29.5735295625;
    const expected = pointWith({
      ...dull,
      lines: dull.lines.map((l) => (l.ingredient === "syrup-simple-1-1" ? { ...l, amount: by } : l)),
    });
    expectSamePoint(toVec(said.after!), expected, 9);
    expect(said.text).toMatch(/sugar down/i);
  });

  test("says that a swap at equal strength moves nothing here", () => {
    const said = answer(
      { ask: "what-if", changes: [{ ingredient: "rum-aged", swapFor: "rum-white" }] },
      request,
    );
    expect(said.text).toMatch(/nothing moves/i);
    expect(said.text).toMatch(/aroma/);
  });

  test("refuses to take away more than is there, naming field and remedy", () => {
    const ask = () =>
      answer(
        { ask: "what-if", changes: [{ ingredient: "juice-lime", by: { amount: -1, unit: "oz" } }] },
        request,
      );
    expect(ask).toThrow(EngineError);
    expect(ask).toThrow(/\/intent\/changes\/0\/by.*take away less/);
  });

  test("keeps a measured glass's water per mL poured", () => {
    const measured: Spec = { ...dull, dilution: { model: "measured", waterMl: 40 } };
    const said = answer(
      { ask: "what-if", changes: [{ ingredient: "rum-aged", to: { amount: 1, unit: "oz" } }] },
      demoRequest(measured),
    );
    expect(said.spec!.dilution).toMatchObject({ model: "measured" });
    expect((said.spec!.dilution as { waterMl: number }).waterMl).toBeCloseTo((40 * 2) / 3, 9);
  });
});

describe("the least change", () => {
  test("brings the drink in as exploring would first, and says how sure", () => {
    const request = demoRequest(dull);
    const said = answer({ ask: "least" }, request);
    const first = explore(request).proposals[0]!;
    expect(said.status).toBe("optimal");
    expect(said.proposals[0]!.moves).toEqual(first.moves);
    expect(said.membership.inside).toBe(true);
    expect(compileTarget(sour).contains(pointWith(said.spec!))).toBe(true);
    expect(said.text).toMatch(
      /^Into .+ with the least change: .+: inside in ([89] glasses of 10|practically every glass)\.$/,
    );
  });

  test("says so when nothing need change, and why when nothing will do", () => {
    const mended = answer({ ask: "least" }, demoRequest(dull)).spec!;
    const again = answer({ ask: "least" }, demoRequest(mended));
    expect(again).toMatchObject({ status: "already_inside", after: null, spec: null });
    expect(again.text).toMatch(/^Nothing need change: inside /);
    const locked = { ...demoRequest(dull), locks: dull.lines.map((line) => line.ingredient) };
    const stuck = answer({ ask: "least" }, locked);
    expect(stuck).toMatchObject({ status: "infeasible", after: null });
    expect(stuck.text).toMatch(/^Nothing within your limits brings this into /);
  });
});

describe("lean", () => {
  test("drier without losing acid lowers sugar by half a step and keeps acid, minimal by the solver", () => {
    const request = demoRequest(demoRound(6));
    const said = answer(
      { ask: "lean", leans: [{ lean: "drier" }], keep: [{ axis: "acid", how: "not-less" }] },
      request,
    );
    const before = toVec(said.before);
    const after = pointWith(said.spec!);
    expect(after[0]).toBeLessThanOrEqual(before[0] - 1 + 1e-9);
    expect(after[1]).toBeGreaterThanOrEqual(before[1] - 1e-9);
  });

  test("lighter leaves the other axes nearer to where they were than the least change of all would", () => {
    const request = demoRequest(dull, { additions: ["water"] });
    const lighter = { ask: "lean", leans: [{ lean: "lighter" }], keep: [] } as const;
    const intent = { ...lighter, leans: [...lighter.leans], keep: [] };
    const said = answer(intent, request);
    const before = toVec(said.before);
    const disturbed = (spec: Spec) => {
      const after = pointWith(spec);
      expect(after[2]).toBeLessThan(before[2]);
      return Math.max(
        Math.abs(after[0] - before[0]) / AXIS_SCALE[0],
        Math.abs(after[1] - before[1]) / AXIS_SCALE[1],
      );
    };
    const least = solve({ ...request, target: leanTarget(intent, before) }).proposals[0]!;
    expect(disturbed(said.spec!)).toBeLessThan(disturbed(least.spec));
    expect(disturbed(said.spec!)).toBeLessThanOrEqual(0.5);
  });

  test("of less of two things the third grows unless water comes in: it is let in, once, and acid stays put", () => {
    // Common practice, no published source: too sweet and too strong at once wants water, or a longer shake.
    const intent = { ask: "lean", leans: [{ lean: "drier" }, { lean: "lighter" }], keep: [] } as const;
    const asked = { ...intent, leans: [...intent.leans], keep: [] };
    const watered = {
      ...dull,
      lines: [...dull.lines, { ingredient: "water", amount: 0.25, unit: "oz" as const }],
    };
    const requests = [demoRequest(dull), demoRequest(dull, { additions: ["water"] }), demoRequest(watered)];
    for (const request of requests) {
      const { before, after, spec, proposals } = answer(asked, request);
      // Flavoured water without alcohol is a drink of its own.
      const added = proposals.flatMap(({ moves }) => moves.filter(({ kind }) => kind === "add"));
      expect(added.filter(({ ingredient }) => ingredient !== "water")).toEqual([]);
      expect(spec!.lines.filter(({ ingredient }) => ingredient === "water")).toHaveLength(1);
      expect(Math.abs(after!.acidGPer100Ml - before.acidGPer100Ml)).toBeLessThan(0.5 * AXIS_SCALE[1]);
      expect(after!.sugarGPer100Ml).toBeLessThan(before.sugarGPer100Ml);
      expect(after!.abvPercent).toBeLessThan(before.abvPercent);
    }
  });

  test("keeps to the habits of the trade: no drink is turned inside out to be sweeter", () => {
    // Common practice, no published source: bitters season, and the spirit stays what the drink is made of.
    const martini: Spec = {
      name: "Dry stir (invented)",
      method: "stirred",
      lines: [
        { ingredient: "gin", amount: 2, unit: "oz" },
        { ingredient: "vermouth-dry", amount: 1, unit: "oz" },
        { ingredient: "bitters-aromatic", amount: 1, unit: "dash" },
      ],
    };
    const request = demoRequest(martini, { additions: [] });
    for (const lean of ["sweeter", "sharper", "lighter", "stronger"] as const) {
      const { spec } = answer({ ask: "lean", leans: [{ lean }], keep: [] }, request);
      const amountOf = (id: string) => spec!.lines.find(({ ingredient }) => ingredient === id)!;
      expect(amountOf("bitters-aromatic"), lean).toMatchObject({ amount: 1, unit: "dash" });
      expect(amountOf("gin").amount, lean).toBeGreaterThanOrEqual(4 / 3);
      expect(amountOf("gin").amount, lean).toBeGreaterThan(amountOf("vermouth-dry").amount);
    }
  });

  test("refuses to keep the axis that is to move", () => {
    expect(() =>
      answer(
        { ask: "lean", leans: [{ lean: "drier" }], keep: [{ axis: "sugar", how: "same" }] },
        demoRequest(dull),
      ),
    ).toThrow(/\/intent\/keep\/0/);
  });

  test("refuses a step below zero", () => {
    expect(() =>
      answer({ ask: "lean", leans: [{ lean: "softer", by: 5 }], keep: [] }, demoRequest(dull)),
    ).toThrow(/\/intent\/leans\/0\/by/);
  });
});
