import type { Mat3, Vec3 } from "../../engine/types.ts";
import type { Axis } from "../words/axis.ts";
import type { MapModel, MapReference, MapRound } from "./model.ts";

/** What kind of mark an item is. */
export type ItemKind = "reference" | "round" | "live" | "ghost";

/** One thing with a place on the map, whatever its kind: the map's cursor stands on one of these. */
export interface Item {
  /** Unique over all kinds: kind and id. */
  key: string;
  kind: ItemKind;
  id: string;
  /** A round's number, a proposal's letter. Empty for references. */
  tag: string;
  name: string;
  point: Vec3;
  covariance: Mat3 | null;
  parent: string | null;
  current: boolean;
  abandoned: boolean;
}

/** A, B … Z, AA, AB … */
export function letter(index: number): string {
  const last = String.fromCharCode(65 + (index % 26));
  return index < 26 ? last : letter(Math.floor(index / 26) - 1) + last;
}

const PLAIN = { tag: "", covariance: null, parent: null, current: false, abandoned: false };

const isSound = (item: Item) => item.point.every(Number.isFinite);

const trails = new WeakMap<readonly MapRound[], Map<string, Item[]>>();

/** The rounds of a trail as items, by number; the same list for the same rounds. */
export function roundItems(rounds: readonly MapRound[], prefix = "round"): Item[] {
  const before = trails.get(rounds) ?? new Map<string, Item[]>();
  const items = before.get(prefix) ?? makeRoundItems(rounds, prefix);
  trails.set(rounds, before.set(prefix, items));
  return items;
}

function makeRoundItems(rounds: readonly MapRound[], prefix: string): Item[] {
  const known = new Set(rounds.map((r) => r.id));
  return [...rounds]
    .sort((a, b) => a.number - b.number)
    .map(
      (r): Item => ({
        key: `${prefix}:${r.id}`,
        kind: "round",
        id: r.id,
        tag: String(r.number),
        name: r.label,
        point: r.point,
        covariance: r.covariance,
        // A round whose parent was deleted starts a trail of its own.
        parent: r.parent !== null && known.has(r.parent) ? `${prefix}:${r.parent}` : null,
        current: r.current,
        abandoned: r.abandoned,
      }),
    )
    .filter(isSound);
}

const classics = new WeakMap<readonly MapReference[], Item[]>();

/** The classics as items; the same list for the same classics. */
export function referenceItems(references: readonly MapReference[]): Item[] {
  const before = classics.get(references);
  if (before) return before;
  const items = references
    .map(
      (r): Item => ({
        ...PLAIN,
        key: `reference:${r.id}`,
        kind: "reference",
        id: r.id,
        name: r.name,
        point: r.point,
      }),
    )
    .filter(isSound);
  classics.set(references, items);
  return items;
}

/** All items of a model: rounds by number, the edited spec, proposals, then references. */
export function itemsOf(model: MapModel): Item[] {
  const rounds = roundItems(model.rounds);
  const current = rounds.find((r) => r.current);
  const stem = current?.key ?? null;
  const live: Item[] =
    model.live && (model.live.edited || !current)
      ? [
          {
            ...PLAIN,
            key: "live:",
            kind: "live",
            id: "",
            name: "as it stands on the bench",
            point: model.live.point,
            covariance: model.live.covariance,
            parent: stem,
          },
        ]
      : [];
  const ghosts = model.ghosts.map(
    (g, i): Item => ({
      ...PLAIN,
      key: `ghost:${g.id}`,
      kind: "ghost",
      id: g.id,
      tag: letter(i),
      name: g.name,
      point: g.point,
      parent: stem,
    }),
  );
  return [...rounds, ...[...live, ...ghosts].filter(isSound), ...referenceItems(model.references)];
}

/** The item the arms weigh: the spec on the bench, or else the current round; null on an empty bench. */
export function drinkAtHand(items: readonly Item[], model: Pick<MapModel, "live">): Item | null {
  if (!model.live) return null;
  return items.find((i) => i.kind === "live") ?? items.find((i) => i.current) ?? null;
}

/** Short name with the words for the kind: "Round 4, Dry maple, on the bench". */
export function titleOf(item: Item): string {
  if (item.kind === "reference") return `${item.name}, a classic`;
  if (item.kind === "live") return "Your drink as it stands on the bench";
  if (item.kind === "ghost") return `Proposal ${item.tag}, ${item.name}`;
  const states = [item.current && "on the bench", item.abandoned && "set aside"].filter(Boolean);
  return [`Round ${item.tag}`, item.name, ...states].filter((part) => part !== "").join(", ");
}

/** Standard uncertainty on one axis; null when it is not known. */
export function sdOf(item: Item, axis: Axis): number | null {
  const variance = item.covariance?.[axis][axis];
  return variance !== undefined && variance > 0 ? Math.sqrt(variance) : null;
}
