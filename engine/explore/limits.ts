import { AXES, AXIS_INDICES } from "../axes.ts";
import type { SolveRequest } from "../solve/request.ts";
import { formatNumber, limitLabel } from "../targets/words.ts";
import type { Bound, CharacterRule, Interval, TargetSpec } from "../types.ts";
import { lowerFirst } from "../wording.ts";
import { idsOf, type Keep } from "./keeps.ts";

/** One removable limit of a request, in words, and the request without it. */
export interface Limit {
  id: string;
  kind: "target" | "lock" | "bound" | "max-touched" | "glass" | "character" | "drift" | "chance" | "keep";
  text: string;
}

interface TargetSide extends Pick<Limit, "id" | "text"> {
  part: TargetSpec;
}

/** A target as its atomic sides: one box side, one ratio side, one half-space or one ellipsoid each. */
function targetSides(target: TargetSpec): TargetSide[] {
  return sidesOf(target).map((side, i) => ({ ...side, id: `target:${side.id}:${i}` }));
}

function sidesOf(spec: TargetSpec): TargetSide[] {
  const of = spec.name ? ` of ${spec.name}` : "";
  const side = (id: string, text: string, part: TargetSpec) => ({ id, text: `${text}${of}`, part });
  /** A side for an end of a range, where it is not open. */
  const at = (end: number | null, sideOf: (end: number) => TargetSide) => (end === null ? [] : [sideOf(end)]);
  switch (spec.kind) {
    case "intersection":
      return spec.parts.flatMap(sidesOf);
    case "ellipsoid":
      return [side("ellipsoid", "the region", spec)];
    case "half-space":
      return [side("half-space", "the half-space", spec)];
    case "ratio": {
      const label = (word: string, end: number) => `sugar:acid at ${word} ${formatNumber(end)}`;
      return [
        ...at(spec.min, (min) => side("ratio-floor", label("least", min), { ...spec, min, max: null })),
        ...at(spec.max, (max) => side("ratio-ceiling", label("most", max), { ...spec, min: null, max })),
      ];
    }
    case "box":
      return AXIS_INDICES.flatMap((k) => {
        const { key, name } = AXES[k];
        const [low, high] = spec[key] ?? [null, null];
        const box = (end: "floor" | "ceiling", limit: number, range: Interval) =>
          side(`${name}-${end}`, limitLabel({ of: k, side: end, value: limit }), {
            kind: "box",
            [key]: range,
          });
        return [
          ...at(low, (limit) => box("floor", limit, [limit, null])),
          ...at(high, (limit) => box("ceiling", limit, [null, limit])),
        ];
      });
  }
}

/** Every limit of a request that could be at fault: the user's first, then the habits kept, target sides last. */
export function limitsOf(request: SolveRequest, keeps: readonly Keep[] = []): Limit[] {
  const name = (id: string) => request.pantry.get(id)?.name ?? id;
  const ofRule = ({ ingredient, minSharePercent, atLeastAsMuchAs }: CharacterRule) =>
    atLeastAsMuchAs === undefined
      ? `${name(ingredient)} at least ${minSharePercent} % of the glass`
      : `${name(ingredient)} at least as much as ${name(atLeastAsMuchAs)}`;
  const ofBound = ({ ingredient, minMl, maxMl }: Bound) => {
    const low = minMl === undefined ? "" : ` at least ${round1(minMl)} mL`;
    const high = maxMl === undefined ? "" : ` at most ${round1(maxMl)} mL`;
    return `${name(ingredient)}${low}${high}`;
  };
  type Kind = Limit["kind"];
  /** A limit that is one figure, where the request has it. */
  const figure = (kind: Kind, value: number | undefined, text: (value: number) => string): Limit[] =>
    value === undefined ? [] : [{ id: kind, kind, text: text(value) }];
  const limit = (kind: Kind, key: string | number, text: string) => ({ id: `${kind}:${key}`, kind, text });
  return [
    ...figure("chance", request.minProbability, (p) => {
      return `a chance of at least ${Math.round(p * 100)} % of being inside`;
    }),
    ...figure("drift", request.driftBudget, (d) => `drift of at most ${d} from the first round`),
    ...(request.character ?? []).map((rule, i) => limit("character", i, ofRule(rule))),
    ...[...new Set(request.locks)].map((id) => limit("lock", id, `the lock on ${name(id)}`)),
    ...(request.bounds ?? []).map((bound, i) => limit("bound", i, ofBound(bound))),
    ...figure("glass", request.maxFinishedMl, (ml) => `a finished drink of at most ${round1(ml)} mL`),
    ...figure("max-touched", request.maxTouched, (n) => `at most ${n} ingredients touched`),
    ...keeps
      .filter(({ state }) => state === "kept")
      .map(({ id, text }) => limit("keep", id, lowerFirst(text))),
    ...targetSides(request.target).map(({ id, text }): Limit => ({ id, kind: "target", text })),
  ];
}

/**
 * The request with only the limits in `kept`, the rest lifted. Returns null when no target side is
 * kept, for then anything is inside and there is nothing to solve.
 */
export function withLimits(
  request: SolveRequest,
  kept: ReadonlySet<string>,
  keeps: readonly Keep[] = [],
): SolveRequest | null {
  const sides = targetSides(request.target);
  const parts = sides.filter((side) => kept.has(side.id)).map(({ part }) => part);
  if (parts.length === 0) return null;
  const name = request.target.name === undefined ? {} : { name: request.target.name };
  const isWhole = parts.length === sides.length;
  return {
    ...request,
    target: isWhole ? request.target : { kind: "intersection", ...name, parts },
    minProbability: kept.has("chance") ? request.minProbability : undefined,
    driftBudget: kept.has("drift") ? request.driftBudget : undefined,
    character: request.character?.filter((_, i) => kept.has(`character:${i}`)),
    locks: request.locks?.filter((id) => kept.has(`lock:${id}`)),
    bounds: request.bounds?.filter((_, i) => kept.has(`bound:${i}`)),
    maxFinishedMl: kept.has("glass") ? request.maxFinishedMl : undefined,
    maxTouched: kept.has("max-touched") ? request.maxTouched : undefined,
    release: [...(request.release ?? []), ...idsOf(keeps, "kept").filter((id) => !kept.has(`keep:${id}`))],
  };
}

const round1 = (x: number) => Math.round(x * 10) / 10;
