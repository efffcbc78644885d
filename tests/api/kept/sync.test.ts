import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { canonical, mergeRecords, type Records } from "../../../engine/bench/merge.ts";
import type { AnyStored } from "../../../engine/bench/records.ts";
import { benchOf, changesTo } from "../../../engine/bench/view.ts";
import type { Bench } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { fork } from "../../engine/bench/fork.ts";
import { keptApp } from "./kept-app.ts";

const DEMO = loadReferenceData().demo;
const at = (n: number) => `${n}`.padStart(26, "0");

interface Answer {
  house: string;
  after: number;
  more: boolean;
  records: { version: number; record: AnyStored }[];
}

/** A browser: its records, what it has not yet handed in, and a network that loses answers. */
function browser(ask: ReturnType<typeof keptApp>["ask"], loses: () => boolean) {
  let records: Records = new Map();
  let waiting: AnyStored[] = [];
  let place: { house: string | null; after: number } = { house: null, after: 0 };
  return {
    write(changes: AnyStored[]) {
      records = mergeRecords(records, changes);
      waiting.push(...changes);
    },
    async sync(): Promise<void> {
      for (let more = true; more; ) {
        const sent = waiting;
        const { status, body } = await ask("POST", "/v1/sync", { ...place, changes: sent });
        if (status !== 200) throw new Error(JSON.stringify(body));
        if (loses()) return;
        const answer = body as unknown as Answer;
        waiting = waiting.slice(sent.length);
        records = mergeRecords(
          records,
          answer.records.map(({ record }) => record),
        );
        place = { house: answer.house, after: answer.after };
        more = answer.more;
      }
    },
    bench: (id: string): Bench | null => benchOf(records, id),
    records: () => records,
  };
}

const same = (records: Records) => canonical([...records].sort(([a], [b]) => (a < b ? -1 : 1)));

describe("browsers that work apart and meet at the server", () => {
  test("lose and double no round, whatever is written where and however often an answer is lost", async () => {
    const step = fc.record({
      who: fc.nat(2),
      does: fc.constantFrom("round", "note", "sync", "sync"),
      on: fc.nat(20),
      loses: fc.boolean(),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 25 }), async (steps) => {
        const { ask } = keptApp();
        let losing = false;
        const browsers = [0, 1, 2].map(() => browser(ask, () => losing));
        browsers[0]!.write(changesTo(null, DEMO, at(1)));
        for (const b of browsers) await b.sync();
        const made = new Set<string>();
        let clock = 1;
        for (const { who, does, on, loses } of steps) {
          const b = browsers[who]!;
          const bench = b.bench("demo")!;
          clock += 1;
          if (does === "round") {
            const from = bench.rounds[on % bench.rounds.length]!;
            const round = fork(bench, from, `round-${clock}`, `by ${who}`);
            made.add(round.id);
            b.write(changesTo(bench, { ...bench, rounds: [...bench.rounds, round] }, at(clock)));
          } else if (does === "note") {
            const rounds = bench.rounds.map((r, i) =>
              i === on % bench.rounds.length ? { ...r, notes: `note ${clock}` } : r,
            );
            b.write(changesTo(bench, { ...bench, rounds }, at(clock)));
          } else {
            losing = loses;
            await b.sync();
          }
        }
        losing = false;
        for (const b of [...browsers, ...browsers]) await b.sync();
        const [one, two, three] = browsers.map((b) => same(b.records()));
        expect(two).toBe(one);
        expect(three).toBe(one);
        const ids = browsers[2]!.bench("demo")!.rounds.map(({ id }) => id);
        expect(new Set(ids).size).toBe(ids.length);
        expect(ids).toHaveLength(6 + made.size);
        for (const id of made) expect(ids).toContain(id);
      }),
      { numRuns: 25 },
    );
  });

  test("a batch is fetched in pages and none of it is missed", async () => {
    const { ask } = keptApp();
    const maker = browser(ask, () => false);
    for (let i = 0; i < 3; i += 1) {
      const many = Array.from({ length: 60 }, (_, k) =>
        changesTo(null, { ...DEMO, id: `b${i}-${k}` }, at(1)),
      ).flat();
      maker.write(many);
      await maker.sync();
    }
    const reader = browser(ask, () => false);
    await reader.sync();
    expect(same(reader.records())).toBe(same(maker.records()));
    expect(reader.records().size).toBe(3 * 60 * 7);
  });

  test("a store that was replaced is noticed, and what the browser has goes in again", async () => {
    const [old, fresh] = [keptApp(), keptApp()];
    const body = { house: null, after: 0, changes: changesTo(null, DEMO, at(1)) };
    const first = (await old.ask("POST", "/v1/sync", body)).body as unknown as Answer;
    const { house, after } = first;
    const second = (await fresh.ask("POST", "/v1/sync", { house, after, changes: [] }))
      .body as unknown as Answer;
    expect(second.house).not.toBe(house);
    expect(second).toMatchObject({ records: [], after: 0 });
    await fresh.ask("POST", "/v1/sync", {
      house: second.house,
      after: 0,
      changes: first.records.map(({ record }) => record),
    });
    expect((await fresh.ask("GET", "/v1/benches/demo/tree")).body).toEqual(
      (await old.ask("GET", "/v1/benches/demo/tree")).body,
    );
  });

  test("one record that is wrong stops its batch and is named, so that the rest can go without it", async () => {
    const { ask } = keptApp();
    const changes = changesTo(null, DEMO, at(1)) as { values: Record<string, unknown> }[];
    changes[2] = { ...changes[2]!, values: { ...changes[2]!.values, label: 5 } };
    const refused = await ask("POST", "/v1/sync", { house: null, after: 0, changes });
    expect(refused).toMatchObject({
      status: 422,
      body: { errors: [{ pointer: "#/changes/2/values/label" }] },
    });
    expect((await ask("GET", "/v1/benches")).body).toEqual({ records: [] });
  });
});
