import { formatAmount } from "../amounts/format-amount.ts";
import { METHODS } from "../dilution/methods.ts";
import { createMixModel, type MixModel } from "../dilution/model.ts";
import type { PlaceOptions } from "../place/place.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import { SAME_AMOUNT } from "../tolerances.ts";
import type { Ingredient, MoveKind, Pantry, Spec, Stage, UnitId } from "../types.ts";

/** An ingredient at one stage in either of two specs. */
export interface Slot {
  ingredient: Ingredient;
  stage: Stage;
  beforeMl: number;
  afterMl: number;
}

/** One change between two specs: which volumes it sets, and whether it changes the water from ice. */
export interface Change {
  ingredient: string;
  kind: MoveKind;
  fromMl: number;
  toMl: number;
  text: string;
  /** What it is called inside a sentence. */
  subject: string;
  slots: Slot[];
  dilution: boolean;
}

/** Two specs laid over one list of slots, and what differs between them. */
export interface Difference {
  changes: Change[];
  slots: Slot[];
  /** The map from volumes to the drink, with the earlier and the later way of diluting. */
  modelBefore: MixModel;
  modelAfter: MixModel;
}

/** A swap keeps an amount within this factor; a bigger jump is a drop and an addition. */
const SWAP_FACTOR = 2;

interface Held {
  item: Ingredient;
  slots: Slot[];
  beforeMl: number;
  afterMl: number;
  moved: boolean;
  unit: UnitId;
}

/** Find the changes between two specs. Errors: EngineError as from prepareSpec. */
export function changesBetween(parent: Spec, child: Spec, pantry: Pantry, options: PlaceOptions): Difference {
  const slots: Slot[] = [];
  const units = new Map<string, UnitId>();
  const fill = (spec: Spec, side: "beforeMl" | "afterMl") => {
    const { model, volumesMl } = prepareSpec(spec, pantry, options);
    const seen = new Set<string>();
    model.ingredients.forEach((ingredient, line) => {
      const stage = model.stages[line]!;
      let slot = slots.find((s) => s.ingredient.id === ingredient.id && s.stage === stage);
      if (!slot) {
        slot = { ingredient, stage, beforeMl: 0, afterMl: 0 };
        slots.push(slot);
      }
      slot[side] += volumesMl[line]!;
      // Several lines of one ingredient have no one unit of their own.
      units.set(ingredient.id, seen.has(ingredient.id) ? "ml" : spec.lines[line]!.unit);
      seen.add(ingredient.id);
    });
  };
  fill(parent, "beforeMl");
  fill(child, "afterMl");
  const modelOf = ({ method, dilution }: Spec, side: "beforeMl" | "afterMl") =>
    createMixModel(
      slots,
      method,
      dilution,
      slots.map((slot) => slot[side]),
    );
  const modelBefore = modelOf(parent, "beforeMl");
  const modelAfter = modelOf(child, "afterMl");

  const held = new Map<string, Held>();
  for (const slot of slots) {
    const { ingredient, beforeMl, afterMl } = slot;
    const h = held.get(ingredient.id) ?? {
      item: ingredient,
      slots: [],
      beforeMl: 0,
      afterMl: 0,
      moved: false,
      unit: units.get(ingredient.id) ?? "ml",
    };
    held.set(ingredient.id, h);
    h.slots.push(slot);
    h.beforeMl += beforeMl;
    h.afterMl += afterMl;
    h.moved ||= Math.abs(afterMl - beforeMl) > SAME_AMOUNT * (beforeMl + afterMl);
  }
  const amount = (h: Held, ml: number) =>
    formatAmount(ml, h.unit, { ingredient: h.item, settings: options.unitSettings });

  const changes: Change[] = [];
  const scale = scaleChange([...held.values()], slots.length);
  if (scale) changes.push(scale);
  else {
    const altered = [...held.values()].filter((h) => h.moved);
    const swaps = pairSwaps(altered);
    const swapped = new Set(swaps.flat());
    for (const h of altered) {
      const swap = swaps.find(([out]) => out === h);
      if (swap) {
        const [out, into] = swap;
        const syrup = out.item.syrup !== undefined && out.item.syrup.family === into.item.syrup?.family;
        changes.push({
          ingredient: into.item.id,
          kind: syrup ? "syrup" : "swap",
          fromMl: out.beforeMl,
          toMl: into.afterMl,
          text: `${into.item.name} (${amount(into, into.afterMl)}) for ${out.item.name} (${amount(out, out.beforeMl)})`,
          subject: into.item.name,
          slots: [...out.slots, ...into.slots],
          dilution: false,
        });
      } else if (!swapped.has(h)) changes.push(ownChange(h, amount));
    }
  }
  const water = waterChange(parent, child, modelBefore, modelAfter);
  if (water) changes.push(water);
  return { changes, slots, modelBefore, modelAfter };
}

