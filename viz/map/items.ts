import type { Mat3, Vec3 } from "../../engine/types.ts";
import { AXIS_NAME, formatWithUnit } from "./axis-words.ts";
import type { Axis, MapModel } from "./model.ts";

/** What kind of mark an item is. */
export type ItemKind = "reference" | "round" | "live" | "ghost";

/** One thing with a place on the map, whatever its kind: the map's cursor stands on one of these. */
export interface Item {
  /** Unique over all kinds: kind and id. */
  key: string;
  kind: ItemKind;
  id: string;
  /** What its balloon carries: a round's number, a proposal's letter. Empty for references. */
  tag: string;
  name: string;
  point: Vec3;
  covariance: Mat3 | null;
  parent: string | null;
  current: boolean;
  abandoned: boolean;
  highlighted: boolean;
}

/** One thing known about an item; the label is empty where the text speaks for itself. */
export interface Field {
  label: string;
  text: string;
}

/** A, B … Z, AA, AB … */
export function letter(index: number): string {
  const last = String.fromCharCode(65 + (index % 26));
  return index < 26 ? last : letter(Math.floor(index / 26) - 1) + last;
}

const PLAIN = {
  tag: "",
  covariance: null,
  parent: null,
  current: false,
  abandoned: false,
  highlighted: false,
};

/** All items of a model: rounds by number, the live point, proposals, then references. Items with a non-finite place are left out. */
export function itemsOf(model: MapModel): Item[] {
  const current = model.rounds.find((r) => r.current);
  const rounds = [...model.rounds].sort((a, b) => a.number - b.number);
  const known = new Set(rounds.map((r) => r.id));
  const items: Item[] = rounds.map((r) => ({
    ...PLAIN,
    key: `round:${r.id}`,
    kind: "round",
    id: r.id,
    tag: String(r.number),
    name: r.label,
    point: r.point,
    covariance: r.covariance,
    // A round whose parent was deleted starts a trail of its own.
    parent: r.parent !== null && known.has(r.parent) ? `round:${r.parent}` : null,
    current: r.current,
    abandoned: r.abandoned,
  }));
  const stem = current ? `round:${current.id}` : null;
  if (model.live) {
    items.push({
      ...PLAIN,
      key: "live:",
      kind: "live",
      id: "",
      name: "as edited now",
      point: model.live.point,
      covariance: model.live.covariance,
      parent: stem,
    });
  }
  model.ghosts.forEach((g, i) => {
    items.push({
      ...PLAIN,
      key: `ghost:${g.id}`,
      kind: "ghost",
      id: g.id,
      tag: letter(i),
      name: g.name,
      point: g.point,
      parent: stem,
    });
  });
  for (const r of model.references) {
    items.push({
      ...PLAIN,
      key: `reference:${r.id}`,
      kind: "reference",
      id: r.id,
      name: r.name,
      point: r.point,
      highlighted: r.highlighted,
    });
  }
  return items.filter((item) => item.point.every(Number.isFinite));
}

/** The item the scales weigh: the spec being edited, or else the current round. */
export function drinkAtHand(items: readonly Item[]): Item | null {
  return items.find((i) => i.kind === "live") ?? items.find((i) => i.current) ?? null;
}

/** Short name with the words for the kind: "Round 4, Dry maple, current". */
export function titleOf(item: Item): string {
  if (item.kind === "reference") return `${item.name}, reference drink`;
  if (item.kind === "live") return "Your spec as edited now";
  if (item.kind === "ghost") return `Proposal ${item.tag}, ${item.name}`;
  const states = [item.current && "current", item.abandoned && "abandoned"].filter(Boolean);
  return [`Round ${item.tag}`, item.name, ...states].filter((part) => part !== "").join(", ");
}

/** Standard uncertainty on one axis; null when it is not known. */
export function sdOf(item: Item, axis: Axis): number | null {
  const variance = item.covariance?.[axis][axis];
  return variance !== undefined && variance > 0 ? Math.sqrt(variance) : null;
}

/** Everything the map knows of an item, in the order it is read out. */
export function fieldsOf(item: Item, model: MapModel, items: readonly Item[]): Field[] {
  const fields: Field[] = ([0, 1, 2] as const).map((axis) => ({
    label: AXIS_NAME[axis],
    text: formatWithUnit(axis, item.point[axis], sdOf(item, axis)),
  }));
  if (model.target) {
    fields.push({ label: "", text: model.target.membership(item.point).text.replace(/\.$/, "") });
  }
  const parent = items.find((i) => i.key === item.parent);
  if (parent)
    fields.push({ label: item.kind === "round" ? "changed from" : "starts at", text: `round ${parent.tag}` });
  if (item.kind === "ghost") {
    const path = model.ghosts.find((g) => g.id === item.id)?.path ?? [];
    fields.push({
      label: "moves",
      text: path.map((m, i) => (path.length > 1 ? `${i + 1}. ${m.label}` : m.label)).join(", "),
    });
  }
  return fields;
}
