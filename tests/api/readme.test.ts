import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { testApp } from "./harness.ts";

const readme = readFileSync(new URL("../../README.md", import.meta.url), "utf8");

/** The shown part of an answer, with each number kept as written, so that its digits can be counted. */
type Shown = string | boolean | null | Shown[] | { [key: string]: Shown };

function expectShown(shown: Shown, actual: unknown, where: string): void {
  if (typeof shown === "object" && shown !== null) {
    for (const [key, value] of Object.entries(shown)) {
      expectShown(value as Shown, (actual as Record<string, unknown>)[key], `${where}/${key}`);
    }
  } else if (typeof shown === "string" && typeof actual === "number") {
    expect(actual.toFixed(shown.split(".")[1]?.length ?? 0), where).toBe(shown);
  } else {
    expect(actual, where).toEqual(shown);
  }
}

test("the README's request gets the README's answer", async () => {
  const call =
    /curl -s http:\/\/127\.0\.0\.1:8787(\S+) [^']*'content-type: application\/json' -d '([^']+)'/.exec(
      readme,
    );
  expect(call, "a curl call in the README").not.toBeNull();
  const [whole, path, body] = call!;
  const after = readme.slice(readme.indexOf(whole!) + whole!.length);
  const json = /```json\n([\s\S]+?)```/.exec(after)![1]!;
  const shown = JSON.parse(json.replace(/":\s*(-?\d+(?:\.\d+)?)(?=\s*[,}])/g, '": "$1"')) as Shown;
  const response = await testApp().request(path!, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: body!,
  });
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  expectShown(shown, answer, "");
  expect(Object.keys(shown as object).length).toBeGreaterThan(0);
});
