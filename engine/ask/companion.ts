import { rungsBetween } from "../amounts/ladder.ts";
import { toVec } from "../axes.ts";
import { chanceAtLeast } from "../doubt/chance-at-least.ts";
import { chanceOf } from "../explore/chance.ts";
import { pouredMl } from "../explore/changed-spec.ts";
import { doubtedPoint } from "../place/doubted-point.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { CompiledTarget } from "../targets/compile-target.ts";
import type { Point, Role, Spec, Vec3 } from "../types.ts";
import { specWith, withAmountOf } from "./changed.ts";

/** The second ingredient that finishes what one cannot. */
export interface Companion {
  ingredient: string;
  fromMl: number;
  toMl: number;
  /** The dose of the first ingredient that goes with it, mL. */
  doseMl: number;
  point: Point;
  /** Chance, 0–1, that a real glass of both is inside. */
  chance: number;
  /** Whether that is the chance asked for; else both together only reach the edge. */
  holds: boolean;
  spec: Spec;
}

/** Accents are no levers: what is dashed in, or brings foam. */
export const ACCENTS: ReadonlySet<Role> = new Set(["bitters", "egg"]);
/** Least share that is left of a main pour, and from how many mL on a pour is one. Common practice, no published source. */
const LEAST_SHARE = 2 / 3;
const MAIN_ML = 15;
/** Most that a companion grows: by half, or by this, mL. */
const MOST_SHARE = 1.5;
const MOST_MORE_ML = 15;
/** Chances looked up for one ingredient before the search is given up. */
const MOST_LOOKS = 60;

interface Pair {
  ingredient: string;
  fromMl: number;
  toMl: number;
  doseMl: number;
  /** mL changed in all. */
  changeMl: number;
  /** The base spirit moves last. */
  isBase: boolean;
}

/**
 * The least change of one other ingredient that holds with the first left as it is, for then the first was not the
 * one to ask about; else with its best dose; with another dose where none does with the best; the surest that reaches the edge where nothing holds; null where nothing gets in.
 * Locks, bounds and the glass hold; main pours keep two thirds of themselves; accents stay.
 */
export function findCompanion(
  id: string,
  bestMl: number,
  dosesMl: readonly number[],
  request: SolveRequest,
  target: CompiledTarget,
  sure: number,
): Companion | null {
  const presentMl = pouredMl(request, id);
  const others = leversBeside(id, request);
  const within = (doses: readonly number[]) =>
    others.flatMap((lever) => pairsInside(id, presentMl, doses, lever, request, target));
  const alone = firstThatHolds(id, within([presentMl]), request, target, sure);
  if (alone) return alone;
  const atBest = within([bestMl]);
  const holding = firstThatHolds(id, atBest, request, target, sure);
  if (holding) return holding;
  const any = within(dosesMl);
  return (
    firstThatHolds(id, any, request, target, sure) ??
    surest(id, atBest.length > 0 ? atBest : any, request, target)
  );
}

interface Lever {
  ingredient: string;
  fromMl: number;
  rungsMl: number[];
  isBase: boolean;
}

/** What may move beside the first: the drink's other pours, then what the request lets in. */
function leversBeside(id: string, request: SolveRequest): Lever[] {
  const { spec, pantry, ladder, unitSettings } = request;
  const own = [...new Set(spec.lines.map((line) => line.ingredient))];
  const added = (request.additions ?? []).filter((other) => !own.includes(other));
  const spirits = own.filter((other) => pantry.get(other)?.role === "spirit");
  const base = spirits.reduce<string | null>(
    (most, other) => (most === null || pouredMl(request, other) > pouredMl(request, most) ? other : most),
    null,
  );
  return [...own, ...added].flatMap((ingredient): Lever[] => {
    const role = pantry.get(ingredient)?.role;
    if (ingredient === id || !role || ACCENTS.has(role) || request.locks?.includes(ingredient)) return [];
    const fromMl = pouredMl(request, ingredient);
    const bound = request.bounds?.find((b) => b.ingredient === ingredient);
    const least = fromMl >= MAIN_ML ? LEAST_SHARE * fromMl : fromMl / 3;
    const most = Math.max(MOST_SHARE * fromMl, fromMl + MOST_MORE_ML);
    const rungsMl = rungsBetween(
      Math.max(bound?.minMl ?? 0, least),
      Math.min(bound?.maxMl ?? Number.POSITIVE_INFINITY, most),
      ladder,
      pantry.get(ingredient),
      unitSettings,
    );
    return [{ ingredient, fromMl, rungsMl, isBase: ingredient === base }];
  });
}

