import { type Signal, signal } from "@preact/signals";
import type { Prep } from "../../engine/prep/types.ts";
import type { Ingredient, UnitSettings } from "../../engine/types.ts";

/*
 * Links of others that this browser was opened by: the key of a bench of someone's, or of their whole house. A
 * key opens only the server this page came from, and is sent to it in a header, never in an address. What reads
 * and keeps them is in `kept-keys.ts`: a browser without any does not load it.
 */

/** What one opens, and how far. */
export interface Key {
  secret: string;
  role: "owner" | "viewer";
  /** The one bench it opens; null: the whole house. */
  bench: string | null;
  /** The benches it has opened so far. */
  benches: readonly string[];
  /** Whom the link was made for. */
  label: string;
  /** The server no longer takes it; what this browser had of the bench stays. */
  gone?: boolean;
}

/** Where they are kept. */
export const KEYS_KEY = "steelyard.keys.v1";

/** The keys of this browser. */
export const keys: Signal<readonly Key[]> = signal([]);

/** The key by which this browser has a bench; undefined for one of its own. */
export const keyTo = (bench: string | null): Key | undefined =>
  keys.value.find(({ benches }) => benches.includes(bench!));

/** Whether a bench may be looked at and not changed. */
export const isOnlySeen = (bench: string | null): boolean => keyTo(bench)?.role === "viewer";

/** Whether an address holds the secret of an owner's or a viewer's link. */
export const holdsKey = ({ hash }: { hash: string }): boolean => hash.startsWith("#key=");

/** What the house behind a key pours with. */
export interface Lent {
  /** Its own, what became of its preps, and what it measured of the pantry's. */
  ingredients: readonly Ingredient[];
  preps: readonly Prep[];
  unitSettings: UnitSettings;
}

/** Who owns a whole house has its things as this browser's own. */
export const isOwnHouse = ({ bench, role }: Key) => bench === null && role === "owner";

/** By the secrets of keys; what stands behind an owner's key to a whole house is in this browser's own things. */
export const lent: Signal<ReadonlyMap<string, Lent>> = signal(new Map());

/** What a bench of another house is poured with; undefined for one of this browser's own. */
export const lentTo = (bench: string | null): Lent | undefined => lent.value.get(keyTo(bench)?.secret ?? "");
