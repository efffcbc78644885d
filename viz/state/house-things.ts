import { canonical, isDeleted, type Records } from "../../engine/bench/merge.ts";
import {
  type AnyStored,
  BENCH_KINDS,
  type RecordKind,
  recordKey,
  type Stamp,
} from "../../engine/bench/records.ts";
import { changeOf } from "../../engine/bench/view.ts";
import type { Prep } from "../../engine/prep/types.ts";
import type { Bench, Ingredient } from "../../engine/types.ts";
import { type CardNotes, keepNotes, listNotes } from "../card/notes.ts";
import { loadSettings, type Settings, type Shelf, writeSettings } from "./storage.ts";

/*
 * What the house shares beside its benches: preps, ingredients of one's own, prices, figures, measures, what the
 * cards say. Each is one entry by the kind and id of its record, so that one rule brings all of them together.
 */

/** Entries by `kind/id`: `prep/honey-syrup`, `ingredient/…`, `setting/price:gin`. */
export type Things = ReadonlyMap<string, unknown>;

/** What this page did to them since it last spoke with the server; another tab's are not its to touch. */
export interface ThingChanges {
  changed: Things;
  /** Keys of those taken away. */
  dropped: readonly string[];
}

/** What the server has of them, and the keys of those someone took away. */
export interface KeptThings {
  things: Things;
  off: ReadonlySet<string>;
}

/** Version of the form an item is kept in. */
const FORM = 1;

const same = (a: unknown, b: unknown) => canonical(a) === canonical(b);

function keyParts(key: string): { kind: RecordKind; id: string } {
  const slash = key.indexOf("/");
  return { kind: key.slice(0, slash) as RecordKind, id: key.slice(slash + 1) };
}

const heldBy = ({ kind, values }: AnyStored): unknown =>
  kind === "setting" ? values.value : (values as { item?: unknown }).item;

/** The same as changes to the records that are kept. */
export function thingChanges(records: Records, { changed, dropped }: ThingChanges, at: Stamp): AnyStored[] {
  const kept = (key: string) => records.get(recordKey({ ...keyParts(key), bench: null }));
  const put = ([key, value]: [string, unknown]): AnyStored[] => {
    const { kind, id } = keyParts(key);
    const before = kept(key);
    if (before && !isDeleted(before) && same(heldBy(before), value)) return [];
    const set = kind === "setting" ? { value } : { form: FORM, item: value };
    return [changeOf(kind, id, null, { ...set, deleted: false } as object, at) as AnyStored];
  };
  const drop = (key: string): AnyStored[] => {
    const { kind, id } = keyParts(key);
    const before = kept(key);
    if (!before || isDeleted(before)) return [];
    return [changeOf(kind, id, null, { deleted: true }, at) as AnyStored];
  };
  return [...[...changed].flatMap(put), ...dropped.flatMap(drop)];
}

/** What is kept, first made first. */
export function thingsKept(records: Records): KeptThings {
  const all = [...records.values()]
    .filter(({ kind }) => !BENCH_KINDS.has(kind))
    .sort((a, b) => (a.id < b.id ? -1 : 1));
  const keyOf = ({ kind, id }: AnyStored) => `${kind}/${id}`;
  const there = all.filter((r) => !isDeleted(r) && heldBy(r) !== undefined);
  return {
    things: new Map(there.map((r) => [keyOf(r), heldBy(r)])),
    off: new Set(all.filter(isDeleted).map(keyOf)),
  };
}

/** What changed from `known` to `here`; with nothing known, all of it is new to whoever is told. */
export function thingsSince(known: Things | null, here: Things): ThingChanges {
  if (!known) return { changed: here, dropped: [] };
  return {
    changed: new Map([...here].filter(([key, value]) => !same(known.get(key), value))),
    dropped: [...known.keys()].filter((key) => !here.has(key)),
  };
}

