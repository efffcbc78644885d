import { formatAmount } from "../amounts/format-amount.ts";
import { AXES, AXIS_INDICES, scaledDistance, showOnAxis, toVec } from "../axes.ts";
import { METHODS } from "../dilution/methods.ts";
import { subtract3 } from "../linalg.ts";
import { totalSugar } from "../mix/own-figures.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import type { SolveRequest } from "../solve/request.ts";
import { byLeastChange } from "../solve/trade-offs.ts";
import { compileTarget } from "../targets/compile-target.ts";
import type { Ingredient, KeepId, Method, Move, MoveKind, Point, Proposal, Vec3 } from "../types.ts";
import { acidPowders, suggestedAdditions } from "./additions.ts";
import { checkRequest, shareTime } from "./asking.ts";
import { pointOf, pouredMl, swapIngredient, timesAll } from "./changed-spec.ts";
import { firstOfEach } from "./first-of-each.ts";
import { idsOf, keepingFew, notSwapped } from "./keeps.ts";
import { type Kept, solveKeeping } from "./solve-keeping.ts";
import { type Solved, solveVariant, type Variant } from "./variant.ts";

/** One way of going about it, with the best proposal of that way. */
export interface Route extends Solved {
  kind: MoveKind;
  name: string;
}

/** What swapping one ingredient for another of its role moves, at the same amount. */
export interface SwapEffect {
  ingredient: string;
  name: string;
  after: Point;
  delta: Vec3;
  /** Axis-scale distance to the target after the swap; negative inside. */
  signedDistance: number;
  text: string;
}

/** Most swaps, syrup strengths and methods solved in full; the rest are ranked out by where they land. */
const SOLVED_PER_KIND = 3;
const ICE_METHODS: readonly Method[] = ["shaken", "stirred", "built", "blended", "crushed"];

/**
 * The whole move vocabulary, one route a kind: pour what is there; let a pantry item in; swap within a
 * role; thin or enrich a syrup; another method; adjust a juice's acid with grams of powder; scale to the
 * glass. Each is solved to its own least change, so "10 mL lime" stands beside "0.6 g citric acid in the
 * pineapple juice". Routes that get there come first, by touched and then by volume changed.
 *
 * Each keeps to the habits of the trade (see `keeps.ts`; `release` lets go of them), and says which had to give: no
 * swap takes out what gives the drink its character or an accent, and another of the drink's own kind comes in only
 * on the way that is about letting it in.
 *
 * Deterministic. Cost: a few tens of solves, which share `timeBudgetMs`; run it off the page's thread.
 */
export function routes(given: SolveRequest): Route[] {
  checkRequest(given);
  const request = keepingFew(given);
  const plain: SolveRequest = { ...request, additions: [], count: 1 };
  const additions = request.additions?.length
    ? [...request.additions]
    : suggestedAdditions(request.spec, request.pantry);
  const powders = acidPowders(request.spec, request.pantry);
  const variants = (
    [
      ["swap", nearestFew(request, swapVariants(request))],
      ["syrup", nearestFew(request, syrupVariants(request))],
      ["method", methodVariants(request)],
      ["scale", scaleVariants(request)],
    ] as const
  ).flatMap(([kind, all]) => all.slice(0, SOLVED_PER_KIND).map((variant) => ({ kind, variant })));
  const time = shareTime(request, 1 + additions.length + powders.length + variants.length);

  const found: Route[] = [
    { kind: "pour", name: "Pour what is there", ...fromSolve(solveKeeping(time.of(plain))) },
  ];
  /** The route, or the news that its turn came too late. */
  const next = (kind: MoveKind, name: string, solved: () => Solved) => {
    found.push({ kind, name, ...(time.isSpent() ? TOO_LATE : solved()) });
  };
  for (const id of additions) {
    const release: KeepId[] = [...(request.release ?? []), "own-kind"];
    next("add", `Let in ${nameOf(request, id)}`, () => {
      return fromSolve(solveKeeping(time.of({ ...plain, additions: [id], release })), id);
    });
  }
  for (const id of powders) {
    next("acid", `Adjust with ${nameOf(request, id)}`, () => {
      const route = fromSolve(solveKeeping(time.of({ ...plain, additions: [id] })), id);
      return { ...route, proposal: route.proposal && intoJuice(request, route.proposal, id) };
    });
  }
  for (const { kind, variant } of variants) {
    // Scaling everything is no ingredient more among the few that change.
    const asked = kind === "scale" ? { ...plain, maxTouched: given.maxTouched } : plain;
    next(kind, variant.name, () => solveVariant(time.of(asked), variant));
  }
  return firstOfEach(found, ({ name }) => name).sort(reachedFirst);
}

