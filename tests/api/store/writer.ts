import { writeSync } from "node:fs";
import { ulid } from "ulid";
import { openStore, type StorePlace } from "../../../api/store/open.ts";
import type { Store } from "../../../api/store/store.ts";
import { StoreTrouble } from "../../../api/store/trouble.ts";
import type { AnyStored } from "../../../engine/bench/records.ts";
import { changeOf } from "../../../engine/bench/view.ts";

// A process that saves rounds as fast as it can and says the id of each once the store has answered.
// It is killed in the middle of it (kill-writers.ts), or meets a disk that is full (durable.test.ts).

/** On a machine busy with killing, a database server may be slow to let one in. */
async function openPatiently(tries = 5): Promise<Store> {
  try {
    return await openStore(place);
  } catch (error) {
    if (tries === 0 || !(error instanceof StoreTrouble) || error.reason !== "unreachable") throw error;
    return openPatiently(tries - 1);
  }
}

const place = JSON.parse(process.argv[2]!) as StorePlace;
// Past the limit on a file's size a write fails instead of ending the process.
process.on("SIGXFSZ", () => {});
// Root may write anywhere: it gives that up once everything is loaded.
if (process.argv[3] === "unprivileged" && process.getuid!() === 0) {
  process.setgid!("nogroup");
  process.setuid!("nobody");
}
try {
  const store = await openPatiently();
  const spec = {
    name: "Simulated",
    method: "shaken" as const,
    lines: [{ ingredient: "rum-aged", amount: 2, unit: "oz" as const }],
  };
  const bench = ulid();
  const named = { name: "Simulated", target: "", current: null, story: null, invented: true, deleted: false };
  await store.write([changeOf("bench", bench, bench, named, store.stamp()) as AnyStored], { link: null });
  for (let number = 1; ; number += 1) {
    const id = ulid();
    const values = { number, parent: null, label: "", spec, notes: "", faults: [], deleted: false };
    const round = changeOf("round", id, bench, { ...values, state: "open" }, store.stamp());
    await store.write([round as AnyStored], { link: null });
    writeSync(1, `${id}\n`);
  }
} catch (error) {
  writeSync(2, `${(error as Error).name}: ${(error as Error).message}\n`);
  process.exitCode = 1;
}
