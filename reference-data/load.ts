import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { EngineError } from "../engine/errors.ts";
import type { ReferenceData } from "../engine/types.ts";
import { assembleReferenceData, REFERENCE_FILES, type ReferenceFile } from "./assemble.ts";

let cached: ReferenceData | undefined;

/**
 * The reference data, read once, checked and frozen.
 *
 * The files are found beside this module, or, when it has been bundled, in `reference-data/` of a
 * folder above it or of the working directory.
 *
 * Throws: EngineError naming file, row, column and remedy; EngineError if the folder is missing.
 */
export function loadReferenceData(): ReferenceData {
  cached ??= assembleReferenceData(readReferenceFiles());
  return cached;
}

/** The raw text of every reference file, by name. */
export function readReferenceFiles(): Record<ReferenceFile, string> {
  const folder = referenceFolder();
  const entries = REFERENCE_FILES.map((file) => {
    const path = join(folder, file);
    if (!existsSync(path)) {
      throw new EngineError([
        {
          pointer: `reference-data/${file}`,
          detail: "the file is missing",
          remedy: "restore it from the repository",
        },
      ]);
    }
    return [file, readFileSync(path, "utf8")];
  });
  return Object.fromEntries(entries) as Record<ReferenceFile, string>;
}

function referenceFolder(): string {
  const holdsData = (folder: string) => existsSync(join(folder, "ingredients.csv"));
  const here = dirname(fileURLToPath(import.meta.url));
  if (holdsData(here)) return here;
  for (let folder = here; ; folder = dirname(folder)) {
    if (holdsData(join(folder, "reference-data"))) return join(folder, "reference-data");
    if (folder === dirname(folder)) break;
  }
  const fallback = join(process.cwd(), "reference-data");
  if (holdsData(fallback)) return fallback;
  throw new EngineError([
    {
      pointer: "reference-data",
      detail: "the folder is neither beside the program nor in the working directory",
      remedy: "start Steelyard from its own folder",
    },
  ]);
}
