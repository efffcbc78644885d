import { describe, expect, test } from "vitest";
import { toVec } from "../../../engine/axes.ts";
import { routes, swapEffects } from "../../../engine/explore/routes.ts";
import { KEEP_IDS } from "../../../engine/ids.ts";
import { totalSugar } from "../../../engine/mix/own-figures.ts";
import { place } from "../../../engine/place/place.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import { demoRequest, demoRound, expectSamePoint, pantry, sour } from "./demo-request.ts";

describe("routes through the whole move vocabulary", () => {
  const request = demoRequest(demoRound(5));
  const found = routes(request);
  const reached = found.filter((route) => route.proposal !== null);

  test("compares pouring, adding, acid by the gram, swapping, syrup strength and method", () => {
    expect(new Set(found.map((route) => route.kind))).toEqual(
      new Set(["pour", "add", "acid", "swap", "syrup", "method"]),
    );
    expect(reached.length).toBeGreaterThan(3);
  });

  test("every route that claims to get there is inside under the true model", () => {
    const target = compileTarget(sour);
    for (const route of reached) {
      const point = toVec(place(route.proposal!.spec, pantry).point);
      expect(target.contains(point), route.name).toBe(true);
      expectSamePoint(toVec(route.proposal!.after), point, 9);
    }
  });

  test("a path starts at the drink and ends at the proposal, each move where the last one ended", () => {
    const before = toVec(place(request.spec, pantry).point);
    for (const { name, proposal } of reached) {
      let at = before;
      for (const move of proposal!.path) {
        expectSamePoint(move.points[0]!, at, 6, name);
        at = move.points.at(-1)!;
      }
      expectSamePoint(at, toVec(proposal!.after), 6, name);
    }
  });

  test("acid powder is told in grams dissolved in the drink's juice", () => {
    const acid = reached.find((route) => route.kind === "acid")!;
    expect(acid.proposal!.moves.find((move) => move.kind === "acid")!.text).toMatch(
      /\d g dissolved in the .*pineapple/,
    );
  });

  test("a powder goes into the largest juice, wherever that stands in the spec", () => {
    const lines = [...request.spec.lines].reverse();
    expect(pantry.get(lines[0]!.ingredient)!.role).toBe("sour-juice");
    const acid = routes({ ...request, spec: { ...request.spec, lines } }).find(
      ({ kind, proposal }) => kind === "acid" && proposal,
    );
    expect(acid!.proposal!.moves.find((move) => move.kind === "acid")!.text).toContain("pineapple");
  });

  test("the least change comes first", () => {
    const touched = reached.map((route) => route.proposal!.touched);
    expect(touched).toEqual([...touched].sort((a, b) => a - b));
    expect(found.slice(reached.length).every((route) => route.proposal === null)).toBe(true);
  });

  test("locked ingredients and those with limits are not swapped away", () => {
    const held = routes({ ...request, locks: request.spec.lines.map((line) => line.ingredient) });
    expect(held.filter((route) => route.kind === "swap" || route.kind === "syrup")).toEqual([]);
  });

  test("scaling is offered only when the drink overflows the glass, and then fits", () => {
    expect(found.some((route) => route.kind === "scale")).toBe(false);
    const finished = place(request.spec, pantry).finishedVolumeMl;
    // So much smaller a drink keeps no habit: all are let go of.
    const small = routes({ ...request, maxFinishedMl: finished * 0.8, release: [...KEEP_IDS] }).find(
      (route) => route.kind === "scale",
    );
    expect(small?.proposal?.finishedVolumeMl).toBeLessThanOrEqual(finished * 0.8);
  });
});

describe("what a swap moves", () => {
  const request = demoRequest(demoRound(6));
  const rum = request.spec.lines.find((line) => pantry.get(line.ingredient)?.role === "spirit")!.ingredient;

  test("each effect is the difference of two placements", () => {
    const before = toVec(place(request.spec, pantry).point);
    for (const effect of swapEffects(request, rum).slice(0, 5)) {
      const spec = {
        ...request.spec,
        lines: request.spec.lines.map((l) =>
          l.ingredient === rum ? { ...l, ingredient: effect.ingredient } : l,
        ),
      };
      const after = toVec(place(spec, pantry).point);
      expectSamePoint(effect.delta, [after[0] - before[0], after[1] - before[1], after[2] - before[2]], 9);
    }
  });

  test("a spirit of the same strength moves nothing, and says what it does not see", () => {
    const strength = pantry.get(rum)!.abvPercent.value;
    const same = swapEffects(request, rum).filter(
      (e) =>
        pantry.get(e.ingredient)!.abvPercent.value === strength &&
        totalSugar(pantry.get(e.ingredient)!) === 0 &&
        /whisk|bourbon|gin|rum|cognac/.test(e.ingredient),
    );
    expect(same.length).toBeGreaterThan(0);
    for (const effect of same) expect(effect.text).toMatch(/moves nothing on these three axes/);
  });
});
