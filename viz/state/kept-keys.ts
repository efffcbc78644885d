import type { Bench } from "../../engine/types.ts";
import { isOnlySeen, KEYS_KEY, type Key, keys } from "./keys.ts";
import type { Shelf } from "./storage.ts";
import type { Work } from "./view.ts";

const IN_ADDRESS = /^#key=([A-Za-z0-9_-]{43})$/;

/** The secret in an address that holds one; null where it did not come whole. */
export const keyOf = ({ hash }: { hash: string }): string | null => IN_ADDRESS.exec(hash)?.[1] ?? null;

/** The address to hand to whom the link is for. */
export const keyAddress = (origin: string, secret: string): string => `${origin}/bench#key=${secret}`;

function isKey(x: unknown): x is Key {
  if (typeof x !== "object" || x === null) return false;
  const { secret, role, bench, benches, label } = x as Partial<Key>;
  return (
    typeof secret === "string" &&
    (role === "owner" || role === "viewer") &&
    (bench === null || typeof bench === "string") &&
    Array.isArray(benches) &&
    typeof label === "string"
  );
}

/** Read the keys this browser keeps; an entry that cannot be read counts as none. */
export function readKeys(shelf: Pick<Shelf, "getItem">): void {
  try {
    const kept: unknown = JSON.parse(shelf.getItem(KEYS_KEY) ?? "[]");
    keys.value = Array.isArray(kept) ? kept.filter(isKey) : [];
  } catch {
    keys.value = [];
  }
}

/** Keep a key in the place of the one before it to the same bench; null: forget that one. */
export function keepKey(shelf: Pick<Shelf, "setItem">, bench: string | null, key: Key | null): void {
  keys.value = [...keys.value.filter((other) => other.bench !== bench), ...(key ? [key] : [])];
  try {
    shelf.setItem(KEYS_KEY, JSON.stringify(keys.value));
  } catch {
    // Then it lasts as long as the page.
  }
}

/** What of a bench is its owner's: which round is open is a matter of who looks. */
const ownersPart = ({ current: _, ...rest }: Bench): string => JSON.stringify(rest);

/**
 * Why a change must not be: it touches a bench of which this browser has a viewer's link. Leaving it, opening a
 * round of it and putting it away do not. Null where there is nothing against it.
 */
export function refusalOf(before: Work, patch: Partial<Work>): string | null {
  const opens = patch.bench !== undefined || patch.round !== undefined;
  const after = new Map((patch.benches ?? before.benches).map((bench) => [bench.id, bench]));
  const touches = before.benches.some((bench) => {
    const now = after.get(bench.id);
    return now && now !== bench && isOnlySeen(bench.id) && ownersPart(now) !== ownersPart(bench);
  });
  return touches || (patch.spec && !opens && isOnlySeen(before.bench))
    ? "This bench is here by a viewer's link: it is to be looked at. Duplicate it, and the copy is yours to work on."
    : null;
}
