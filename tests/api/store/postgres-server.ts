import { execFileSync, spawn } from "node:child_process";
import { chownSync, existsSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir, userInfo } from "node:os";
import { join } from "node:path";
import pg from "pg";

// A real Postgres server from Debian's package, in a folder of its own, reached through a socket there.
// tests/run-all.sh installs the package where it is missing.

function binaries(): string {
  const home = "/usr/lib/postgresql";
  const versions = existsSync(home) ? readdirSync(home).sort((a, b) => Number(b) - Number(a)) : [];
  const found = versions.map((v) => join(home, v, "bin")).find((bin) => existsSync(join(bin, "initdb")));
  if (!found) throw new Error("no Postgres server here; install Debian's package postgresql");
  return found;
}

/** Postgres refuses to run as root: then it runs as the user its package makes, or as nobody. */
function unprivileged(): { uid: number; gid: number } | undefined {
  if (userInfo().uid !== 0) return undefined;
  for (const name of ["postgres", "nobody"]) {
    try {
      const [uid, gid] = ["-u", "-g"].map((part) =>
        Number(execFileSync("id", [part, name], { stdio: ["ignore", "pipe", "ignore"] })),
      );
      return { uid: uid!, gid: gid! };
    } catch {
      // Not a user here.
    }
  }
  throw new Error("neither postgres nor nobody is a user here");
}

export interface PostgresServer {
  /** A new, empty database. */
  freshUrl(): Promise<string>;
  stop(): Promise<void>;
}

export async function startPostgres(): Promise<PostgresServer> {
  const bin = binaries();
  const as = unprivileged();
  const folder = mkdtempSync(join(tmpdir(), "steelyard-pg-"));
  if (as) chownSync(folder, as.uid, as.gid);
  const data = join(folder, "data");
  const user = { ...as, cwd: folder, env: { ...process.env, LC_ALL: "C" } };
  execFileSync(
    join(bin, "initdb"),
    ["-D", data, "-U", "steelyard", "-A", "trust", "-E", "UTF8", "--no-sync"],
    {
      ...user,
      stdio: ["ignore", "ignore", "pipe"],
    },
  );
  const server = spawn(
    join(bin, "postgres"),
    ["-D", data, "-k", folder, "-c", "listen_addresses=", "-c", "max_connections=60"],
    { ...user, stdio: ["ignore", "ignore", "pipe"] },
  );
  let log = "";
  server.stderr.on("data", (chunk) => {
    log += chunk;
  });
  const ended = new Promise<void>((resolve) => server.on("exit", () => resolve()));
  const urlOf = (database: string) => `postgres://steelyard@/${database}?host=${encodeURIComponent(folder)}`;
  const connect = async () => {
    const client = new pg.Client({ connectionString: urlOf("postgres") });
    await client.connect();
    return client;
  };
  for (let tries = 0; ; tries += 1) {
    try {
      await (await connect()).end();
      break;
    } catch (error) {
      if (server.exitCode !== null || tries > 300)
        throw new Error(`Postgres did not start: ${log}`, { cause: error });
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
  let made = 0;
  return {
    async freshUrl() {
      made += 1;
      const client = await connect();
      await client.query(`create database fresh_${made}`);
      await client.end();
      return urlOf(`fresh_${made}`);
    },
    async stop() {
      server.kill("SIGINT");
      await ended;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
