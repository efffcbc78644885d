import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

/** Names under which packages keep their licence and notices. */
const LEGAL_FILE = /^(?:licen[cs]e|copying|notice)(?:[.-].*)?$/i;
/** A file of a package: the package's folder, the last one where packages hold others. */
const IN_PACKAGE = /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//;

/**
 * The licence texts of every package that some files are taken from, as their licences ask of whoever passes
 * them on.
 *
 * @param files paths from `root`, with forward slashes
 * @throws Error for a package that states no licence
 */
export function licencesOf(files: readonly string[], root: string): string {
  const folders = new Set(files.flatMap((file) => IN_PACKAGE.exec(file)?.[1] ?? []));
  return [...folders]
    .sort()
    .map((folder) => {
      const at = join(root, folder);
      const { name, version, license } = JSON.parse(readFileSync(join(at, "package.json"), "utf8"));
      if (!name || !license) throw new Error(`${folder} states no licence; read it and write it down here`);
      const texts = readdirSync(at)
        .filter((file) => LEGAL_FILE.test(file))
        .map((file) => readFileSync(join(at, file), "utf8").trim());
      return [`${name} ${version}: ${license}`, ...texts].join("\n\n");
    })
    .join(`\n\n${"-".repeat(80)}\n\n`);
}
