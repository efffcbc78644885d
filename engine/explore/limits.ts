import type { SolveRequest } from "../solve/request.ts";
import { formatNumber } from "../targets/words.ts";
import type { Interval, TargetSpec } from "../types.ts";
import { lowerFirst } from "../wording.ts";
import type { Keep } from "./keeps.ts";

/** One removable limit of a request, in words, and the request without it. */
export interface Limit {
  id: string;
  kind: "target" | "lock" | "bound" | "max-touched" | "glass" | "character" | "drift" | "chance" | "keep";
  text: string;
}

interface TargetSide {
  id: string;
  text: string;
  part: TargetSpec;
}

/** A target as its atomic sides: one box side, one ratio side, one half-space or one ellipsoid each. */
export function targetSides(target: TargetSpec): TargetSide[] {
  const sides: TargetSide[] = [];
  const walk = (spec: TargetSpec) => {
    const of = spec.name ? ` of ${spec.name}` : "";
    const push = (what: string, text: string, part: TargetSpec) =>
      sides.push({ id: `target:${what}:${sides.length}`, text: `${text}${of}`, part });
    switch (spec.kind) {
      case "intersection":
        for (const part of spec.parts) walk(part);
        return;
      case "ellipsoid":
        push("ellipsoid", "the region", spec);
        return;
      case "half-space":
        push("half-space", "the half-space", spec);
        return;
      case "ratio":
        if (spec.min !== null)
          push("ratio-floor", `sugar:acid at least ${formatNumber(spec.min)}`, {
            ...spec,
            min: spec.min,
            max: null,
          });
        if (spec.max !== null)
          push("ratio-ceiling", `sugar:acid at most ${formatNumber(spec.max)}`, {
            ...spec,
            min: null,
            max: spec.max,
          });
        return;
      case "box": {
        const axes = [
          ["sugarGPer100Ml", "sugar", "g/100 mL"],
          ["acidGPer100Ml", "acid", "g/100 mL"],
          ["abvPercent", "ABV", "% vol"],
        ] as const;
        for (const [key, word, unit] of axes) {
          const [low, high]: Interval = spec[key] ?? [null, null];
          if (low !== null) {
            push(`${word}-floor`, `${word} at least ${formatNumber(low)} ${unit}`, {
              kind: "box",
              [key]: [low, null],
            });
          }
          if (high !== null) {
            push(`${word}-ceiling`, `${word} at most ${formatNumber(high)} ${unit}`, {
              kind: "box",
              [key]: [null, high],
            });
          }
        }
      }
    }
  };
  walk(target);
  return sides;
}

/** Every limit of a request that could be at fault: the user's first, then the habits kept, target sides last. */
export function limitsOf(request: SolveRequest, keeps: readonly Keep[] = []): Limit[] {
  const name = (id: string) => request.pantry.get(id)?.name ?? id;
  const limits: Limit[] = [];
  if (request.minProbability !== undefined) {
    limits.push({
      id: "chance",
      kind: "chance",
      text: `a chance of at least ${Math.round(request.minProbability * 100)} % of being inside`,
    });
  }
  if (request.driftBudget !== undefined) {
    limits.push({
      id: "drift",
      kind: "drift",
      text: `drift of at most ${request.driftBudget} from the first round`,
    });
  }
  request.character?.forEach((rule, i) => {
    const text =
      rule.atLeastAsMuchAs === undefined
        ? `${name(rule.ingredient)} at least ${rule.minSharePercent} % of the glass`
        : `${name(rule.ingredient)} at least as much as ${name(rule.atLeastAsMuchAs)}`;
    limits.push({ id: `character:${i}`, kind: "character", text });
  });
  for (const id of new Set(request.locks)) {
    limits.push({ id: `lock:${id}`, kind: "lock", text: `the lock on ${name(id)}` });
  }
  request.bounds?.forEach((bound, i) => {
    const low = bound.minMl === undefined ? "" : ` at least ${round1(bound.minMl)} mL`;
    const high = bound.maxMl === undefined ? "" : ` at most ${round1(bound.maxMl)} mL`;
    limits.push({ id: `bound:${i}`, kind: "bound", text: `${name(bound.ingredient)}${low}${high}` });
  });
  if (request.maxFinishedMl !== undefined) {
    limits.push({
      id: "glass",
      kind: "glass",
      text: `a finished drink of at most ${round1(request.maxFinishedMl)} mL`,
    });
  }
  if (request.maxTouched !== undefined) {
    limits.push({
      id: "max-touched",
      kind: "max-touched",
      text: `at most ${request.maxTouched} ingredients touched`,
    });
  }
  for (const { id, text, state } of keeps) {
    if (state === "kept") limits.push({ id: `keep:${id}`, kind: "keep", text: lowerFirst(text) });
  }
  for (const side of targetSides(request.target)) {
    limits.push({ id: side.id, kind: "target", text: side.text });
  }
  return limits;
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
  const parts = targetSides(request.target).filter((side) => kept.has(side.id));
  if (parts.length === 0) return null;
  const name = request.target.name === undefined ? {} : { name: request.target.name };
  const whole = parts.length === targetSides(request.target).length;
  return {
    ...request,
    target: whole ? request.target : { kind: "intersection", ...name, parts: parts.map((side) => side.part) },
    minProbability: kept.has("chance") ? request.minProbability : undefined,
    driftBudget: kept.has("drift") ? request.driftBudget : undefined,
    character: request.character?.filter((_, i) => kept.has(`character:${i}`)),
    locks: request.locks?.filter((id) => kept.has(`lock:${id}`)),
    bounds: request.bounds?.filter((_, i) => kept.has(`bound:${i}`)),
    maxFinishedMl: kept.has("glass") ? request.maxFinishedMl : undefined,
    maxTouched: kept.has("max-touched") ? request.maxTouched : undefined,
    release: [
      ...(request.release ?? []),
      ...keeps.flatMap(({ id, state }) => (state === "kept" && !kept.has(`keep:${id}`) ? [id] : [])),
    ],
  };
}

const round1 = (x: number) => Math.round(x * 10) / 10;
