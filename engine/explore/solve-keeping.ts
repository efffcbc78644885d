import type { SolveRequest, SolveResult } from "../solve/request.ts";
import type { KeepId } from "../types.ts";
import { checkRequest, shareTime } from "./asking.ts";
import { chanceInside, solveWithChance } from "./chance.ts";
import { firstOfEach } from "./first-of-each.ts";
import { idsOf, type Keep, keeping, keepsOf } from "./keeps.ts";

/** Habits let go of, the dearest last, where nothing keeps all of them. */
const LOOSENED: readonly (readonly KeepId[])[] = [
  [],
  ["own-kind"],
  ["base"],
  ["base", "own-kind"],
  ["size", "own-kind"],
  ["size", "base", "own-kind"],
  ["holds", "own-kind"],
  ["holds", "base", "own-kind"],
  ["holds", "size", "base", "own-kind"],
];

/** A request solved within the habits of the trade. */
export interface Kept {
  solved: SolveResult;
  /** What was solved: the request with the habits' limits. */
  request: SolveRequest;
  keeps: Keep[];
}

/** The answer that nothing need change, or null: what is inside, with the chance asked for, needs no habits. */
function asItStands(request: SolveRequest): SolveResult | null {
  const { target, prepared } = checkRequest(request);
  const { minProbability: asked = 0 } = request;
  if (!target.contains(prepared.model.finish(prepared.volumesMl).point)) return null;
  return asked > 0 && chanceInside(request, request.spec, target).chance < asked
    ? null
    : solveWithChance(request);
}

/**
 * Solve within the habits. Where nothing keeps to all of them the softer ones are let go of, one by one: another
 * of the kind comes in, the base spirit moves, the drink grows, and only then will one do that is merely inside.
 */
export function solveKeeping(given: SolveRequest): Kept {
  const all = keepsOf(given);
  const ids = idsOf(all, "kept");
  const inside = asItStands(given);
  if (inside) return { solved: inside, request: keeping(given, new Set(ids)), keeps: all };
  const loosened = LOOSENED.map((loose) => loose.filter((id) => ids.includes(id)));
  const ways = firstOfEach(loosened, (loose) => loose.join());
  const time = shareTime(given, ways.length);
  const attempt = (loose: readonly KeepId[]): Kept => {
    const request = keeping(given, new Set(ids.filter((id) => !loose.includes(id))));
    const keeps = all.map((keep) =>
      loose.includes(keep.id) ? { ...keep, state: "loosened" as const } : keep,
    );
    return { solved: solveWithChance(time.of(request)), request, keeps };
  };
  let kept = attempt([]);
  for (const loose of ways.slice(1)) {
    if (kept.solved.status !== "infeasible" && kept.solved.status !== "no_solution_found") break;
    if (time.isSpent()) break;
    kept = attempt(loose);
  }
  return kept;
}
