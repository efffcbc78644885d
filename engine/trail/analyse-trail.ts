import { AXES, AXIS_INDICES, scaledDistance, toVec } from "../axes.ts";
import { EngineError, type FieldIssue, under } from "../errors.ts";
import { subtract3 } from "../linalg.ts";
import { type PlaceOptions, place } from "../place/place.ts";
import { formatAxisGap } from "../targets/words.ts";
import type { Pantry, Round, Trail, TrailChange, TrailStep, Vec3 } from "../types.ts";
import { upperFirst } from "../wording.ts";
import { type Change, changesBetween, type Difference } from "./changes.ts";
import { shapleyShares } from "./shapley.ts";

/** Steps with more changes than this have the smallest pooled, so that 2ⁿ evaluations stay few. */
export const MOST_EXACT_CHANGES = 12;

/** A step shorter than this (axis-scale units) is said to move nothing. */
const STILL = 0.02;

/** Within a step, an axis that moves less than this (axis-scale units) is left out of the words. */
const SMALL_ON_AXIS = 0.03;

/**
 * Follow a bench: where each round sits, its drift from the first, and for every parent → child step which
 * change did what. A step's vector is split among its changes by Shapley's rule, exactly: each change's
 * average effect over all orders in which the changes could have been made, so the shares of a step sum to
 * its vector whatever the interaction through dilution and volume. The first round is the earliest without a
 * parent (rounds in the order given).
 *
 * Units: vectors and shares in axis units (sugar g/100 mL, acid g/100 mL, ABV % vol); drift and lengths in
 * axis-scale units. Errors: EngineError for repeated ids, unknown parents, loops, and specs that cannot be
 * placed, by pointer below /rounds.
 */
export function analyseTrail(rounds: readonly Round[], pantry: Pantry, options: PlaceOptions = {}): Trail {
  requireTree(rounds);
  const placed = rounds.map(({ id, number, parent, spec }, i) => {
    const placement = under(`/rounds/${i}/spec`, () => place(spec, pantry, options));
    return { id, number, parent, placement, point: toVec(placement.point) };
  });
  const first = placed.find(({ parent }) => parent === null);
  if (!first) return { rounds: [], steps: [] };
  return {
    rounds: placed.map(({ point, ...round }) => ({
      ...round,
      drift: scaledDistance(point, first.point),
      driftVector: subtract3(point, first.point),
    })),
    steps: rounds.flatMap((round) => {
      const parent = rounds.find(({ id }) => id === round.parent);
      return parent ? [describeStep(parent, round, pantry, options)] : [];
    }),
  };
}

function requireTree(rounds: readonly Round[]): void {
  const issues: FieldIssue[] = [];
  const index = new Map<string, number>();
  rounds.forEach((round, i) => {
    const known = index.get(round.id);
    if (known !== undefined) {
      issues.push({
        pointer: `/rounds/${i}/id`,
        detail: `"${round.id}" is already the id of round ${known + 1} in the list`,
        remedy: "give each round its own id",
      });
    } else index.set(round.id, i);
  });
  rounds.forEach((round, i) => {
    if (round.parent === null) return;
    let at: Round | undefined = round;
    for (let steps = 0; at && at.parent !== null; steps++) {
      const parent: number | undefined = index.get(at.parent);
      if (at === round && parent === undefined) {
        issues.push({
          pointer: `/rounds/${i}/parent`,
          detail: `"${round.parent}" is no round of this bench`,
          remedy: "name the round it was changed from, or null for the first",
        });
      }
      if (steps > rounds.length) {
        issues.push({
          pointer: `/rounds/${i}/parent`,
          detail: "following the parents from here goes round in a loop",
          remedy: "give the first round no parent (null)",
        });
        break;
      }
      at = parent === undefined ? undefined : rounds[parent];
    }
  });
  if (issues.length > 0) throw new EngineError(issues);
}

function describeStep(parent: Round, child: Round, pantry: Pantry, options: PlaceOptions): TrailStep {
  const difference = changesBetween(parent.spec, child.spec, pantry, options);
  const { slots, modelBefore, modelAfter } = difference;
  const from = modelBefore.finish(slots.map(({ beforeMl }) => beforeMl)).point;
  const to = modelAfter.finish(slots.map(({ afterMl }) => afterMl)).point;
  const vector = subtract3(to, from);
  const shared = shareOut(difference, from, vector);
  const lengthScaled = scaledDistance(from, to);
  return {
    from: parent.id,
    to: child.id,
    vector,
    lengthScaled,
    changes: shared.map(
      ({ ingredient, kind, fromMl, toMl, text, share }): TrailChange => ({
        ingredient,
        kind,
        fromMl,
        toMl,
        text,
        share,
      }),
    ),
    text: `Round ${parent.number} → ${child.number}: ${stepText(vector, lengthScaled, shared)}`,
  };
}

