import type { Store } from "./store.ts";

/** Where to keep things: a database server, else one file in a folder, else (null) memory, for tests. */
export interface StorePlace {
  databaseUrl?: string | undefined;
  folder: string | null;
}

/**
 * Open the store and bring it to its present form.
 *
 * @throws StoreTrouble in words when the place cannot be used; nothing is written then
 */
export async function openStore({ databaseUrl, folder }: StorePlace): Promise<Store> {
  // Loaded here, so that a server listens before it has them.
  const { createStore } = await import("./store.ts");
  const { openSqlite, storeFile } = await import("./sqlite.ts");
  const { troubleOf } = await import("./trouble.ts");
  const place = databaseUrl ? "the database" : folder === null ? "the memory" : storeFile(folder);
  try {
    if (!databaseUrl) return await createStore(openSqlite(folder), place);
    const { openPostgres } = await import("./postgres.ts");
    // A lost idle connection is replaced at the next query, which tells if that fails.
    return await createStore(
      openPostgres(databaseUrl, () => {}),
      place,
    );
  } catch (error) {
    throw troubleOf(error, place);
  }
}

/** A store opened when it is first needed, and again after a failure: one open at a time. */
export interface StoreDoor {
  open(): Promise<Store>;
  close(): Promise<void>;
}

/** The door to the store of a place. */
export function storeDoor(place: StorePlace): StoreDoor {
  let store: Promise<Store> | null = null;
  return {
    open() {
      store ??= openStore(place).catch((error) => {
        store = null;
        throw error;
      });
      return store;
    },
    async close() {
      const opened = await store?.catch(() => null);
      await opened?.close();
    },
  };
}
