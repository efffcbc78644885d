import { perAxis, toVec } from "../axes.ts";
import { preparedSpec } from "../explore/asking.ts";
import { solveKeeping } from "../explore/solve-keeping.ts";
import { dot3, mat3, subtract3 } from "../linalg.ts";
import type { SolveRequest, SolveResult } from "../solve/request.ts";
import { solve } from "../solve/solve.ts";
import type { KeepId, Proposal, TargetSpec, Vec3 } from "../types.ts";
import { type Outlook, TableJudge } from "./judge.ts";
import type { LearnedTable } from "./learn.ts";
import { fromSpreads, inSpreads } from "./observations.ts";
import { SETTLED_CHANCE } from "./settings.ts";
import type { TastedRound } from "./types.ts";

/** A pourable next round, and what it promises. */
export interface NextProposal extends Outlook {
  proposal: Proposal;
  /** Chance that the tasters, on average, like it better than the best round so far. */
  chancePreferred: number;
  /** Expected gain in mean liking over the best round so far, points. */
  gain: number;
  /** Chance that it leaves the table content where no round so far does: what proposals are ordered by. */
  newlyContent: number;
}

/** A tasted round and how it stands. */
export interface RoundOutlook extends Outlook {
  id: string;
}

/**
 * "settled": a round already poured very likely leaves the table content; stop. "pour": the first proposal is
 * worth a round. "little-to-gain": another round would hardly do better than the best one. "out-of-reach":
 * nothing pourable within the limits comes near the ideal.
 */
export type NextVerdict = "settled" | "pour" | "little-to-gain" | "out-of-reach";

/** What to pour next, or why to stop. */
export interface NextRound {
  verdict: NextVerdict;
  /** Where to pour at: a small region, a target like any other. */
  aim: TargetSpec & { kind: "ellipsoid" };
  /** Every tasted round, as given. */
  rounds: RoundOutlook[];
  /** The round with the highest expected liking. */
  best: RoundOutlook;
  /** Most promising first; empty when nothing else is pourable near the aim. */
  proposals: NextProposal[];
}

/** Question to the solver, the target left to the table. */
export type NextRoundRequest = Omit<SolveRequest, "target" | "extraAccept" | "shrink" | "minProbability">;

/** Radii of the aim tried in turn, spreads: the ladder decides how near a pour can come. */
const AIM_RADII = [0.3, 0.6, 1] as const;
/** Enough for the least change on any usual spec; what is found is judged by chances, not by its proof. */
const AIM_NODES = 4000;
const PER_AIM = 3;
/** Shares of the first radius that is met, tried in turn as well: the least change into a region ends on its edge. */
const NEARER = [2 / 3, 1 / 3] as const;
/** A drink this near to the aim, spreads, is at it. */
const AT_THE_AIM = 0.05;
/** A round that leaves the table newly content less often than this is not worth its spirit. */
const WORTH_A_ROUND = 0.05;

/**
 * The next round for a learned table: pourable changes of the request's spec, found by the exact solver, in
 * the order of the chance that each leaves the table content where no round so far does. The aim is therefore
 * where the ideals that no tasted round is near lie closest together, not the mean of all: pouring the best
 * round again improves nothing.
 *
 * @param tasters for whom (default: the whole table), as indices
 * @throws EngineError for bad input only
 */
export function nextRound(
  learned: LearnedTable,
  tasted: readonly TastedRound[],
  request: NextRoundRequest,
  tasters?: readonly number[],
): NextRound {
  const judge = new TableJudge(learned, tasters);
  const pointOf = ({ point }: TastedRound) => inSpreads(learned.prior, toVec(point));
  const rounds = tasted.map((round) => ({ id: round.id, ...judge.outlook(pointOf(round)) }));
  const first = rounds.reduce((most, round, i) => (round.liking > rounds[most]!.liking ? i : most), 0);
  const best = pointOf(tasted[first]!);
  const unmet = judge.unmetBy(tasted.map(pointOf));

  const { aim, found } = pourNear(learned, request, unmet.aim);
  const proposals = found
    .map((proposal): NextProposal => {
      const at = inSpreads(learned.prior, toVec(proposal.after));
      const newlyContent = unmet.chanceContent(at);
      return { proposal, ...judge.outlook(at), ...judge.against(at, best), newlyContent };
    })
    .sort((a, b) => b.newlyContent - a.newlyContent);
  return {
    verdict: verdictOf(rounds, proposals, unmet.chance),
    aim,
    rounds,
    best: rounds[first]!,
    proposals,
  };
}