/** Every ingredient of the same role in place of one line, and what that moves. Nearest to the target first. */
export function swapEffects(request: SolveRequest, ingredientId: string): SwapEffect[] {
  checkRequest(request);
  const before = pointOf(request, request.spec).vector;
  const target = compileTarget(request.target);
  return alternatives(request, ingredientId)
    .map((to) => {
      const { vector, point } = pointOf(request, swapIngredient(request, ingredientId, to.id));
      const delta = subtract3(vector, before);
      const { signedDistance } = target.membership(vector);
      const text = tellDelta(delta);
      return { ingredient: to.id, name: to.name, after: point, delta, signedDistance, text };
    })
    .sort((a, b) => a.signedDistance - b.signedDistance || a.ingredient.localeCompare(b.ingredient));
}

function tellDelta(delta: Vec3): string {
  const parts = AXIS_INDICES.flatMap((k) => {
    const [{ name, scale }, d] = [AXES[k], delta[k]];
    if (Math.abs(d) < 0.02 * scale) return [];
    return [`${name} ${d > 0 ? "up" : "down"} ${showOnAxis(k, Math.abs(d))}`];
  });
  return parts.length === 0
    ? "moves nothing on these three axes; what it changes is aroma, bitterness and texture, which are not seen here"
    : parts.join(", ");
}

const nameOf = (request: SolveRequest, id: string) => request.pantry.get(id)?.name ?? id;

const TOO_LATE = { status: "no_solution_found", proposal: null, loosened: [] as KeepId[] } as const;

function fromSolve(kept: Kept, mustUse?: string): Solved {
  const { status, proposals } = kept.solved;
  const proposal = proposals[0] ?? null;
  // An addition that the least change does not use is the pour route again.
  const used = mustUse === undefined || proposal?.moves.some((move) => move.ingredient === mustUse);
  return { status, proposal: used ? proposal : null, loosened: idsOf(kept.keeps, "loosened") };
}

/** A powder's dose told as what the bartender does: weigh it into the drink's largest juice. */
function intoJuice(request: SolveRequest, proposal: Proposal, powder: string): Proposal {
  const { volumesMl } = prepareSpec(request.spec, request.pantry, request);
  const juices = request.spec.lines.flatMap((line, i) => {
    const ingredient = request.pantry.get(line.ingredient);
    const isJuice = ingredient?.role === "sweet-juice" || ingredient?.role === "sour-juice";
    return isJuice ? [{ name: ingredient.name, ml: volumesMl[i] ?? 0 }] : [];
  });
  const [juice] = juices.sort((a, b) => b.ml - a.ml);
  const moves = proposal.moves.map((move) => {
    if (move.ingredient !== powder) return move;
    const into = juice ? ` dissolved in the ${juice.name.toLowerCase()}` : " dissolved in the drink";
    return { ...move, kind: "acid" as const, text: `${move.text}${into}` };
  });
  return { ...proposal, moves };
}

/** The drink's ingredients that no lock, bound or rule of the request speaks of. */
function freeIn({ spec, pantry, locks = [], bounds = [], character = [] }: SolveRequest): Ingredient[] {
  const ruled = character.flatMap((rule) => [rule.ingredient, rule.atLeastAsMuchAs]);
  const named = new Set([...locks, ...bounds.map(({ ingredient }) => ingredient), ...ruled]);
  const free = new Set(spec.lines.map((line) => line.ingredient).filter((id) => !named.has(id)));
  return [...free].flatMap((id) => pantry.get(id) ?? []);
}

function alternatives(request: SolveRequest, ingredientId: string): Ingredient[] {
  const from = request.pantry.get(ingredientId);
  if (!from) return [];
  const inDrink = new Set(request.spec.lines.map((line) => line.ingredient));
  return [...request.pantry.values()].filter((to) => to.role === from.role && !inDrink.has(to.id));
}

function exchange(
  request: SolveRequest,
  from: Ingredient,
  to: Ingredient,
  { kind, name }: Pick<Variant, "name"> & Pick<Move, "kind">,
): Variant {
  const ml = pouredMl(request, from.id);
  const spec = swapIngredient(request, from.id, to.id);
  const poured = spec.lines.filter((line) => line.ingredient === to.id);
  const { unit } = poured[0]!;
  const amount = poured.reduce((sum, l) => sum + (l.unit === unit ? l.amount : 0), 0);
  const said = formatAmount(ml, request.ladder, { settings: request.unitSettings, ingredient: to });
  return {
    id: `${kind}:${from.id}>${to.id}`,
    name,
    spec,
    volumeChangedMl: ml,
    move: {
      kind,
      ingredient: to.id,
      replaces: from.id,
      fromMl: ml,
      toMl: ml,
      deltaMl: 0,
      fromAmount: amount,
      toAmount: amount,
      unit,
      text: `${from.name} → ${to.name}, the same ${said}`,
    },
  };
}

