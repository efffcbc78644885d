import { canonical, type Records } from "../../engine/bench/merge.ts";
import { type AnyStored, recordKey, type Stamp, type Stored } from "../../engine/bench/records.ts";
import { changeOf } from "../../engine/bench/view.ts";
import type { Prep } from "../../engine/prep/types.ts";

/** Version of the form a prep is kept in. */
const FORM = 1;

/** What this page did to the shelf since it last spoke with the server; another tab's preps are not its to touch. */
export interface ShelfChanges {
  changed: readonly Prep[];
  /** Ids of those taken off. */
  dropped: readonly string[];
}

const kept = (records: Records, id: string) =>
  records.get(recordKey({ kind: "prep", id, bench: null })) as Stored<"prep"> | undefined;

/** The same as changes to the records that are kept. */
export function prepChanges(records: Records, { changed, dropped }: ShelfChanges, at: Stamp): AnyStored[] {
  const same = (prep: Prep) => {
    const values = kept(records, prep.id)?.values;
    return values?.deleted === false && canonical(values.item) === canonical(prep);
  };
  return [
    ...changed
      .filter((prep) => !same(prep))
      .map((item) => changeOf("prep", item.id, null, { form: FORM, item, deleted: false }, at)),
    ...dropped
      .filter((id) => kept(records, id)?.values.deleted === false)
      .map((id) => changeOf("prep", id, null, { deleted: true }, at)),
  ];
}

/** The preps that are kept, first made first; and the ids of those that someone took off. */
export function prepsOf(records: Records): { preps: Prep[]; off: string[] } {
  const all = [...records.values()]
    .filter((r): r is Stored<"prep"> => r.kind === "prep")
    .sort((a, b) => (a.id < b.id ? -1 : 1));
  return {
    preps: all.flatMap(({ values }) =>
      values.deleted === false && values.item ? [values.item as Prep] : [],
    ),
    off: all.flatMap(({ id, values }) => (values.deleted ? [id] : [])),
  };
}

/** The shelf with what others did to it: theirs over ours, except what was changed here meanwhile. */
export function mergedShelf(
  here: readonly Prep[],
  sent: readonly Prep[],
  { preps, off }: ReturnType<typeof prepsOf>,
): Prep[] {
  const wasSent = new Set(sent);
  const theirs = new Map(preps.map((p) => [p.id, p]));
  const gone = new Set(off);
  const held = new Set([...here, ...sent].map(({ id }) => id));
  return [
    ...here.flatMap((p) => {
      if (!wasSent.has(p)) return [p];
      return gone.has(p.id) ? [] : [theirs.get(p.id) ?? p];
    }),
    ...preps.filter(({ id }) => !held.has(id)),
  ];
}
