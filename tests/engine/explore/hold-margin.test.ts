/** The margin that the solver relies on: no drink that holds may lie nearer to a face than it says. */
import { expect, test } from "vitest";
import { LADDERS } from "../../../engine/amounts/ladder.ts";
import { toScaled } from "../../../engine/axes.ts";
import { chanceAtLeast } from "../../../engine/doubt/chance-at-least.ts";
import { HoldMargin } from "../../../engine/explore/hold-margin.ts";
import { PouredDoubts } from "../../../engine/explore/poured-doubts.ts";
import { dot3, norm3, scaled3, subtract3 } from "../../../engine/linalg.ts";
import { doubtedPoint } from "../../../engine/place/doubted-point.ts";
import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import { pouredSpec } from "../../../engine/solve/poured-spec.ts";
import type { SolveRequest } from "../../../engine/solve/request.ts";
import { compileTarget } from "../../../engine/targets/compile-target.ts";
import type { DilutionChoice, Pantry, Spec, TargetSpec, Vec3 } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { seeded } from "../solve/linear-instance.ts";

const data = loadReferenceData();
const pantry: Pantry = new Map(data.pantry.map((i) => [i.id, i]));
const ADDITIONS = ["juice-lemon", "syrup-simple-1-1", "soda-water", "triple-sec-40", "water"];

/** A reference drink with other amounts, some of them unsure, now and then measured or with ice of one's own. */
function randomSpec(random: () => number): Spec {
  const drink = data.drinks[Math.floor(random() * data.drinks.length)]!;
  const lines = drink.spec.lines.map((line) => ({
    ...line,
    amount: Math.max(0.25, Math.round(line.amount * (0.5 + random()) * 4) / 4),
    // A splash, or a topping to the wash line.
    ...(random() < 0.2 && { amountSdPercent: 60 * random() }),
  }));
  const heated = ["shaken", "stirred", "built"].includes(drink.spec.method);
  const dilution: DilutionChoice | undefined =
    random() < 0.15
      ? { model: "measured", waterMl: 20 + 40 * random() }
      : random() < 0.3 && heated
        ? { model: "energy", conditions: { iceMassG: 40 + 200 * random(), shelfTempC: 25 * random() } }
        : undefined;
  return { ...drink.spec, lines, dilution };
}

/** A target about as large as a family's, or as small as the doubt, around a point. */
function targetAround([s, a, e]: Vec3, random: () => number): TargetSpec {
  const [x, y, z] = [0.6 + 2.5 * random(), 0.05 + 0.25 * random(), 0.8 + 4 * random()];
  const centre: Vec3 = [
    s + x * (random() - 0.5),
    Math.max(0.05, a + y * (random() - 0.5)),
    e + z * (random() - 0.5),
  ];
  if (random() < 0.4) {
    return {
      kind: "box",
      sugarGPer100Ml: [centre[0] - x, centre[0] + x],
      acidGPer100Ml: [Math.max(0, centre[1] - y), centre[1] + y],
      abvPercent: [centre[2] - z, centre[2] + z],
    };
  }
  const covariance = [
    [x * x, 0.3 * x * y, 0],
    [0.3 * x * y, y * y, 0],
    [0, 0, z * z],
  ] as const;
  return { kind: "ellipsoid", mean: centre, covariance, radius: 1.3 };
}

test("the covariance of any pours is that of the spec a proposal would write", () => {
  for (let seed = 0; seed < 80; seed += 1) {
    const random = seeded(seed);
    const spec = randomSpec(random);
    const request = { spec, pantry, ladder: LADDERS["us-jigger"], additions: ADDITIONS };
    const before = prepareSpec(spec, pantry);
    const doubts = new PouredDoubts(request, before);
    const x = doubts.model.ingredients.map((_, i) => {
      const now = before.volumesMl[i] ?? 0;
      return random() < 0.5 ? now : 3.6967 * Math.round(6 * random());
    });
    if (!x.some((ml) => ml > 1)) continue;
    const { covariance } = doubtedPoint(pouredSpec(request, before, x), pantry);
    const found = doubts.covariance(x);
    found.forEach((row, i) => {
      row.forEach((v, j) => {
        const size = Math.sqrt(found[i]![i]! * found[j]![j]!);
        expect(Math.abs(v - covariance[i]![j]!)).toBeLessThanOrEqual(1e-9 * size + 1e-15);
      });
    });
  }
});

test("no drink that holds is nearer to a face, or to a tangent of a curve, than its margin", () => {
  let [held, near] = [0, 0];
  for (let seed = 0; seed < 250; seed += 1) {
    const random = seeded(50_000 + seed);
    const spec = randomSpec(random);
    const additions = random() < 0.5 ? ADDITIONS : [];
    const before = prepareSpec(spec, pantry);
    const { point } = before.model.finish(before.volumesMl);
    const target = compileTarget(targetAround(point, random));
    const request: SolveRequest = {
      spec,
      pantry,
      target: target.spec,
      ladder: LADDERS["us-jigger"],
      additions,
    };
    const chance = [0.6, 0.8, 0.95][seed % 3]!;
    const doubts = new PouredDoubts(request, before);
    const margin = new HoldMargin(request, doubts, target, chance);
    const holds = (x: number[]) =>
      chanceAtLeast(target, doubts.model.finish(x).point, doubts.covariance(x), chance);
    const start = doubts.model.ingredients.map((_, i) => before.volumesMl[i] ?? 0);
    if (!holds(start)) continue;
    for (const i of start.keys()) {
      // As much more, or less, of one line as still holds.
      const to = random() < 0.5 ? 0 : start[i]! + 40;
      const at = (share: number) => start.map((ml, j) => (j === i ? ml + share * (to - ml) : ml));
      let [inside, outside] = [0, 1];
      for (let k = 0; k < 14; k += 1) {
        const middle = (inside + outside) / 2;
        if (holds(at(middle))) inside = middle;
        else outside = middle;
      }
      const x = at(inside);
      held += 1;
      const p = doubts.model.finish(x).point;
      const width = random() < 0.5 ? 0 : 40 * random();
      // The search cuts its boxes at what is poured now.
      const low = x.map((ml, j) =>
        random() < 0.3 ? Math.min(ml, start[j]!) : Math.max(0, ml - width * random()),
      );
      const box = { low, high: x.map((ml) => ml + width * random()) };
      const normals: Vec3[] = target.halfSpaces.map((half) => half.normal);
      for (let n = 0; n < 6 && !target.isPolyhedral; n += 1) {
        const u = toScaled([random() - 0.5, random() - 0.5, random() - 0.5]);
        normals.push(scaled3(1 / norm3(u), u));
      }
      // The face that the drink is nearest to, as seen from the middle, is one of them.
      const away = subtract3(p, target.centre);
      if (!target.isPolyhedral && norm3(away) > 0) normals.push(away);
      for (const normal of normals) {
        const room = dot3(normal, target.support(normal)) - dot3(normal, p);
        const asked = margin.of(normal, box);
        expect(asked, `seed ${seed}`).toBeLessThanOrEqual(room + 1e-9);
        expect(margin.of(normal), `seed ${seed}`).toBeLessThanOrEqual(room + 1e-9);
        if (width === 0 && room < 1.3 * asked) near += 1;
      }
    }
  }
  expect(held).toBeGreaterThan(200);
  // The margin is worth something: many drinks that just hold lie not far beyond it.
  expect(near).toBeGreaterThan(held / 20);
}, 120_000);
