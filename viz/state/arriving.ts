import type { z } from "zod";
import type { OwnLinkSchema } from "../../api/schemas/kept.ts";
import type { Bench, Ingredient } from "../../engine/types.ts";
import { keepKey, keyOf, readKeys, refusalOf } from "./kept-keys.ts";
import { holdsKey, isOwnHouse, type Key, keys } from "./keys.ts";
import { lend, moveIn } from "./lending.ts";
import { addressOf, go, route } from "./route.ts";
import { createKeeper, type Shelf } from "./storage.ts";
import type { Refusal } from "./store.ts";
import { depsOf, serverBehind } from "./syncing.ts";

/** What became of a link that was opened. */
interface Opened {
  /** What it opens; null where it opens nothing, or nothing yet. */
  key: Key | null;
  /** The benches it brings. */
  benches: Bench[];
  /** Why it does not open, in words. */
  problem: string | null;
}

const SHUT =
  "This link opens nothing here: it was revoked, or it came incomplete. Ask for a new one from whoever sent it.";
const NO_ANSWER = "The server does not answer, so the link could not be opened. Open it again in a while.";
const FOR_TASTING = "This link is a taster's. Open it as it was sent, on the page for tasting.";

/** The demo and the pantry that come with the page. */
interface Books {
  demo: Bench;
  pantry: readonly Ingredient[];
}

/** Open a link: ask what it is, keep it for its bench, and fetch that. */
async function openBy(
  secret: string,
  shelf: Shelf,
  { demo, pantry }: Books,
  own: readonly Bench[],
): Promise<Opened> {
  const deps = depsOf(shelf, [demo]);
  const before = keys.peek().find((key) => key.secret === secret) ?? null;
  const stays = (problem: string): Opened => ({ key: before, benches: [], problem });
  const headers = { Authorization: `Bearer ${secret}` };
  const response = await deps.request("/v1/links/own", { headers }).catch(() => null);
  if (response?.status === 401) {
    if (before) keepKey(shelf, before.bench, { ...before, gone: true });
    return stays(SHUT);
  }
  if (!response?.ok) return stays(NO_ANSWER);
  const { role, bench, label } = (await response.json()) as z.infer<typeof OwnLinkSchema>;
  if (role === "taster") return stays(FOR_TASTING);
  const key: Key = { secret, role, bench, label, benches: bench === null ? [] : [bench] };
  const { benches, house } = await serverBehind(key, deps).bring([]);
  if (isOwnHouse(key)) moveIn(shelf, house, pantry, own);
  const opened = { ...key, benches: [...new Set([...key.benches, ...benches.map(({ id }) => id)])] };
  keepKey(shelf, bench, opened);
  return { key: opened, benches, problem: null };
}

/** What a visit with links of others starts from. */
interface Arrival {
  benches: Bench[];
  problem: string | null;
  refusalOf: Refusal;
}

/**
 * The keys this browser keeps, and the link of the address: what it opens is fetched, and it leaves the address.
 * Benches of others are poured from their own houses' pantries, over the books' `pantry`.
 */
export async function arrive(shelf: Shelf, books: Books, own: Bench[]): Promise<Arrival> {
  readKeys(shelf);
  const arrival = await opened(shelf, books, own);
  const deps = depsOf(shelf, [books.demo]);
  for (const key of keys.value) lend(key, serverBehind(key, deps).records(), books.pantry);
  return { ...arrival, refusalOf };
}

async function opened(shelf: Shelf, books: Books, own: Bench[]): Promise<Omit<Arrival, "refusalOf">> {
  if (!holdsKey(route.value)) return { benches: own, problem: null };
  const secret = keyOf(route.value);
  const { key, benches, problem } = secret
    ? await openBy(secret, shelf, books, own)
    : { key: null, benches: [], problem: SHUT };
  // A link that the server could not be asked about stays in the address, to be tried again.
  const isHouse = key !== null && key.bench === null;
  if (problem !== NO_ANSWER)
    go(isHouse ? addressOf("benches") : addressOf("bench", key?.bench), { replace: true });
  const brought = new Set(benches.map(({ id }) => id));
  // In the place of what was here of the same bench.
  const all = [...own.filter(({ id }) => !brought.has(id)), ...benches];
  if (benches.length > 0) createKeeper(shelf, own).save(all);
  return { benches: all, problem };
}