function ownChange(h: Held, amount: (h: Held, ml: number) => string): Change {
  const { item, beforeMl, afterMl } = h;
  const added = beforeMl === 0;
  const dropped = afterMl === 0;
  const text = added
    ? `${item.name} added, ${amount(h, afterMl)}`
    : dropped
      ? `${item.name} dropped (was ${amount(h, beforeMl)})`
      : Math.abs(afterMl - beforeMl) <= SAME_AMOUNT * (afterMl + beforeMl)
        ? `${item.name} moved to or from the ice`
        : `${item.name} ${amount(h, beforeMl)} → ${amount(h, afterMl)}`;
  const kind: MoveKind = dropped ? "drop" : item.role === "acid" ? "acid" : added ? "add" : "pour";
  return {
    ingredient: item.id,
    kind,
    fromMl: beforeMl,
    toMl: afterMl,
    text,
    subject: item.name,
    slots: h.slots,
    dilution: false,
  };
}

/** Pair each dropped ingredient with an added one of its role and about its amount, closest amounts first. */
function pairSwaps(altered: readonly Held[]): [Held, Held][] {
  const candidates = altered
    .filter((out) => out.afterMl === 0 && out.beforeMl > 0)
    .flatMap((out) =>
      altered
        .filter((into) => into.beforeMl === 0 && into.afterMl > 0 && into.item.role === out.item.role)
        .map((into) => ({ out, into, jump: Math.abs(Math.log(into.afterMl / out.beforeMl)) })),
    )
    .filter(({ jump }) => jump <= Math.log(SWAP_FACTOR) + SAME_AMOUNT)
    .sort((a, b) => a.jump - b.jump);
  const used = new Set<Held>();
  const pairs: [Held, Held][] = [];
  for (const { out, into } of candidates) {
    if (used.has(out) || used.has(into)) continue;
    used.add(out).add(into);
    pairs.push([out, into]);
  }
  return pairs;
}

/** One change when every amount was multiplied by the same factor. */
function scaleChange(all: readonly Held[], slotCount: number): Change | null {
  const factor = (all[0]?.afterMl ?? 0) / (all[0]?.beforeMl ?? 0);
  if (all.length < 2 || slotCount !== all.length || !Number.isFinite(factor) || factor === 0) return null;
  if (Math.abs(factor - 1) <= SAME_AMOUNT) return null;
  if (!all.every((h) => Math.abs(h.afterMl - factor * h.beforeMl) <= SAME_AMOUNT * h.afterMl)) return null;
  const sum = (side: "beforeMl" | "afterMl") => all.reduce((total, h) => total + h[side], 0);
  return {
    ingredient: "everything",
    kind: "scale",
    fromMl: sum("beforeMl"),
    toMl: sum("afterMl"),
    text: `everything × ${Number(factor.toPrecision(3))}`,
    subject: "the scaling",
    slots: all.flatMap((h) => h.slots),
    dilution: false,
  };
}

/** A change of method, of the dilution model, or of the measured water. */
function waterChange(parent: Spec, child: Spec, before: MixModel, after: MixModel): Change | null {
  const renamed = parent.method !== child.method;
  if (!renamed && sameDilution(before.dilution, after.dilution)) return null;
  const describe = (spec: Spec) => spec.dilution?.model ?? "regression";
  const text = renamed
    ? `${METHODS[parent.method].name} → ${METHODS[child.method].name}`
    : describe(parent) !== describe(child)
      ? `water from ice ${describe(parent)} → ${describe(child)}`
      : "water from ice changed";
  return {
    ingredient: renamed ? "method" : "dilution",
    kind: "method",
    fromMl: 0,
    toMl: 0,
    text,
    subject: renamed ? "the method" : "the water",
    slots: [],
    dilution: true,
  };
}

/** Same law of dilution; a measured ratio recomputed from equal pours may differ in its last digits. */
function sameDilution(a: MixModel["dilution"], b: MixModel["dilution"]): boolean {
  const sameRatio = Math.abs(a.a0 - b.a0) <= SAME_AMOUNT * (a.a0 + b.a0);
  return sameRatio && JSON.stringify({ ...a, a0: 0 }) === JSON.stringify({ ...b, a0: 0 });
}
