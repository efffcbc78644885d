import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { ROOT } from "../rules/source-tree.ts";

/** A Markdown document of the repository. */
export interface Document {
  path: string;
  text: string;
  /** Without its fenced blocks: only there do links and code spans mean anything. */
  prose: string;
  fences: { language: string; body: string }[];
}

const FENCE = /^```(\w*)\n([\s\S]*?)^```$/gm;

export function readDocument(path: string): Document {
  const text = readFileSync(join(ROOT, path), "utf8");
  return {
    path,
    text,
    prose: text.replace(FENCE, ""),
    fences: [...text.matchAll(FENCE)].map(([, language, body]) => ({ language: language!, body: body! })),
  };
}

/** Every Markdown file of the repository, folders made by tools left out. */
export function documentPaths(folder = ""): string[] {
  return readdirSync(join(ROOT, folder), { withFileTypes: true }).flatMap((entry) => {
    if (entry.name.startsWith(".") || entry.name === "node_modules") return [];
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return documentPaths(path);
    return entry.name.endsWith(".md") ? [path] : [];
  });
}

/** Links and images, with their targets as written. */
export function linksOf({ prose }: Document): string[] {
  return [
    ...[...prose.matchAll(/\]\(([^)\s]+)\)/g)].map((m) => m[1]!),
    ...[...prose.matchAll(/<(https?:[^>\s]+)>/g)].map((m) => m[1]!),
  ];
}

/** The text of every `code span`. */
export function codeSpansOf({ prose }: Document): string[] {
  return [...prose.matchAll(/`([^`\n]+)`/g)].map((m) => m[1]!);
}

/** The anchor a heading gets: lower case, punctuation dropped, spaces to hyphens. */
export function anchorsOf({ prose }: Document): string[] {
  return [...prose.matchAll(/^#+ (.+)$/gm)].map((m) =>
    m[1]!
      .toLowerCase()
      .replace(/[^\p{L}\p{N}\s-]/gu, "")
      .trim()
      .replace(/\s+/g, "-"),
  );
}
