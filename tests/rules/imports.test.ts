import { readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { ROOT, sourceFiles } from "./source-tree.ts";

/** One import edge: who, what, and whether only types cross it. */
interface Edge {
  from: string;
  to: string;
  typeOnly: boolean;
}

const IMPORT = /^\s*(?:import|export)\s+(type\s+)?(?:[^"';]*?\sfrom\s+)?"([^"]+)"/gm;

function edgesOf(folder: string): Edge[] {
  return sourceFiles(folder).flatMap(({ path, text }) =>
    [...text.matchAll(IMPORT)].map(([, typeOnly, to]) => ({
      from: path,
      to: to!.startsWith(".") ? join(dirname(path), to!) : to!,
      typeOnly: typeOnly !== undefined,
    })),
  );
}

const inFolder = (to: string, folder: string) => to.startsWith(`${folder}/`);
/** The rooms of the engine that check what comes from outside. */
const fromOutside = (file: string) =>
  inFolder(file, "engine/shapes") || inFolder(file, "engine/bench") || file === "engine/card/read.ts";
/**
 * Where a shape's type has its name: each field is said once, in the shape. Only types may cross there, which leave
 * nothing behind: the rooms that compute, and the page's first load, come without zod.
 */
const namesTypes = ({ from, typeOnly }: Edge) =>
  typeOnly &&
  (inFolder(from, "engine/types") || from === "engine/prep/types.ts" || from === "engine/card/types.ts");
const show = (edges: Edge[]) => edges.map((e) => `${e.from} -> ${e.to}`);

describe("imports point one way (decision D-01)", () => {
  test("the engine imports only itself, each numeric library through its one wrapper, zod in its shapes, and CSV on the card", () => {
    const allowed: Record<string, string> = {
      "ml-matrix": "engine/linalg.ts",
      "simple-statistics": "engine/stats.ts",
    };
    const edges = edgesOf("engine");
    expect(edges.length).toBeGreaterThan(20);
    const isTable = (e: Edge) => e.to === "d3-dsv" && inFolder(e.from, "engine/card");
    const isShape = (e: Edge) => e.to === "zod/mini" && (fromOutside(e.from) || namesTypes(e));
    expect(
      show(
        edges.filter(
          (e) => !inFolder(e.to, "engine") && allowed[e.to] !== e.from && !isShape(e) && !isTable(e),
        ),
      ),
    ).toEqual([]);
  });

  test("shapes are for what comes from outside: nothing that computes imports them, but to name their types", () => {
    const inward = edgesOf("engine").filter((e) => inFolder(e.to, "engine/shapes"));
    expect(inward.length).toBeGreaterThan(3);
    expect(show(inward.filter((e) => !fromOutside(e.from) && !namesTypes(e)))).toEqual([]);
  });

  test("reference-data imports no server and no page", () => {
    const edges = edgesOf("reference-data");
    expect(show(edges.filter((e) => inFolder(e.to, "api") || inFolder(e.to, "viz")))).toEqual([]);
  });

  test("the API imports no page", () => {
    expect(show(edgesOf("api").filter((e) => inFolder(e.to, "viz")))).toEqual([]);
  });

  test("the page imports the engine, and from the API only types", () => {
    const edges = edgesOf("viz");
    expect(show(edges.filter((e) => inFolder(e.to, "reference-data")))).toEqual([]);
    expect(show(edges.filter((e) => inFolder(e.to, "api") && !e.typeOnly))).toEqual([]);
    expect(show(edges.filter((e) => e.to.startsWith("node:") && e.from !== "viz/vite.config.ts"))).toEqual(
      [],
    );
  });
});

describe("the engine is pure (decision D-01)", () => {
  test.each([
    ["the clock", /\bDate\.now\b|\bnew Date\b|\bperformance\.now\b/],
    ["unseeded randomness", /\bMath\.random\b/],
    ["the DOM", /\bdocument\.|\bwindow\./],
    ["Node", /\bprocess\.|\bfrom "node:/],
    ["the network", /\bfetch\(/],
  ])("no file uses %s", (_what, pattern) => {
    const code = (text: string) => text.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, "");
    expect(
      sourceFiles("engine")
        .filter((f) => pattern.test(code(f.text)))
        .map((f) => f.path),
    ).toEqual([]);
  });
});

test("the top level holds exactly what the project's rules allow", () => {
  const entries = readdirSync(ROOT).filter((name) => !name.startsWith(".") && name !== "node_modules");
  expect(entries.sort()).toEqual(
    [
      "DEVELOPERS.md",
      "README.md",
      "api",
      "engine",
      "package-lock.json",
      "package.json",
      "reference-data",
      "tests",
      "tsconfig.json",
      "viz",
    ].sort(),
  );
});
