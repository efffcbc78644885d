import { describe, expect, test } from "vitest";
import { toVec } from "../../engine/axes.ts";
import { createCatalogue, intersectionOf } from "../../engine/catalogue.ts";
import { place } from "../../engine/place/place.ts";
import { compileTarget } from "../../engine/targets/compile-target.ts";
import { SMALLEST_FAMILY } from "../../engine/targets/family-target.ts";
import type { DilutionChoice, Method } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";

const data = loadReferenceData();
const catalogue = createCatalogue(data);
const placedHere = (id: string, dilution?: DilutionChoice) => {
  const drink = data.drinks.find((d) => d.id === id)!;
  return toVec(place({ ...drink.spec, dilution }, catalogue.pantry, { doubts: false }).point);
};
const inView = (id: string, like: { method: Method; dilution?: DilutionChoice }) =>
  catalogue.view(like).references.find(({ drink }) => drink.id === id)!.point;

describe("references are diluted as the user's drink is", () => {
  const shaken = "daiquiri-modern";
  const calibration = { factor: 0.85, sd: 0.03, n: 4 };
  test("by the regression unless told otherwise, each as `place` puts it", () => {
    for (const { drink, point } of catalogue.view().references) expect(point).toEqual(placedHere(drink.id));
  });
  test("a calibration moves them by the same factor", () => {
    const dilution: DilutionChoice = { model: "regression", calibration };
    expect(inView(shaken, { method: "shaken", dilution })).toEqual(placedHere(shaken, dilution));
    expect(inView(shaken, { method: "shaken", dilution })[2]).toBeGreaterThan(placedHere(shaken)[2]);
  });
  test("the user's ice is used for drinks of the same method, the usual ice for the rest", () => {
    const dilution: DilutionChoice = { model: "energy", conditions: { iceTempC: -15 }, calibration };
    const like = { method: "shaken" as const, dilution };
    expect(inView(shaken, like)).toEqual(placedHere(shaken, dilution));
    expect(inView("negroni", like)).toEqual(placedHere("negroni", { model: "energy", calibration }));
  });
  test("a measured glass is about that glass: references keep the regression", () => {
    const like = { method: "shaken" as const, dilution: { model: "measured", waterMl: 20 } as const };
    expect(catalogue.view(like)).toBe(catalogue.view());
  });
  test("regions move with them, so a change of model keeps a member where it stood", () => {
    const dilution: DilutionChoice = { model: "regression", calibration };
    const [plain, moved] = [undefined, { method: "shaken" as const, dilution }].map(
      (like) => catalogue.view(like).region("family:sour").mean!,
    );
    expect(moved![0]).toBeGreaterThan(plain![0]);
    expect(moved![2]).toBeGreaterThan(plain![2]);
  });
  test("a view is made once and kept, but not every view anyone ever asked for", () => {
    const like = (factor: number) => ({
      method: "shaken" as const,
      dilution: { model: "regression" as const, calibration: { factor, sd: 0.1, n: 1 } },
    });
    const first = catalogue.view(like(0.9));
    expect(catalogue.view(like(0.9))).toBe(first);
    for (let k = 0; k < 20; k++) catalogue.view(like(1 + k / 100));
    expect(catalogue.view(like(0.9))).not.toBe(first);
  });
});

describe("regions", () => {
  const view = catalogue.view();
  test("one rule says which family is too small, and says it", () => {
    const few = data.drinks.filter((d) => d.families.includes("sour")).slice(0, SMALLEST_FAMILY - 1);
    const small = createCatalogue({ ...data, drinks: few });
    expect(small.ids.some((id) => id.startsWith("family:"))).toBe(false);
    expect(small.has("family:sour")).toBe(false);
    expect(small.unavailable.find((u) => u.id === "family:sour")).toMatchObject({
      n: few.length,
      reason: expect.stringContaining(`at least ${SMALLEST_FAMILY}`),
    });
    expect(() => small.view().region("family:sour")).toThrow("no target has the id family:sour");
  });
  test("every id has its region, named by it", () => {
    expect(view.regions().map((r) => r.id)).toEqual(catalogue.ids);
    for (const id of catalogue.ids) expect(view.region(id).id).toBe(id);
    for (const id of [...catalogue.ids, "near:daiquiri"]) expect(catalogue.has(id)).toBe(true);
    for (const id of ["near:ghost", "family:ghost", "sour"]) expect(catalogue.has(id)).toBe(false);
  });
  test("a region holds the middle of its members", () => {
    const sour = view.region("family:sour");
    // Drinks at one point count once.
    expect(sour.members.length).toBeGreaterThanOrEqual(sour.n!);
    expect(sour.members.length - sour.n!).toBeLessThan(3);
    expect(compileTarget(sour.target).contains(sour.mean!)).toBe(true);
  });
  test("several at once are an intersection; an id given twice counts once", () => {
    const both = view.target(["family:sour", "family:daisy", "family:sour"]);
    // Each is an ellipsoid cut by a band.
    expect(both.kind === "intersection" && both.parts).toHaveLength(4);
    expect(view.target(["family:sour", "family:sour"])).toEqual(view.region("family:sour").target);
    expect(() => view.target(["family:sour", "family:ghost"], 0.9, "/ids")).toThrow("/ids/1");
  });
  test("a family may be taken by era: bars of today pour sweeter and richer than the official list", () => {
    const [list, modern] = ["list", "modern"].map((era) => view.region(`family:sour:${era}`));
    expect(modern!.name).toBe("Sour, as bars pour it today");
    expect(modern!.n! + list!.n!).toBeLessThan(view.region("family:sour").members.length);
    expect(modern!.mean![0]).toBeGreaterThan(list!.mean![0]);
    expect(modern!.mean![1]).toBeLessThan(list!.mean![1]);
  });
  test("near a classic: about its own point, stricter than its family, wider for a spec that says less", () => {
    const near = view.region("near:daiquiri-modern");
    const { contains } = compileTarget(near.target);
    expect(near.mean).toEqual(inView("daiquiri-modern", { method: "shaken" }));
    expect(contains(near.mean!)).toBe(true);
    expect(contains(inView("whiskey-sour-211", { method: "shaken" }))).toBe(false);
    const vague = view.region("near:daiquiri-2011");
    expect(vague.covariance![0][0]).toBeGreaterThan(near.covariance![0][0]);
    expect(near.covariance![0][0]).toBeCloseTo(view.region("family:sour").covariance![0][0] / 4, 9);
    expect(near.name).toBe("the range near Daiquiri, syrup build");
  });
  test("a band says how many references of its kind it holds", () => {
    expect(view.region("band-shaken").note).toMatch(/\d+ of our \d+ references of its kind lie inside$/);
    expect(view.region("band-carbonated").note).toMatch(/we hold no reference of its kind$/);
  });
  test("nested intersections come out flat", () => {
    const ratio = { kind: "ratio" as const, min: 6, max: 12 };
    const nested = intersectionOf([
      { kind: "intersection", parts: [ratio, { kind: "intersection", parts: [ratio] }] },
      { ...ratio, max: 10 },
    ]);
    expect(nested.kind === "intersection" && nested.parts.map((p) => p.kind)).toEqual([
      "ratio",
      "ratio",
      "ratio",
    ]);
  });
});