/** A change of a step with its Shapley share. */
type SharedChange = Change & { share: Vec3 };

/** Split a step among its changes (pooled beyond MOST_EXACT_CHANGES, or when taken apart they leave an empty glass). */
function shareOut(difference: Difference, start: Vec3, vector: Vec3): SharedChange[] {
  const { slots, modelBefore, modelAfter } = difference;
  /** The drink with only the `made` changes made; null when nothing is left in the glass. */
  const drink = (made: readonly Change[]): Vec3 | null => {
    const moved = new Set(made.flatMap((change) => change.slots));
    const volumes = slots.map((slot) => (moved.has(slot) ? slot.afterMl : slot.beforeMl));
    if (!volumes.some((ml) => ml > 0)) return null;
    return (made.some((change) => change.dilution) ? modelAfter : modelBefore).finish(volumes).point;
  };
  const changes =
    difference.changes.length <= MOST_EXACT_CHANGES
      ? difference.changes
      : poolSmallest(difference.changes, (change) => {
          const alone = drink([change]);
          return alone ? scaledDistance(alone, start) : Infinity;
        });
  const coalition = (mask: number) => changes.filter((_, i) => (mask & (1 << i)) !== 0);
  const shares = shapleyShares(changes.length, (mask) => drink(coalition(mask)));
  // Taken alone, the drops empty the glass: what leaves and what comes in is one change.
  if (shares === null) return [{ ...pool(changes, "a new drink"), share: vector }];
  return changes.map((change, i) => ({ ...change, share: shares[i]! }));
}

/** Join the changes with the least effect on their own into one, leaving MOST_EXACT_CHANGES. */
function poolSmallest(changes: readonly Change[], effect: (change: Change) => number): Change[] {
  const ranked = changes
    .map((change) => ({ change, size: effect(change) }))
    .sort((a, b) => b.size - a.size)
    .map(({ change }) => change);
  const kept = ranked.slice(0, MOST_EXACT_CHANGES - 1);
  const rest = ranked.slice(MOST_EXACT_CHANGES - 1);
  return [...kept, pool(rest, `the ${rest.length} smallest changes together`)];
}

function pool(changes: readonly Change[], heading: string): Change {
  return {
    ingredient: "several",
    kind: "pour",
    fromMl: changes.reduce((sum, c) => sum + c.fromMl, 0),
    toMl: changes.reduce((sum, c) => sum + c.toMl, 0),
    text: `${heading}: ${changes.map((c) => c.text).join("; ")}`,
    subject: "the pooled changes",
    slots: changes.flatMap((c) => c.slots),
    dilution: changes.some((c) => c.dilution),
  };
}

/** "Acid 0.11 up (Lime juice +0.13), sugar 1.2 down (Maple syrup −1.5)." */
function stepText(vector: Vec3, lengthScaled: number, changes: readonly SharedChange[]): string {
  if (changes.length === 0) return "nothing changed.";
  const made = changes.map((change) => change.text).join("; ");
  if (lengthScaled < STILL) return `${made}. It moves next to nothing on this map.`;
  const axes = AXIS_INDICES.filter((k) => Math.abs(vector[k]) / AXES[k].scale >= SMALL_ON_AXIS).sort(
    (i, j) => Math.abs(vector[j]) / AXES[j].scale - Math.abs(vector[i]) / AXES[i].scale,
  );
  const words = axes.map((k) => {
    const moved = `${AXES[k].name} ${formatAxisGap(k, Math.abs(vector[k]))} ${vector[k] > 0 ? "up" : "down"}`;
    if (changes.length === 1) return moved;
    const main = changes.reduce((a, b) => (b.share[k] * vector[k] > a.share[k] * vector[k] ? b : a));
    const sign = main.share[k] < 0 ? "−" : "+";
    return `${moved} (${main.subject} ${sign}${formatAxisGap(k, Math.abs(main.share[k]))})`;
  });
  return `${made}. ${upperFirst(words.join(", "))}.`;
}
