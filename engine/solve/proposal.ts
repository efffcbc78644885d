import { amountOnLadder, formatAmount, formatDelta } from "../amounts/format-amount.ts";
import { fromVolumeMl } from "../amounts/units.ts";
import { AXES, AXIS_INDICES, AXIS_SCALE, scaledDistance, showOnAxis, toPoint, toVec } from "../axes.ts";
import type { Finished } from "../dilution/model.ts";
import { doubtedPoint } from "../place/doubted-point.ts";
import type { Membership, Move, Proposal, Role, Spec, SpecLine, Vec3 } from "../types.ts";
import { joinWords, upperFirst } from "../wording.ts";
import { isDrink, type Problem } from "./problem.ts";
import { TRADE_OFFS } from "./trade-offs.ts";

/** Samples along each move's curve. */
const CURVE_STEPS = 16;

/** The order a bartender tries changes in: acid first, then sweetness, then strength, then length. */
const ORDER: readonly Role[] = [
  "sour-juice",
  "acid",
  "sweet-juice",
  "syrup",
  "sugar",
  "liqueur",
  "fortified-wine",
  "wine",
  "bitters",
  "spirit",
  "egg",
  "dairy",
  "tea-coffee",
  "lengthener",
  "other",
];

/** Turn accepted changes into a complete proposal. `delta` is mL by variable; `finished` its true drink. */
export function toProposal(
  problem: Problem,
  delta: ArrayLike<number>,
  finished: Finished,
  before: { point: Vec3; membership: Membership },
): Proposal {
  const { request, variables, target } = problem;
  const settings = request.unitSettings;
  const x = problem.volumes(delta);
  const touched = variables
    .map((_, i) => i)
    .filter((i) => delta[i] !== 0)
    .sort((i, j) => rank(problem, i) - rank(problem, j) || i - j);

  const moves = touched.map((i): Move => {
    const v = variables[i]!;
    const ctx = { settings, ingredient: v.ingredient };
    const toMl = x[i]!;
    const { amount: toAmount, unit } = amountOnLadder(toMl > 0 ? toMl : v.fromMl, request.ladder, ctx);
    const from = formatAmount(v.fromMl, request.ladder, ctx);
    const to = formatAmount(toMl, request.ladder, ctx);
    const kind = v.fromMl === 0 ? "add" : toMl === 0 ? "drop" : "pour";
    const name = v.shortName;
    const text =
      kind === "add"
        ? `${name}: add ${to}`
        : kind === "drop"
          ? `${name}: leave out (was ${from})`
          : `${name}: ${from} → ${to} (${formatDelta(toMl - v.fromMl, request.ladder, ctx)})`;
    return {
      kind,
      ingredient: v.ingredient.id,
      fromMl: v.fromMl,
      toMl,
      deltaMl: toMl - v.fromMl,
      fromAmount: fromVolumeMl(v.fromMl, unit, ctx),
      toAmount: toMl > 0 ? toAmount : 0,
      unit,
      text,
    };
  });

  const spec = changedSpec(problem, x, touched, moves, finished);
  const volumeChangedMl = moves.reduce((sum, m) => sum + Math.abs(m.deltaMl), 0);
  const prices = touched.map((i) => request.prices?.get(variables[i]!.ingredient.id));
  const costChange = prices.every((p) => p !== undefined)
    ? moves.reduce((sum, m, k) => sum + (m.deltaMl * prices[k]!) / 1000, 0)
    : null;
  const path = curve(problem, x, touched);
  return {
    id: touched.map((i) => `${variables[i]!.key}:${Math.round(x[i]! * 100) / 100}`).join("+"),
    name: nameOf(moves, (k) => variables[touched[k]!]!.shortName),
    moves,
    spec,
    before: toPoint(before.point),
    after: toPoint(finished.point),
    afterSd: doubtedPoint(spec, request.pantry, { unitSettings: settings }).sd,
    touched: touched.length,
    volumeChangedMl,
    probabilityInside: null,
    centreDistance: target.centreDistance(finished.point),
    driftFromFirst: scaledDistance(finished.point, problem.firstPoint),
    costChange,
    finishedVolumeMl: finished.finishedVolumeMl,
    why: why(problem, before, finished, touched, path),
    path,
    bestAt: [],
  };
}

function rank(problem: Problem, i: number): number {
  return ORDER.indexOf(problem.variables[i]!.ingredient.role);
}

