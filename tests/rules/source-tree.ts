import { readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";

export const ROOT = new URL("../..", import.meta.url).pathname;

export interface SourceFile {
  path: string;
  text: string;
}

/** Every .ts and .tsx file below `folder`, with paths relative to the repository. */
export function sourceFiles(folder: string): SourceFile[] {
  return readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .map((full) => ({ path: relative(ROOT, full), text: readFileSync(full, "utf8") }));
}
