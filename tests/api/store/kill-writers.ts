import { type ChildProcess, spawn } from "node:child_process";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { openStore, type StorePlace } from "../../../api/store/open.ts";

const ROOT = fileURLToPath(new URL("../../..", import.meta.url));

/** Bundle a program by its path in the project, so that a process of it starts quickly. */
export async function bundleProgram(path: string): Promise<string> {
  // As deep as the shipped server, which looks for its data from where it lies.
  const outfile = join(ROOT, ".build", "test-programs", basename(path, ".ts"), "main.js");
  await build({
    entryPoints: [join(ROOT, path)],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    target: "node20",
    packages: "external",
    logLevel: "warning",
  });
  return outfile;
}

export interface Killing {
  kills: number;
  /** Rounds whose writing was answered. */
  acknowledged: number;
  /** Of those, the ones that are not in the store. */
  lost: number;
  /** Of those, the ones that the history holds more than once. */
  doubled: number;
  /** Rounds that were kept though the writer died before it could say so. */
  unsaid: number;
}

/** Run one writer until it has said `count` rounds and then kill -9 it, in the middle of the next write. */
function killAfter(writer: ChildProcess, count: number, said: Set<string>): Promise<void> {
  return new Promise((resolve, reject) => {
    let text = "";
    let complaint = "";
    writer.stderr!.on("data", (chunk) => {
      complaint += chunk;
    });
    writer.stdout!.on("data", (chunk) => {
      text += chunk;
      if (text.split("\n").length > count) writer.kill("SIGKILL");
    });
    writer.on("close", (_code, signal) => {
      if (signal !== "SIGKILL") return reject(new Error(`a writer ended by itself: ${complaint}`));
      // A line cut short was not said.
      for (const id of text.split("\n").slice(0, -1)) said.add(id);
      resolve();
    });
  });
}

/**
 * Writers on one store, several at a time, each killed (SIGKILL) after a few rounds, until `kills` have died.
 * Then the store is opened and everything that was acknowledged is looked for. A killed process shows what a
 * crash of the program does; the loss of power is up to fsync, which each commit waits for.
 */
export async function killWriters(
  place: StorePlace,
  { kills, together, pick }: { kills: number; together: number; pick: (below: number) => number },
): Promise<Killing> {
  const program = await bundleProgram("tests/api/store/writer.ts");
  const said = new Set<string>();
  let died = 0;
  const slot = async (): Promise<void> => {
    while (died < kills) {
      died += 1;
      const writer = spawn(process.execPath, [program, JSON.stringify(place)], {
        stdio: ["ignore", "pipe", "pipe"],
      });
      await killAfter(writer, 1 + pick(12), said);
    }
  };
  await Promise.all(Array.from({ length: together }, slot));

  const store = await openStore(place);
  try {
    const written = (await store.history(null, null, 1_000_000)).filter(({ kind }) => kind === "round");
    const kept = new Set(
      (await store.allBenches()).filter(({ kind }) => kind === "round").map(({ id }) => id),
    );
    const times = new Map<string, number>();
    for (const { id } of written) times.set(id, (times.get(id) ?? 0) + 1);
    return {
      kills: died,
      acknowledged: said.size,
      lost: [...said].filter((id) => !kept.has(id)).length,
      doubled: [...times.values()].filter((n) => n > 1).length,
      unsaid: [...kept].filter((id) => !said.has(id)).length,
    };
  } finally {
    await store.close();
  }
}
