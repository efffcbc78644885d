import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { seededRandom } from "../../engine/seeded-random.ts";
import { killWriters } from "../api/store/kill-writers.ts";
import { startPostgres } from "../api/store/postgres-server.ts";

// A thousand writers killed in the middle of a write, together with those of the test suite (thirty on each
// database a run): what was acknowledged is all there, once. `npx tsx tests/bench/kills.ts` takes some
// minutes and records what it found in kills.json.

const KILLS_EACH = 500;
const random = seededRandom(1000);
const killing = {
  kills: KILLS_EACH,
  together: 3,
  pick: (below: number) => Math.floor(random.uniform() * below),
};

const folder = mkdtempSync(join(tmpdir(), "steelyard-kills-"));
const sqlite = await killWriters({ folder }, killing);
rmSync(folder, { recursive: true });
const server = await startPostgres();
const postgres = await killWriters({ folder: null, databaseUrl: await server.freshUrl() }, killing);
await server.stop();
const found = { date: new Date().toISOString().slice(0, 10), node: process.version, sqlite, postgres };
writeFileSync(join(import.meta.dirname, "kills.json"), `${JSON.stringify(found, null, 2)}\n`);
console.log(found);
