import type { DecodedView } from "./link-reader.ts";

/**
 * What checks things from outside, links and files and what the browser kept: it carries the schemas, and a first
 * visit, which has none of these, goes without it.
 */
export const loadOutside = async () => {
  const [{ readBench, readBenchFile }, { decodeView }] = await Promise.all([
    import("./bench-file.ts"),
    import("./link-reader.ts"),
  ]);
  return { readBench, readBenchFile, decodeView };
};

/** A fragment read; an empty one needs no reader. */
export async function decode(fragment: string): Promise<DecodedView> {
  if (fragment === "") return { view: {}, bench: null, problems: [] };
  return (await loadOutside()).decodeView(fragment);
}
