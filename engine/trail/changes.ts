import { formatAmount } from "../amounts/format-amount.ts";
import type { MixLine } from "../dilution/heat-correction.ts";
import { METHODS } from "../dilution/methods.ts";
import { createMixModel, type MixModel } from "../dilution/model.ts";
import type { PlaceOptions } from "../place/place.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import { SAME_AMOUNT } from "../tolerances.ts";
import type { Ingredient, MoveKind, Pantry, Spec, TrailChange, UnitId } from "../types.ts";

type Side = "beforeMl" | "afterMl";

/** An ingredient at one stage, and what either of two specs pours of it. */
type Slot = MixLine & Record<Side, number>;

/** One change between two specs: which volumes it sets, and whether it changes the water from ice. */
export interface Change extends Omit<TrailChange, "share"> {
  /** What it is called inside a sentence. */
  subject: string;
  slots: Slot[];
  dilution?: boolean;
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

/** An ingredient of either spec. */
interface Held extends Record<Side, number> {
  item: Ingredient;
  slots: Slot[];
  moved: boolean;
  /** mL of it in its own unit. */
  say: (ml: number) => string;
}

const isSame = (a: number, b: number) => Math.abs(a - b) <= SAME_AMOUNT * (a + b);
const total = (slots: readonly Slot[], side: Side) => slots.reduce((sum, slot) => sum + slot[side], 0);

/** A change that sets these slots. */
export function changeOf(slots: Slot[], told: Omit<Change, "fromMl" | "toMl" | "slots">): Change {
  return { ...told, fromMl: total(slots, "beforeMl"), toMl: total(slots, "afterMl"), slots };
}

/** Find the changes between two specs. Errors: EngineError as from prepareSpec. */
export function changesBetween(parent: Spec, child: Spec, pantry: Pantry, options: PlaceOptions): Difference {
  const slots: Slot[] = [];
  const units = new Map<Ingredient, UnitId>();
  const fill = (spec: Spec, side: Side) => {
    const { model, volumesMl } = prepareSpec(spec, pantry, options);
    model.ingredients.forEach((ingredient, line) => {
      const stage = model.stages[line]!;
      let slot = slots.find((s) => s.ingredient === ingredient && s.stage === stage);
      if (!slot) {
        slot = { ingredient, stage, beforeMl: 0, afterMl: 0 };
        slots.push(slot);
      }
      slot[side] += volumesMl[line]!;
      // Several lines of one ingredient have no one unit of their own.
      const isFirst = model.ingredients.indexOf(ingredient) === line;
      units.set(ingredient, isFirst ? spec.lines[line]!.unit : "ml");
    });
  };
  fill(parent, "beforeMl");
  fill(child, "afterMl");
  const modelOf = ({ method, dilution }: Spec, side: Side) =>
    createMixModel(
      slots,
      method,
      dilution,
      slots.map((slot) => slot[side]),
    );
  const modelBefore = modelOf(parent, "beforeMl");
  const modelAfter = modelOf(child, "afterMl");

  const held = [...units].map(([item, unit]): Held => {
    const own = slots.filter(({ ingredient }) => ingredient === item);
    return {
      item,
      slots: own,
      beforeMl: total(own, "beforeMl"),
      afterMl: total(own, "afterMl"),
      moved: !own.every((slot) => isSame(slot.beforeMl, slot.afterMl)),
      say: (ml) => formatAmount(ml, unit, { ingredient: item, settings: options.unitSettings }),
    };
  });
  const scale = scaleChange(held, slots);
  const water = waterChange(parent, child, modelBefore, modelAfter);
  const changes = [...(scale ? [scale] : pourChanges(held)), ...(water ? [water] : [])];
  return { changes, slots, modelBefore, modelAfter };
}

/** What was swapped, and each ingredient else that moved by itself. */
function pourChanges(held: readonly Held[]): Change[] {
  const altered = held.filter(({ moved }) => moved);
  const swaps = pairSwaps(altered);
  const swapped = new Set(swaps.flat());
  return altered.flatMap((h) => {
    const swap = swaps.find(([out]) => out === h);
    if (swap) return [swapChange(...swap)];
    return swapped.has(h) ? [] : [ownChange(h)];
  });
}

function swapChange(out: Held, into: Held): Change {
  const isSyrup = out.item.syrup !== undefined && out.item.syrup.family === into.item.syrup?.family;
  const [now, was] = [into.say(into.afterMl), out.say(out.beforeMl)];
  return changeOf([...out.slots, ...into.slots], {
    ingredient: into.item.id,
    kind: isSyrup ? "syrup" : "swap",
    text: `${into.item.name} (${now}) for ${out.item.name} (${was})`,
    subject: into.item.name,
  });
}

function ownChange({ item, slots, beforeMl, afterMl, say }: Held): Change {
  const { id: ingredient, name: subject, role } = item;
  const change = (kind: MoveKind, text: string) =>
    changeOf(slots, { ingredient, kind, text: `${subject} ${text}`, subject });
  if (afterMl === 0) return change("drop", `dropped (was ${say(beforeMl)})`);
  const isAcid = role === "acid";
  if (beforeMl === 0) return change(isAcid ? "acid" : "add", `added, ${say(afterMl)}`);
  const text = isSame(beforeMl, afterMl) ? "moved to or from the ice" : `${say(beforeMl)} → ${say(afterMl)}`;
  return change(isAcid ? "acid" : "pour", text);
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
function scaleChange(all: readonly Held[], slots: Slot[]): Change | null {
  const factor = (all[0]?.afterMl ?? 0) / (all[0]?.beforeMl ?? 0);
  if (all.length < 2 || slots.length !== all.length || !Number.isFinite(factor) || factor === 0) return null;
  if (Math.abs(factor - 1) <= SAME_AMOUNT) return null;
  if (!all.every((h) => Math.abs(h.afterMl - factor * h.beforeMl) <= SAME_AMOUNT * h.afterMl)) return null;
  return changeOf(slots, {
    ingredient: "everything",
    kind: "scale",
    text: `everything × ${Number(factor.toPrecision(3))}`,
    subject: "the scaling",
  });
}

/** A change of method, of the dilution model, or of the measured water. */
function waterChange(parent: Spec, child: Spec, before: MixModel, after: MixModel): Change | null {
  const told = { kind: "method", dilution: true } as const;
  if (parent.method !== child.method) {
    const text = `${METHODS[parent.method].name} → ${METHODS[child.method].name}`;
    return changeOf([], { ...told, ingredient: "method", text, subject: "the method" });
  }
  if (sameDilution(before.dilution, after.dilution)) return null;
  const model = ({ dilution }: Spec) => dilution?.model ?? "regression";
  const [was, is] = [model(parent), model(child)];
  const text = was === is ? "water from ice changed" : `water from ice ${was} → ${is}`;
  return changeOf([], { ...told, ingredient: "dilution", text, subject: "the water" });
}

/** Same law of dilution; a measured ratio recomputed from equal pours may differ in its last digits. */
function sameDilution(a: MixModel["dilution"], b: MixModel["dilution"]): boolean {
  return isSame(a.a0, b.a0) && JSON.stringify({ ...a, a0: 0 }) === JSON.stringify({ ...b, a0: 0 });
}
