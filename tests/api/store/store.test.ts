import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { Overwritten } from "../../../api/store/history.ts";
import { openStore, type StorePlace } from "../../../api/store/open.ts";
import type { Store } from "../../../api/store/store.ts";
import { VersionConflict } from "../../../api/store/write.ts";
import { canonical, mergeRecords } from "../../../engine/bench/merge.ts";
import { type AnyStored, recordKey } from "../../../engine/bench/records.ts";
import { benchOf, changeOf, changesTo } from "../../../engine/bench/view.ts";
import { EngineError } from "../../../engine/errors.ts";
import { check } from "../../../engine/shapes/check.ts";
import { ingredientShape } from "../../../engine/shapes/ingredient.ts";
import type { Bench, Round } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { changes } from "../../engine/bench/arbitrary-records.ts";
import { type PostgresServer, startPostgres } from "./postgres-server.ts";

// One suite, run on both databases: an embedded file, and a real Postgres server.

const { demo: DEMO, pantry } = loadReferenceData();
const BOTTLE = check(ingredientShape, { ...pantry[0]!, id: "own" });
const ALL = { bench: null };
const OWNER = { link: null };

let postgres: PostgresServer;
beforeAll(async () => {
  postgres = await startPostgres();
});
afterAll(() => postgres.stop());

const databases: Record<string, () => Promise<StorePlace & { remove(): void }>> = {
  SQLite: async () => {
    const folder = mkdtempSync(join(tmpdir(), "steelyard-store-"));
    return { folder, remove: () => rmSync(folder, { recursive: true }) };
  },
  Postgres: async () => ({ folder: null, databaseUrl: await postgres.freshUrl(), remove: () => {} }),
};

const at = (n: number) => `${n}`.padStart(26, "0");
const labelled = (bench: Bench, id: string, label: string): Bench => ({
  ...bench,
  rounds: bench.rounds.map((round): Round => (round.id === id ? { ...round, label } : round)),
});