/** The spec with the changed lines in the ladder's units; lines left out go, additions come last. */
function changedSpec(
  problem: Problem,
  x: number[],
  touched: number[],
  moves: Move[],
  finished: Finished,
): Spec {
  const { request, variables } = problem;
  const { spec } = request;
  const lines: SpecLine[] = [];
  variables.forEach((v, i) => {
    const k = touched.indexOf(i);
    const old = v.line === null ? null : spec.lines[v.line]!;
    if (k < 0) {
      if (old) lines.push({ ...old });
      return;
    }
    if (x[i] === 0) return;
    const move = moves[k]!;
    lines.push({
      ...(old ?? { ingredient: v.ingredient.id }),
      amount: move.toAmount,
      unit: move.unit,
    });
  });
  const { dilution } = spec;
  if (dilution?.model !== "measured") return { ...spec, lines };
  // The measured glass was the old drink: what carries over is its water per mL poured.
  return { ...spec, lines, dilution: { model: "measured", waterMl: finished.waterMl, sdMl: dilution.sdMl } };
}

/** The curve the finished drink runs along, move by move, as each amount goes from old to new. */
function curve(problem: Problem, x: number[], touched: number[]): Proposal["path"] {
  const at = problem.variables.map((v) => v.fromMl);
  return touched.map((i) => {
    const from = at[i]!;
    const points: Vec3[] = [];
    for (let step = 0; step <= CURVE_STEPS; step += 1) {
      at[i] = step === CURVE_STEPS ? x[i]! : from + ((x[i]! - from) * step) / CURVE_STEPS;
      if (isDrink(at)) points.push(problem.model.finish(at).point);
    }
    return { ingredient: problem.variables[i]!.ingredient.id, points };
  });
}

/** "More lime juice", "More lime juice, less simple syrup", "Let in lemon juice". */
function nameOf(moves: Move[], name: (k: number) => string): string {
  const groups: [string, (m: Move) => boolean][] = [
    ["let in", (m) => m.kind === "add"],
    ["more", (m) => m.kind === "pour" && m.deltaMl > 0],
    ["less", (m) => m.kind === "pour" && m.deltaMl < 0],
    ["no", (m) => m.kind === "drop"],
  ];
  const parts = groups.flatMap(([word, test]) => {
    const names = moves.flatMap((m, k) => (test(m) ? [name(k)] : []));
    return names.length > 0 ? [`${word} ${joinWords(names)}`] : [];
  });
  const text = parts.join(", ");
  return upperFirst(text);
}

/** One sentence: what was out, and which move brings it in, from where to where. */
function why(
  problem: Problem,
  before: { point: Vec3; membership: Membership },
  finished: Finished,
  touched: number[],
  path: Proposal["path"],
): string {
  const after = finished.point;
  // The axes that must move: those on which the old drink and its nearest inside point differ.
  const nearest = toVec(before.membership.nearest);
  const gaps = AXIS_INDICES.map((k) => Math.abs(nearest[k] - before.point[k]) / AXIS_SCALE[k]);
  const most = Math.max(...gaps);
  const needed = AXIS_INDICES.filter((k) => most > 0 && gaps[k]! >= 0.25 * most);
  const byMove = path.map(({ points }): readonly number[] => {
    const [a, b] = [points[0], points.at(-1)];
    return a && b ? [b[0] - a[0], b[1] - a[1], b[2] - a[2]] : [0, 0, 0];
  });
  // A change that the shown decimals hide says nothing.
  const shown = needed.filter((k) => showOnAxis(k, before.point[k]) !== showOnAxis(k, after[k]));
  const phrases = shown.map((k) => {
    const wanted = Math.sign(after[k] - before.point[k]);
    let best = 0;
    byMove.forEach((shift, m) => {
      if (wanted * shift[k]! > wanted * (byMove[best]?.[k] ?? 0)) best = m;
    });
    const name = touched.length > 0 ? problem.variables[touched[best]!]!.shortName : "the change";
    const verb = wanted >= 0 ? "lifts" : "brings down";
    return `${name} ${verb} ${AXES[k].name} from ${showOnAxis(k, before.point[k])} to ${showOnAxis(k, after[k])} ${AXES[k].unit}`;
  });
  if (needed.length === 0) {
    return `The drink was inside ${problem.target.name} already; this also meets the other limits you set.`;
  }
  if (phrases.length === 0) return "The drink was a trace outside, and this is just enough to bring it in.";
  const text = joinWords(phrases);
  const rest = AXIS_INDICES.filter((k) => !shown.includes(k)).map((k) => AXES[k].name);
  const tail = rest.length > 0 ? `; ${joinWords(rest)} ${rest.length > 1 ? "end" : "ends"} in range` : "";
  return `${upperFirst(text)}${tail}.`;
}

/** Mark each proposal with the trade-offs it is best at (ties share). */
export function markBest(proposals: Proposal[]): void {
  for (const { bestAt, of } of TRADE_OFFS) {
    const values = proposals.map(of);
    if (values.some((v) => v === null)) continue;
    const best = Math.min(...(values as number[]));
    proposals.forEach((p, i) => {
      if (values[i]! <= best + 1e-9) p.bestAt.push(bestAt);
    });
  }
}
