import { AXES, AXIS_INDICES, scaledDistance, toScaled, toVec } from "../axes.ts";
import { Issues, under } from "../errors.ts";
import { subtract3 } from "../linalg.ts";
import { type PlaceOptions, place } from "../place/place.ts";
import { formatAxisGap } from "../targets/words.ts";
import type { Pantry, Round, Trail, TrailStep, Vec3 } from "../types.ts";
import { upperFirst } from "../wording.ts";
import { type Change, changeOf, changesBetween, type Difference } from "./changes.ts";
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
  const issues = new Issues();
  rounds.forEach(({ id }, i) => {
    const first = rounds.findIndex((round) => round.id === id);
    const detail = `"${id}" is already the id of round ${first + 1} in the list`;
    if (first < i) issues.add(`/rounds/${i}/id`, detail, "give each round its own id");
  });
  const parentOf = ({ parent }: Round) => rounds.find(({ id }) => id === parent);
  rounds.forEach((round, i) => {
    const pointer = `/rounds/${i}/parent`;
    let at = parentOf(round);
    if (!at && round.parent !== null) {
      const remedy = "name the round it was changed from, or null for the first";
      issues.add(pointer, `"${round.parent}" is no round of this bench`, remedy);
    }
    for (let steps = 0; at && steps <= rounds.length; steps++) at = parentOf(at);
    if (at) {
      const detail = "following the parents from here goes round in a loop";
      issues.add(pointer, detail, "give the first round no parent (null)");
    }
  });
  issues.throwAny();
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
    changes: shared.map(({ subject: _, slots: __, dilution: ___, ...told }) => told),
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
  const changes = poolSmallest(difference.changes, (change) => {
    const alone = drink([change]);
    return alone ? scaledDistance(alone, start) : Infinity;
  });
  const coalition = (mask: number) => changes.filter((_, i) => (mask & (1 << i)) !== 0);
  const shares = shapleyShares(changes.length, (mask) => drink(coalition(mask)));
  // Taken alone, the drops empty the glass: what leaves and what comes in is one change.
  if (shares === null) return [{ ...pool(changes, "a new drink"), share: vector }];
  return changes.map((change, i) => ({ ...change, share: shares[i]! }));
}

/** With more than MOST_EXACT_CHANGES, those with the least effect on their own are joined into one. */
function poolSmallest(changes: readonly Change[], effect: (change: Change) => number): readonly Change[] {
  if (changes.length <= MOST_EXACT_CHANGES) return changes;
  const ranked = changes
    .map((change) => ({ change, size: effect(change) }))
    .sort((a, b) => b.size - a.size)
    .map(({ change }) => change);
  const rest = ranked.splice(MOST_EXACT_CHANGES - 1);
  return [...ranked, pool(rest, `the ${rest.length} smallest changes together`)];
}

function pool(changes: readonly Change[], heading: string): Change {
  return changeOf(
    changes.flatMap((change) => change.slots),
    {
      ingredient: "several",
      kind: "pour",
      text: `${heading}: ${changes.map((change) => change.text).join("; ")}`,
      subject: "the pooled changes",
      dilution: changes.some((change) => change.dilution),
    },
  );
}

/** "Acid 0.11 up (Lime juice +0.13), sugar 1.2 down (Maple syrup −1.5)." */
function stepText(vector: Vec3, lengthScaled: number, changes: readonly SharedChange[]): string {
  if (changes.length === 0) return "nothing changed.";
  const made = changes.map((change) => change.text).join("; ");
  if (lengthScaled < STILL) return `${made}. It moves next to nothing on this map.`;
  const size = toScaled(vector).map(Math.abs);
  const axes = AXIS_INDICES.filter((k) => size[k]! >= SMALL_ON_AXIS).sort((i, j) => size[j]! - size[i]!);
  const words = axes.map((k) => {
    const moved = `${AXES[k].name} ${formatAxisGap(k, Math.abs(vector[k]))} ${vector[k] > 0 ? "up" : "down"}`;
    if (changes.length === 1) return moved;
    const main = changes.reduce((a, b) => (b.share[k] * vector[k] > a.share[k] * vector[k] ? b : a));
    const sign = main.share[k] < 0 ? "−" : "+";
    return `${moved} (${main.subject} ${sign}${formatAxisGap(k, Math.abs(main.share[k]))})`;
  });
  return `${made}. ${upperFirst(words.join(", "))}.`;
}