describe.each(Object.keys(databases))("the store on %s", (name) => {
  let place: Awaited<ReturnType<(typeof databases)[string]>>;
  let store: Store;
  beforeEach(async () => {
    place = await databases[name]!();
    store = await openStore(place);
  });
  afterEach(async () => {
    await store.close();
    place.remove();
  });
  const kept = async (): Promise<Map<string, AnyStored>> => {
    const { records } = await store.since(0, ALL, 10_000);
    return new Map(records.map(({ version: _, ...record }) => [recordKey(record), record as AnyStored]));
  };

  test("gives back to the letter what was put in, also after it was closed and opened", async () => {
    const odd = { ...DEMO, story: "½ oz — “quoted”, 菠萝, \u0000, \ud83c\udf4d, a lone \ud83c", name: "é" };
    await store.write(changesTo(null, odd, at(1)), OWNER);
    await store.close();
    store = await openStore(place);
    expect(benchOf(await kept(), "demo")).toMatchObject({ name: odd.name, story: odd.story });
    expect(canonical(benchOf(await kept(), "demo")!.rounds.map((r) => r.spec))).toBe(
      canonical(DEMO.rounds.map((r) => r.spec)),
    );
  });

  test("takes the same batch twice, or in pieces, or late, and holds it once", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(changes, { minLength: 1, maxLength: 6 }), async (batch) => {
        const whole = [
          ...changesTo(null, { ...DEMO, id: "b1", rounds: [], current: "" }, at(1)),
          ...changesTo(null, { ...DEMO, id: "b2", rounds: [], current: "" }, at(1)),
          ...["b1", "b2"].flatMap((bench) =>
            ["r1", "r2", "r3"].map(
              (id) =>
                changesTo(null, { ...DEMO, id: bench, rounds: [{ ...DEMO.rounds[0]!, id }] }, at(1)).at(-1)!,
            ),
          ),
          ...["price:gin", "price:rum"].map(
            (id) => changeOf("setting", id, null, { value: 1, deleted: false }, at(1)) as AnyStored,
          ),
        ];
        await store.write(whole, OWNER);
        await store.write(batch, OWNER);
        const once = await store.history(null, null, 10_000);
        for (const change of [...batch].reverse()) await store.write([change], OWNER);
        await store.write(batch, OWNER);
        const expected = mergeRecords(await kept(), batch);
        expect(canonical([...(await kept())])).toBe(canonical([...expected]));
        expect(await store.history(null, null, 10_000)).toHaveLength(once.length);
      }),
      { numRuns: 15 },
    );
  });

  test("who asks what is new misses nothing, however writers and readers interleave", async () => {
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    const copy = new Map<string, AnyStored>();
    let cursor = 0;
    const pull = async () => {
      const { records, version } = await store.since(cursor, ALL, 3);
      for (const { version: _, ...record } of records) copy.set(recordKey(record), record as AnyStored);
      cursor = version;
    };
    const writers = Array.from({ length: 12 }, (_, i) =>
      store.write(changesTo(DEMO, labelled(DEMO, `r${1 + (i % 6)}`, `label ${i}`), at(10 + i)), OWNER),
    );
    for (let i = 0; i < 8; i += 1) await pull();
    await Promise.all(writers);
    for (let i = 0; i < 8; i += 1) await pull();
    expect(canonical([...copy].sort())).toBe(canonical([...(await kept())].sort()));
  });

  test("of two writes made in view of one version, one is refused and told what is there now", async () => {
    const [bench] = await store.write(changesTo(null, DEMO, at(1)).slice(0, 1), OWNER);
    const rename = (n: number) =>
      store.write(changesTo(DEMO, { ...DEMO, name: `name ${n}` }, at(n)), {
        ...OWNER,
        expected: bench!.version,
      });
    const results = await Promise.allSettled([rename(2), rename(3), rename(4)]);
    expect(results.map((r) => r.status).sort()).toEqual(["fulfilled", "rejected", "rejected"]);
    const refused = results.find((r) => r.status === "rejected")!;
    expect(refused.reason).toBeInstanceOf(VersionConflict);
    const won = results.find((r) => r.status === "fulfilled") as PromiseFulfilledResult<AnyStored[]>;
    expect((refused.reason as VersionConflict).now?.values).toEqual(won.value[0]!.values);
    const twice = store.write(changesTo(null, DEMO, at(1)).slice(0, 1), { ...OWNER, expected: null });
    await expect(twice).rejects.toBeInstanceOf(VersionConflict);
  });

  test("all or nothing: a batch with one record that cannot stand leaves no trace", async () => {
    const orphan = changeOf("round", "x", "nowhere", { label: "" }, at(2)) as AnyStored;
    const before = await store.backUp();
    const refused = store.write([...changesTo(null, DEMO, at(1)), orphan], OWNER);
    await expect(refused).rejects.toBeInstanceOf(EngineError);
    await expect(refused).rejects.toThrow("/7: no such round is kept");
    expect(await store.backUp()).toEqual(before);
  });

  test("a round without its bench, or on a parent that is nowhere, is refused by name", async () => {
    const [bench, first] = changesTo(null, DEMO, at(1));
    await expect(store.write([first!], OWNER)).rejects.toThrow("/0/bench: no such bench is kept");
    const orphan = { ...first!, values: { ...first!.values, parent: "gone" } } as AnyStored;
    await expect(store.write([bench!, orphan], OWNER)).rejects.toThrow("/1/values/parent");
    await store.write([first!, bench!], OWNER);
  });

  test("keeps every value ever written, the ones that lost too", async () => {
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    await store.write(changesTo(DEMO, { ...DEMO, name: "later" }, at(9)), OWNER);
    await store.write(changesTo(DEMO, { ...DEMO, name: "earlier, but came late" }, at(5)), OWNER);
    const names = (await store.history("demo", null, 100))
      .filter(({ kind }) => kind === "bench")
      .map(({ values }) => (values as { name: string }).name);
    expect(names).toEqual(["earlier, but came late", "later", DEMO.name]);
    expect(benchOf(await kept(), "demo")!.name).toBe("later");
  });

  test("takes back the last act, then the one before, and brings them back", async () => {
    const names = async () => benchOf(await kept(), "demo")?.name;
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    await store.write(changesTo(DEMO, { ...DEMO, name: "one" }, at(2)), OWNER);
    await store.write(changesTo(DEMO, { ...DEMO, name: "two" }, at(3)), OWNER);
    await store.undo("demo", null, null);
    expect(await names()).toBe("one");
    const [first] = (await store.undo("demo", null, null))!;
    expect(await names()).toBe(DEMO.name);
    await store.undo("demo", Object.values(first!.stamps).sort().at(-1)!, null);
    expect(await names()).toBe("one");
    await store.undo("demo", null, null);
    expect(await names()).toBe(DEMO.name);
    await store.undo("demo", null, null);
    expect(await names()).toBeUndefined();
    expect(await store.undo("demo", null, null)).toBeNull();
    expect((await store.backUp()).records).toHaveLength(7);
  });

  test("does not take back over what came after", async () => {
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    await store.write(changesTo(DEMO, { ...DEMO, name: "one" }, at(2)), OWNER);
    await store.write(changesTo(DEMO, { ...DEMO, name: "two" }, at(3)), OWNER);
    await expect(store.undo("demo", at(2), null)).rejects.toBeInstanceOf(Overwritten);
  });

  test("backs up and restores to the letter, links included; twice is once; into use it merges", async () => {
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    await store.write(changesTo(DEMO, labelled(DEMO, "r2", "Second"), at(2)), OWNER);
    const { link, secret } = await store.makeLink({ role: "taster", bench: "demo", label: "Table 4" });
    const gone = await store.makeLink({ role: "viewer", bench: null, label: "" });
    await store.revokeLink(gone.link.id);
    await store.undo("demo", null, link.id);
    const backup = JSON.parse(JSON.stringify(await store.backUp()));

    const fresh = await databases[name]!();
    const other = await openStore(fresh);
    try {
      await other.restore(backup);
      expect(await other.backUp()).toEqual(backup);
      await other.restore(backup);
      expect(await other.backUp()).toEqual(backup);
      expect((await other.linkOf(secret))?.label).toBe("Table 4");
      expect(await other.linkOf(gone.secret)).toBeNull();

      await other.write(changesTo(DEMO, { ...DEMO, name: "since then" }, at(30)), OWNER);
      await other.restore(backup);
      const { records } = await other.backUp();
      expect(records.find(({ kind }) => kind === "bench")?.values).toMatchObject({ name: "since then" });
      expect(records).toHaveLength(backup.records.length);
    } finally {
      await other.close();
      fresh.remove();
    }
  });

  test("a backup that was tampered with changes nothing and says where", async () => {
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    const backup = await store.backUp();
    const spoilt = structuredClone(backup);
    (spoilt.records[3]!.values as { number: unknown }).number = "three";
    await expect(store.restore(spoilt)).rejects.toThrow("/records/3/values/number");
    expect(await store.backUp()).toEqual(backup);
  });

  test("keeps no secret, and no link works after it was revoked", async () => {
    const { link, secret } = await store.makeLink({ role: "viewer", bench: "demo", label: "Bar" });
    expect(Buffer.from(secret, "base64url")).toHaveLength(32);
    expect(JSON.stringify(await store.backUp())).not.toContain(secret);
    expect(await store.linkOf(secret)).toEqual(link);
    expect(await store.linkOf(`${secret.slice(0, -1)}x`)).toBeNull();
    expect((await store.revokeLink(link.id))?.revoked).not.toBeNull();
    expect(await store.linkOf(secret)).toBeNull();
    expect(await store.revokeLink("none")).toBeNull();
  });

  test("what one bench's reader sees is that bench, the house's bottles and how it measures, not its prices", async () => {
    await store.write(changesTo(null, DEMO, at(1)), OWNER);
    await store.write(changesTo(null, { ...DEMO, id: "other" }, at(1)), OWNER);
    await store.write(
      [
        changeOf("ingredient", "own", null, { form: 1, item: BOTTLE, deleted: false }, at(1)),
        changeOf("setting", "price:gin", null, { value: 30, deleted: false }, at(1)),
        changeOf("setting", "measured:gin", null, { value: { abv: 44 }, deleted: false }, at(1)),
        changeOf("setting", "unit-sizes", null, { value: { barspoonMl: 3 }, deleted: false }, at(1)),
      ] as AnyStored[],
      OWNER,
    );
    const { records } = await store.since(0, { bench: "demo" }, 100);
    expect(records.map(({ bench, kind }) => [bench, kind])).not.toContainEqual(["other", "bench"]);
    const settings = records.flatMap(({ kind, id }) => (kind === "setting" ? [id] : []));
    expect(settings.sort()).toEqual(["measured:gin", "unit-sizes"]);
    expect(records).toHaveLength(10);
  });
});
