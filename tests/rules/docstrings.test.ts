import { expect, test } from "vitest";
import { sourceFiles } from "./source-tree.ts";

const EXPORTED = /^export (?:async )?(?:function|const|class|interface|type) (\w+)/;

test("every exported function and constant of the engine has a docstring", () => {
  const bare: string[] = [];
  let seen = 0;
  for (const { path, text } of sourceFiles("engine")) {
    const lines = text.split("\n");
    lines.forEach((line, i) => {
      const name = EXPORTED.exec(line)?.[1];
      if (name === undefined || /^export (interface|type)/.test(line)) return;
      seen += 1;
      if (!/\*\/\s*$/.test(lines[i - 1] ?? "")) bare.push(`${path}: ${name}`);
    });
  }
  expect(seen).toBeGreaterThan(30);
  expect(bare).toEqual([]);
});
