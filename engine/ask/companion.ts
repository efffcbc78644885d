import { toVec } from "../axes.ts";
import { chanceAtLeast } from "../doubt/chance-at-least.ts";
import { chanceOf } from "../explore/chance.ts";
import { pouredMl, rungsOf } from "../explore/changed-spec.ts";
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

/** What is asked: of which ingredient, and how sure the drink is to be in the target. */
export interface Search {
  id: string;
  request: SolveRequest;
  target: CompiledTarget;
  sure: number;
}

/** What may move beside the first, and how far. */
interface Lever {
  ingredient: string;
  fromMl: number;
  rungsMl: number[];
  /** The base spirit moves last. */
  isBase: boolean;
}

/** A dose of the first and a rung of a lever that land inside. */
interface Pair {
  lever: Lever;
  toMl: number;
  doseMl: number;
  point: Vec3;
  /** mL changed in all. */
  changeMl: number;
}

/**
 * The least change of one other ingredient that holds with the first left as it is, for then the first was not the
 * one to ask about; else with its best dose; with another dose where none does with the best; the surest that reaches the edge where nothing holds; null where nothing gets in.
 * Locks, bounds and the glass hold; main pours keep two thirds of themselves; accents stay.
 */
export function findCompanion(
  search: Search,
  bestMl: number,
  doses: readonly { ml: number }[],
): Companion | null {
  const presentMl = pouredMl(search.request, search.id);
  const levers = leversBeside(search);
  const within = (dosesMl: readonly number[]) =>
    levers.flatMap((lever) => pairsInside(search, lever, presentMl, dosesMl));
  const alone = firstThatHolds(search, within([presentMl]));
  if (alone) return alone;
  const atBest = within([bestMl]);
  const holding = firstThatHolds(search, atBest);
  if (holding) return holding;
  const any = within(doses.map(({ ml }) => ml));
  return firstThatHolds(search, any) ?? surest(search, atBest.length > 0 ? atBest : any);
}

/** What may move beside the first: the drink's other pours, then what the request lets in. */
function leversBeside({ id, request }: Search): Lever[] {
  const { spec, pantry, additions = [] } = request;
  const own = new Set(spec.lines.map((line) => line.ingredient));
  const spirits = [...own].filter((other) => pantry.get(other)?.role === "spirit");
  const [base] = spirits.sort((a, b) => pouredMl(request, b) - pouredMl(request, a));
  return [...new Set([...own, ...additions])].flatMap((ingredient): Lever[] => {
    const role = pantry.get(ingredient)?.role;
    if (ingredient === id || !role || ACCENTS.has(role) || request.locks?.includes(ingredient)) return [];
    const fromMl = pouredMl(request, ingredient);
    const least = fromMl >= MAIN_ML ? LEAST_SHARE * fromMl : fromMl / 3;
    const most = Math.max(MOST_SHARE * fromMl, fromMl + MOST_MORE_ML);
    const rungsMl = rungsOf(request, ingredient, least, most);
    return [{ ingredient, fromMl, rungsMl, isBase: ingredient === base }];
  });
}

/** Every pair of a dose and a rung of the lever that lands inside, and fits the glass. */
function pairsInside(
  { id, request, target }: Search,
  lever: Lever,
  presentMl: number,
  dosesMl: readonly number[],
): Pair[] {
  const { ingredient, fromMl, rungsMl } = lever;
  const { maxFinishedMl = Number.POSITIVE_INFINITY } = request;
  const at = pourAt(id, ingredient, request);
  return dosesMl.flatMap((doseMl) =>
    rungsMl.flatMap((toMl): Pair[] => {
      if (toMl === fromMl) return [];
      const { point, finishedVolumeMl } = at(doseMl, toMl);
      if (!target.contains(point) || finishedVolumeMl > maxFinishedMl) return [];
      const changeMl = Math.abs(doseMl - presentMl) + Math.abs(toMl - fromMl);
      return [{ lever, toMl, doseMl, point, changeMl }];
    }),
  );
}

/** Where the drink lands with any amounts of two ingredients, each on one line. */
function pourAt(a: string, b: string, request: SolveRequest) {
  // Poured at 1 mL where there is none yet, so that each has a line to vary.
  const held = (spec: Spec, id: string) => withAmountOf({ ...request, spec }, id, pouredMl(request, id) || 1);
  const spec = held(held(request.spec, a), b);
  const { model, volumesMl } = prepareSpec(spec, request.pantry, request);
  const lineOf = (id: string) => spec.lines.findIndex((line) => line.ingredient === id);
  const [i, k] = [lineOf(a), lineOf(b)];
  return (aMl: number, bMl: number) => model.finish(volumesMl.with(i, aMl).with(k, bMl));
}

/** The spec of a pair, and where it lands. */
function pouredPair({ id, request }: Search, { lever, toMl, doseMl }: Pair) {
  const dosed = specWith(request, id, doseMl);
  const spec = specWith({ ...request, spec: dosed }, lever.ingredient, toMl, request);
  return { spec, placed: doubtedPoint(spec, request.pantry, request) };
}

function companionOf(
  { lever: { ingredient, fromMl }, toMl, doseMl }: Pair,
  { spec, placed }: ReturnType<typeof pouredPair>,
  { target, sure }: Search,
): Companion {
  const chance = chanceOf(placed, target);
  return { ingredient, fromMl, toMl, doseMl, point: placed.point, chance, holds: chance >= sure, spec };
}

/** The pair of the least change that holds; the base spirit's only where no other's does. */
function firstThatHolds(search: Search, pairs: readonly Pair[]): Companion | null {
  const looks = new Map<Lever, number>();
  const inOrder = pairs.toSorted(
    (a, b) => Number(a.lever.isBase) - Number(b.lever.isBase) || a.changeMl - b.changeMl,
  );
  for (const pair of inOrder) {
    const looked = looks.get(pair.lever) ?? 0;
    if (looked >= MOST_LOOKS) continue;
    looks.set(pair.lever, looked + 1);
    const poured = pouredPair(search, pair);
    const { point, covariance } = poured.placed;
    if (chanceAtLeast(search.target, toVec(point), covariance, search.sure))
      return companionOf(pair, poured, search);
  }
  return null;
}

/** Of pairs that reach the edge only, the one deepest inside. */
function surest(search: Search, pairs: readonly Pair[]): Companion | null {
  const [best] = pairs
    .map((pair) => ({ pair, margin: search.target.margin(pair.point) }))
    .sort((a, b) => a.margin - b.margin);
  return best ? { ...companionOf(best.pair, pouredPair(search, best.pair), search), holds: false } : null;
}