/** Both together: what the server has over what is here, except what was changed here since it was sent. */
export function mergedThings(here: Things, sent: Things, { things, off }: KeptThings): Things {
  const untouched = (key: string) => same(here.get(key), sent.get(key));
  const merged = new Map<string, unknown>();
  for (const [key, value] of here) {
    if (!untouched(key)) merged.set(key, value);
    else if (!off.has(key)) merged.set(key, things.get(key) ?? value);
  }
  for (const [key, value] of things) if (!here.has(key) && !sent.has(key)) merged.set(key, value);
  return merged;
}

/** Settings that are one value. */
const SINGLE = [
  ["units", "units"],
  ["ladder", "ladder"],
  ["unit-sizes", "unitSettings"],
] as const;
/** Settings that are one value for each ingredient. */
const BY_INGREDIENT = [
  ["price", "prices"],
  ["measured", "measured"],
] as const;
const CARD = "setting/card:";

/** All of it as this browser keeps it, with what the cards of its benches say. */
export function thingsHere(shelf: Shelf, benches: readonly Pick<Bench, "id">[]): Things {
  const settings = loadSettings(shelf);
  const preps = settings.preps ?? [];
  // What became of a prep follows from its record and is not kept twice.
  const made = new Set(preps.map(({ id }) => id));
  const own = (settings.own ?? []).filter(({ id }) => !made.has(id));
  return new Map<string, unknown>([
    ...preps.map((prep) => [`prep/${prep.id}`, prep] as const),
    ...own.map((ingredient) => [`ingredient/${ingredient.id}`, ingredient] as const),
    ...SINGLE.flatMap(([name, field]) =>
      settings[field] === undefined ? [] : [[`setting/${name}`, settings[field]] as const],
    ),
    ...BY_INGREDIENT.flatMap(([name, field]) =>
      Object.entries(settings[field] ?? {}).map(([id, value]) => [`setting/${name}:${id}`, value] as const),
    ),
    ...listNotes(
      shelf,
      benches.map(({ id }) => id),
    ).map(([bench, notes]) => [`${CARD}${bench}`, notes] as const),
  ]);
}

/** The entries of a kind, or of settings of one name, by what follows it. */
function under<T>(things: Things, start: string): [string, T][] {
  return [...things].flatMap(([key, value]) =>
    key.startsWith(start) ? [[key.slice(start.length), value as T] as [string, T]] : [],
  );
}

/** The settings that `things` are, where they say so; ingredients without what becomes of preps. */
export function settingsIn(
  things: Things,
): Settings & Required<Pick<Settings, "preps" | "own" | "prices" | "measured">> {
  const single = SINGLE.flatMap(([name, field]) => {
    const value = things.get(`setting/${name}`);
    return value === undefined ? [] : [[field, value] as const];
  });
  return {
    ...(Object.fromEntries(single) as Settings),
    prices: Object.fromEntries(under<number>(things, "setting/price:")),
    measured: Object.fromEntries(under(things, "setting/measured:")),
    preps: under<Prep>(things, "prep/").map(([, prep]) => prep),
    own: under<Ingredient>(things, "ingredient/").map(([, ingredient]) => ingredient),
  };
}

/** Keep `things` in this browser in the place of what was there; what became of preps stays until it is made anew. */
export function keepThings(shelf: Shelf, things: Things): ReturnType<typeof settingsIn> {
  const { theme, own: before = [] } = loadSettings(shelf);
  const settings = settingsIn(things);
  const listed = new Set(settings.own.map(({ id }) => id));
  const preps = new Set(settings.preps.map(({ id }) => id));
  const made = before.filter(({ id }) => preps.has(id) && !listed.has(id));
  const kept = { ...settings, own: [...settings.own, ...made] };
  writeSettings(shelf, { ...kept, ...(theme && { theme }) });
  for (const [bench, notes] of under<CardNotes>(things, CARD)) keepNotes(shelf, bench, notes);
  return kept;
}
