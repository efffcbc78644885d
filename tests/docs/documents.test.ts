import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { ROOT } from "../rules/source-tree.ts";
import { anchorsOf, codeSpansOf, documentPaths, linksOf, readDocument } from "./documents.ts";

const paths = documentPaths();
const { scripts } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as {
  scripts: Record<string, string>;
};

test("the two documents everybody reads are there", () => {
  expect(paths).toEqual(expect.arrayContaining(["README.md", "DEVELOPERS.md"]));
  expect(linksOf(readDocument("README.md")).length).toBeGreaterThan(3);
  expect(codeSpansOf(readDocument("DEVELOPERS.md")).length).toBeGreaterThan(30);
});

describe.each(paths)("%s", (path) => {
  const document = readDocument(path);

  test("every relative link and image leads somewhere, to the heading it names", () => {
    const broken = linksOf(document)
      .filter((link) => !/^[a-z]+:/.test(link))
      .filter((link) => {
        const [file, anchor] = link.split("#") as [string, string | undefined];
        const to = file === "" ? path : join(dirname(path), decodeURI(file));
        if (!existsSync(join(ROOT, to))) return true;
        return anchor !== undefined && !anchorsOf(readDocument(to)).includes(anchor);
      });
    expect(broken).toEqual([]);
  });

  test("it links to no host but the page's own", () => {
    const away = linksOf(document).filter(
      (link) => /^[a-z]+:/.test(link) && !link.startsWith("http://127.0.0.1"),
    );
    expect(away).toEqual([]);
  });

  test("every path it names exists", () => {
    const named = codeSpansOf(document).flatMap((span) =>
      [...span.matchAll(/(?:^|\s)((?:engine|api|viz|tests|reference-data)\/[\w./-]*)/g)].map((m) => m[1]!),
    );
    expect(named.filter((file) => !existsSync(join(ROOT, file)))).toEqual([]);
  });

  test("every npm script it names exists", () => {
    const commands = [...codeSpansOf(document), ...document.fences.map((f) => f.body)].join("\n");
    const named = [...commands.matchAll(/\bnpm (?:run (?:--silent )?([\w:-]+)|(start|test)\b)/g)].map(
      (m) => m[1] ?? m[2]!,
    );
    expect(named.filter((name) => !(name in scripts))).toEqual([]);
  });

  test("nothing is left to fill in", () => {
    expect(document.text.match(/\b(TODO|TBD|FIXME|XXX|BENCH|PLACEHOLDER)\b|[Ll]orem ipsum/g)).toBeNull();
  });
});