/** Every pair of a dose and a rung of the lever that lands inside, and fits the glass. */
function pairsInside(
  id: string,
  presentMl: number,
  dosesMl: readonly number[],
  { ingredient, fromMl, rungsMl, isBase }: Lever,
  request: SolveRequest,
  target: CompiledTarget,
): Pair[] {
  const at = pourAt(id, ingredient, request);
  return dosesMl.flatMap((doseMl) =>
    rungsMl.flatMap((toMl): Pair[] => {
      if (toMl === fromMl) return [];
      const { point, finishedVolumeMl } = at(doseMl, toMl);
      if (!target.contains(point) || finishedVolumeMl > (request.maxFinishedMl ?? Number.POSITIVE_INFINITY))
        return [];
      const changeMl = Math.abs(doseMl - presentMl) + Math.abs(toMl - fromMl);
      return [{ ingredient, fromMl, toMl, doseMl, changeMl, isBase }];
    }),
  );
}

/** Where the drink lands with any amounts of two ingredients, each on one line. */
function pourAt(
  a: string,
  b: string,
  request: SolveRequest,
): (aMl: number, bMl: number) => { point: Vec3; finishedVolumeMl: number } {
  // Poured at 1 mL where there is none yet, so that each has a line to vary.
  const held = (spec: Spec, id: string) => withAmountOf({ ...request, spec }, id, pouredMl(request, id) || 1);
  const spec = held(held(request.spec, a), b);
  const { model, volumesMl } = prepareSpec(spec, request.pantry, { unitSettings: request.unitSettings });
  const [i, k] = [a, b].map((id) => spec.lines.findIndex((line) => line.ingredient === id)) as [
    number,
    number,
  ];
  return (aMl, bMl) => {
    const pours = [...volumesMl];
    pours[i] = aMl;
    pours[k] = bMl;
    return model.finish(pours);
  };
}

function finish(id: string, pair: Pair, request: SolveRequest) {
  const dosed = specWith(request, id, pair.doseMl);
  const spec = specWith({ ...request, spec: dosed }, pair.ingredient, pair.toMl, request);
  const placed = doubtedPoint(spec, request.pantry, { unitSettings: request.unitSettings });
  return { spec, placed };
}

function companionOf(
  { ingredient, fromMl, toMl, doseMl }: Pair,
  { spec, placed }: ReturnType<typeof finish>,
  target: CompiledTarget,
  sure: number,
): Companion {
  const chance = chanceOf(placed, target);
  return { ingredient, fromMl, toMl, doseMl, point: placed.point, chance, holds: chance >= sure, spec };
}

/** The pair of the least change that holds; the base spirit's only where no other's does. */
function firstThatHolds(
  id: string,
  pairs: readonly Pair[],
  request: SolveRequest,
  target: CompiledTarget,
  sure: number,
): Companion | null {
  const looks = new Map<string, number>();
  const inOrder = [...pairs].sort((a, b) => Number(a.isBase) - Number(b.isBase) || a.changeMl - b.changeMl);
  for (const pair of inOrder) {
    const looked = looks.get(pair.ingredient) ?? 0;
    if (looked >= MOST_LOOKS) continue;
    looks.set(pair.ingredient, looked + 1);
    const finished = finish(id, pair, request);
    const { point, covariance } = finished.placed;
    if (chanceAtLeast(target, toVec(point), covariance, sure))
      return companionOf(pair, finished, target, sure);
  }
  return null;
}

/** Of pairs that reach the edge only, the one deepest inside. */
function surest(
  id: string,
  pairs: readonly Pair[],
  request: SolveRequest,
  target: CompiledTarget,
): Companion | null {
  let best: { pair: Pair; margin: number } | null = null;
  const at = new Map<string, ReturnType<typeof pourAt>>();
  for (const pair of pairs) {
    const pour = at.get(pair.ingredient) ?? pourAt(id, pair.ingredient, request);
    at.set(pair.ingredient, pour);
    const margin = target.margin(pour(pair.doseMl, pair.toMl).point);
    if (!best || margin < best.margin) best = { pair, margin };
  }
  return best && companionOf(best.pair, finish(id, best.pair, request), target, Number.POSITIVE_INFINITY);
}
