import { closeSync, fdatasyncSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { ulid } from "ulid";
import { openStore } from "../../api/store/open.ts";
import type { AnyStored } from "../../engine/bench/records.ts";
import { changeOf } from "../../engine/bench/view.ts";

// Rounds kept a second, each on disk before the next, against the least that being on disk can cost: appending
// the same bytes to a file and waiting for them. Turn about, on the same disk.

const ROUNDS = 7;
const WRITES = 60;

export interface StoreBench {
  /** Time of ours over theirs, round by round. */
  ratios: number[];
}

export async function benchStore(): Promise<StoreBench> {
  const folder = mkdtempSync(join(tmpdir(), "steelyard-bench-"));
  const store = await openStore({ folder });
  const bench = { name: "B", target: "", current: null, story: null, invented: true, deleted: false };
  await store.write([changeOf("bench", "b", "b", bench, store.stamp()) as AnyStored], { link: null });
  const lines = ["rum-aged", "juice-lime", "syrup-simple-1-1"].map((ingredient) => ({
    ingredient,
    amount: 1,
    unit: "oz" as const,
  }));
  const round = (number: number): AnyStored =>
    changeOf(
      "round",
      ulid(),
      "b",
      {
        number,
        parent: null,
        label: "",
        spec: { name: "Sour", method: "shaken", lines },
        notes: "",
        faults: [],
        state: "open",
        deleted: false,
      },
      store.stamp(),
    ) as AnyStored;
  const file = openSync(join(folder, "plain"), "a");
  const ratios: number[] = [];
  for (let turn = 0; turn < ROUNDS; turn += 1) {
    const rounds = Array.from({ length: WRITES }, (_, i) => round(i + 1));
    const started = performance.now();
    for (const one of rounds) await store.write([one], { link: null });
    const kept = performance.now();
    for (const one of rounds) {
      writeSync(file, JSON.stringify(one));
      fdatasyncSync(file);
    }
    ratios.push((kept - started) / (performance.now() - kept));
  }
  closeSync(file);
  await store.close();
  rmSync(folder, { recursive: true });
  return { ratios };
}