function swapVariants(request: SolveRequest): Variant[] {
  const stays = notSwapped(request);
  const swapped = freeIn(request).filter(({ id }) => !stays.has(id));
  return swapped.flatMap((from) =>
    alternatives(request, from.id)
      // Another strength of the same syrup has its own route.
      .filter((to) => to.syrup?.family === undefined || to.syrup.family !== from.syrup?.family)
      .map((to) => exchange(request, from, to, { kind: "swap", name: `Swap ${from.name} for ${to.name}` })),
  );
}

function syrupVariants(request: SolveRequest): Variant[] {
  return freeIn(request).flatMap((from) =>
    [...request.pantry.values()].flatMap((to) => {
      if (!to.syrup || to.syrup.family !== from.syrup?.family || to.id === from.id) return [];
      const verb = totalSugar(to) < totalSugar(from) ? "Thin" : "Enrich";
      return [
        exchange(request, from, to, { kind: "syrup", name: `${verb} ${from.name} to ${to.syrup.ratio}` }),
      ];
    }),
  );
}

const NOTHING_POURED = { fromMl: 0, toMl: 0, deltaMl: 0, fromAmount: 0, toAmount: 0, unit: "ml" } as const;

function methodVariants(request: SolveRequest): Variant[] {
  // A measured glass tells about its own method only.
  if (request.spec.dilution?.model === "measured") return [];
  if (!ICE_METHODS.includes(request.spec.method)) return [];
  // Not every method has a heat balance to correct its curve by.
  const isHeated = request.spec.dilution?.model === "energy";
  const others = ICE_METHODS.filter((method) => {
    return method !== request.spec.method && (!isHeated || METHODS[method].conditions !== null);
  });
  return others.map((method) => ({
    id: `method:${method}`,
    name: `${METHODS[method].name} instead of ${METHODS[request.spec.method].name.toLowerCase()}`,
    spec: { ...request.spec, method },
    volumeChangedMl: 0,
    move: {
      ...NOTHING_POURED,
      kind: "method",
      ingredient: "ice",
      text: `${METHODS[request.spec.method].name} → ${METHODS[method].name.toLowerCase()}`,
    },
  }));
}

/** Everything scaled down to the glass, when the drink as it stands overflows it. */
function scaleVariants(request: SolveRequest): Variant[] {
  if (request.maxFinishedMl === undefined || (request.locks?.length ?? 0) > 0) return [];
  const poured = pouredMl(request);
  const finished = pointOf(request, request.spec).finishedVolumeMl;
  if (finished <= request.maxFinishedMl) return [];
  const factor = request.maxFinishedMl / finished;
  const percent = Math.floor(factor * 100);
  const share = percent / 100;
  return [
    {
      id: "scale",
      name: `Scale everything to ${percent} %`,
      spec: timesAll(request.spec, share),
      volumeChangedMl: poured * (1 - share),
      move: {
        kind: "scale",
        ingredient: "everything",
        fromMl: poured,
        toMl: poured * share,
        deltaMl: poured * (share - 1),
        fromAmount: 100,
        toAmount: percent,
        unit: "part",
        text: `Every amount × ${share.toFixed(2)}`,
      },
    },
  ];
}

/** The variants that land nearest to the target by themselves, nearest first. */
function nearestFew(request: SolveRequest, variants: readonly Variant[]): Variant[] {
  const target = compileTarget(request.target);
  const before = pointOf(request, request.spec).vector;
  const landed = variants
    .map((variant) => ({ variant, after: pointOf(request, variant.spec).vector }))
    .filter(({ after }) => scaledDistance(after, before) > 0.02)
    .map((v) => ({ ...v, atLeast: target.margin(v.after) }))
    .sort((a, b) => a.atLeast - b.atLeast);
  let few: { variant: Variant; distance: number }[] = [];
  for (const { variant, after, atLeast } of landed) {
    // None of those still to come is nearer than it is at least.
    if (few.length === SOLVED_PER_KIND && atLeast > (few.at(-1)?.distance ?? 0)) break;
    few.push({ variant, distance: target.membership(after).signedDistance });
    few.sort((a, b) => a.distance - b.distance || a.variant.id.localeCompare(b.variant.id));
    few = few.slice(0, SOLVED_PER_KIND);
  }
  return few.map(({ variant }) => variant);
}

function reachedFirst(a: Route, b: Route): number {
  if (a.proposal === null || b.proposal === null) {
    return Number(a.proposal === null) - Number(b.proposal === null);
  }
  return (
    byLeastChange(a.proposal, b.proposal) ||
    scaledDistance(toVec(a.proposal.after), toVec(a.proposal.before)) -
      scaledDistance(toVec(b.proposal.after), toVec(b.proposal.before))
  );
}
