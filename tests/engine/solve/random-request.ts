import { prepareSpec } from "../../../engine/place/prepare-spec.ts";
import type { SolveRequest } from "../../../engine/solve/solve.ts";
import type {
  DilutionChoice,
  Ingredient,
  Method,
  Pantry,
  Role,
  TargetSpec,
  Vec3,
} from "../../../engine/types.ts";
import { seeded } from "./linear-instance.ts";

const value = (v: number) => ({ value: v, sd: 0, source: "invented" });

/** An invented ingredient. */
export function ingredient(
  id: string,
  role: Role,
  abv: number,
  sugar: number,
  citric: number,
  extra: Partial<Ingredient> = {},
): Ingredient {
  return {
    id,
    name: id,
    role,
    aliases: [],
    abvPercent: value(abv),
    sugarsGPer100Ml: sugar > 0 ? { sucrose: value(sugar) } : {},
    acidsGPer100Ml: citric > 0 ? { citric: value(citric) } : {},
    ...extra,
  };
}

/** A shelf of invented ingredients that spans what a bar holds. */
export const SHELF: Ingredient[] = [
  ingredient("spirit", "spirit", 40, 0, 0),
  ingredient("sour", "sour-juice", 0, 2, 6),
  ingredient("syrup", "syrup", 0, 62, 0),
  ingredient("fruit", "sweet-juice", 0, 11, 0.8),
  ingredient("liqueur", "liqueur", 24, 30, 0),
  ingredient("strong", "spirit", 57, 0, 0),
  ingredient("rich", "syrup", 0, 88, 0),
  ingredient("sharp", "sour-juice", 0, 1.5, 5),
  ingredient("wine", "fortified-wine", 16, 14, 0.6),
  ingredient("fizz", "lengthener", 0, 0, 0, { addAfterDilution: true }),
  ingredient("amber", "liqueur", 38, 22, 0),
  ingredient("nectar", "sweet-juice", 0, 14, 0.5),
];

export const PANTRY: Pantry = new Map(SHELF.map((i) => [i.id, i]));

export interface Options {
  lines: number;
  additions: number;
  stepMl: number;
  dilution?: "regression" | "constant" | "energy";
  target?: "box" | "ellipsoid" | "ratio" | "half-space" | "intersection";
}

/** A random request on the invented shelf; the target sits near drinks that can be reached, so many kinds of answer occur. */
export function randomRequest(seed: number, options: Options): SolveRequest {
  const random = seeded(seed);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
  const { lines: n, additions: m, stepMl } = options;
  const rest = SHELF.slice(3).sort(() => random() - 0.5);
  const chosen = [...SHELF.slice(0, 3), ...rest].slice(0, n + m);
  const amount = (mean: number) => stepMl * Math.max(1, Math.round((mean * (0.4 + 1.2 * random())) / stepMl));
  const lines = chosen.slice(0, n).map((i, k) => ({
    ingredient: i.id,
    amount: amount(k === 0 ? 50 : 20) + (random() < 0.2 ? 1.3 : 0),
    unit: "ml" as const,
  }));
  const kind = options.dilution ?? pick(["regression", "regression", "constant"] as const);
  const dilution: DilutionChoice | undefined =
    kind === "constant"
      ? { model: "measured", waterMl: 40 * random() }
      : kind === "energy"
        ? { model: "energy" }
        : undefined;
  const method: Method = pick(["shaken", "stirred", "built"] as const);
  const spec = {
    name: "random",
    method: kind === "energy" ? "shaken" : method,
    lines,
    ...(dilution && { dilution }),
  };

  // A drink some moves away; the target is a small region around its point.
  const { model } = prepareSpec(spec, PANTRY);
  const far = lines.map((line) => Math.max(0, line.amount + stepMl * Math.round((random() - 0.5) * 8)));
  far[0] = Math.max(stepMl, far[0]!);
  const [s, a, e] = model.finish(far).point;
  const size = 0.15 + 1.1 * random();
  const off = () => (random() - 0.5) * 1.6;
  const centre: Vec3 = [Math.max(0.5, s + off()), Math.max(0.1, a + 0.1 * off()), Math.max(1, e + off())];
  const box: TargetSpec = {
    kind: "box",
    sugarGPer100Ml: [centre[0] - size, centre[0] + size],
    acidGPer100Ml:
      random() < 0.8 ? [centre[1] - 0.1 * size, centre[1] + 0.1 * size] : [centre[1] - 0.1 * size, null],
    ...(random() < 0.8 && { abvPercent: [centre[2] - 2 * size, centre[2] + 2 * size] as [number, number] }),
  };
  const ratio = centre[0] / centre[1];
  const band: TargetSpec = { kind: "ratio", min: ratio * (1 - 0.1 * size), max: ratio * (1 + 0.1 * size) };
  const half: TargetSpec = {
    kind: "half-space",
    normal: [1, -4, 0.1],
    offset: centre[0] - 4 * centre[1] + 0.1 * centre[2],
  };
  const ellipsoid: TargetSpec = {
    kind: "ellipsoid",
    mean: centre,
    covariance: [
      [1, 0.03, 0.2],
      [0.03, 0.01, 0],
      [0.2, 0, 4],
    ],
    radius: size,
  };
  const which =
    options.target ?? pick(["box", "box", "ellipsoid", "ratio", "half-space", "intersection"] as const);
  const target =
    which === "box"
      ? box
      : which === "ellipsoid"
        ? ellipsoid
        : which === "ratio"
          ? band
          : which === "half-space"
            ? half
            : ({ kind: "intersection", parts: [ellipsoid, band, half] } as TargetSpec);
  return {
    spec,
    pantry: PANTRY,
    target,
    ladder: { id: "own", name: "test", stepMl, displayUnit: "ml" },
    additions: chosen.slice(n).map((i) => i.id),
    ...(random() < 0.2 && { locks: [chosen[0]!.id] }),
    ...(random() < 0.2 && { maxFinishedMl: 90 + 60 * random() }),
    ...(random() < 0.15 && {
      character: [{ ingredient: chosen[0]!.id, minSharePercent: 10 + 20 * random() }],
    }),
    ...(random() < 0.1 && { character: [{ ingredient: chosen[1]!.id, atLeastAsMuchAs: chosen[2]!.id }] }),
    ...(random() < 0.15 && { driftBudget: 1 + 2 * random() }),
    bounds: chosen.map((i, k) => {
      const now = lines[k]?.amount ?? 0;
      return { ingredient: i.id, minMl: 0, maxMl: now + stepMl * (2 + Math.floor(5 * random())) };
    }),
  };
}