function verdictOf(
  rounds: readonly RoundOutlook[],
  proposals: readonly NextProposal[],
  unmet: number,
): NextVerdict {
  if (rounds.some((round) => round.chanceContent >= SETTLED_CHANCE)) return "settled";
  const promise = proposals[0]?.newlyContent ?? 0;
  if (promise >= WORTH_A_ROUND) return "pour";
  return unmet >= 1 - SETTLED_CHANCE ? "out-of-reach" : "little-to-gain";
}

/** Pourable changes that land near a point given in spreads, and the region they were looked for in. */
function pourNear(learned: LearnedTable, request: NextRoundRequest, wanted: Vec3) {
  const { spread } = learned.prior;
  const { model, volumesMl } = preparedSpec(request);
  const here = model.finish(volumesMl).point;
  let centre = fromSpreads(learned.prior, wanted);
  const around = (radius: number): NextRound["aim"] => ({
    kind: "ellipsoid",
    name: "the table's range",
    mean: centre,
    covariance: mat3((i, j) => (i === j ? spread[i] ** 2 : 0)),
    radius,
  });
  // The habits of the trade keep the drink what it is; how sure it is to land is for the table's own chances.
  const release: KeepId[] = [...(request.release ?? []), "holds"];
  const asked = (radius: number) => {
    const target = nearerThan(here, around(radius));
    return { ...request, release, target, count: PER_AIM, nodeLimit: AIM_NODES };
  };
  const found = new Map<string, Proposal>();
  const note = ({ proposals }: SolveResult) => {
    for (const proposal of proposals) found.set(proposal.id, proposal);
    return proposals.length > 0;
  };
  let aim = around(AIM_RADII[0]);
  for (const radius of AIM_RADII) {
    const wasFound = found.size > 0;
    aim = around(radius);
    const kept = solveKeeping(asked(radius));
    const { infeasible } = kept.solved;
    const isMet = note(kept.solved);
    // One region wider than the first that was met: fewer moves may do as well.
    if (wasFound) break;
    // And nearer, by the habits kept so far: none is let go of for the sake of a few drops.
    if (isMet) {
      NEARER.every((share) => note(solve({ ...kept.request, target: asked(share * radius).target })));
    }
    // Where not even amounts in between reach, the nearest drink they do reach is aimed at.
    else if (infeasible?.continuousFeasible === false) centre = toVec(infeasible.nearest.point);
  }
  return { aim, found: [...found.values()] };
}

/**
 * The ball, cut half-way between its middle and the drink at hand where that is inside it: a drink that is in
 * range already would have the solver change nothing, and a ball wide enough for the ladder often holds it.
 */
function nearerThan(here: Vec3, ball: NextRound["aim"]): TargetSpec {
  const gap = subtract3(here, ball.mean);
  const normal: Vec3 = perAxis((k) => gap[k] / ball.covariance[k][k]);
  const square = dot3(normal, gap);
  // At the very middle nothing is nearer.
  if (square > ball.radius ** 2 || square < AT_THE_AIM ** 2) return ball;
  const half: TargetSpec = {
    kind: "half-space",
    name: "nearer to the aim than to the drink as it is",
    normal,
    offset: dot3(normal, ball.mean) + square / 2,
  };
  return { kind: "intersection", name: ball.name, parts: [ball, half] };
}
