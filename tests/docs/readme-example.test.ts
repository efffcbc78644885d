import { execFileSync } from "node:child_process";
import { once } from "node:events";
import type { AddressInfo } from "node:net";
import { type ServerType, serve } from "@hono/node-server";
import { afterAll, beforeAll, expect, test } from "vitest";
import { createApp } from "../../api/app.ts";
import { readEnv } from "../../api/settings.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { readDocument } from "./documents.ts";

const { fences } = readDocument("README.md");
const at = fences.findIndex((f) => f.language === "sh" && /^curl\b/m.test(f.body));

let server: ServerType;
let origin: string;
beforeAll(async () => {
  server = serve({ fetch: createApp({ data: loadReferenceData() }).fetch, port: 0, hostname: "127.0.0.1" });
  if (!server.listening) await once(server, "listening");
  origin = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
});
afterAll(() => server.close());

/** The arguments the shell would hand to curl: its own quoting rules, no curl needed. */
function curlArguments(command: string): string[] {
  return execFileSync("bash", ["-c", `curl() { printf '%s\\0' "$@"; }\n${command}`], { encoding: "utf8" })
    .split("\0")
    .slice(0, -1);
}

/** What curl does with these arguments, for the few options an example needs. */
async function asCurl(args: string[]): Promise<Response> {
  const headers = new Headers();
  let url: string | undefined;
  let body: string | undefined;
  for (let i = 0; i < args.length; i += 1) {
    const arg = args[i]!;
    if (arg === "-s") continue;
    else if (arg === "-H") {
      const [name, ...value] = args[++i]!.split(":");
      headers.set(name!, value.join(":").trim());
    } else if (arg === "-d") body = args[++i]!;
    else if (!arg.startsWith("-") && url === undefined) url = arg;
    else throw new Error(`the example uses ${arg}, which this test does not know`);
  }
  const { pathname, search } = new URL(url!);
  return fetch(`${origin}${pathname}${search}`, {
    method: body === undefined ? "GET" : "POST",
    headers,
    body,
  });
}

/** JSON with every number kept as it is written, so that the digits shown can be compared. */
type Shown = { shown: string } | string | boolean | null | Shown[] | { [key: string]: Shown };
const withDigits = (json: string): Shown =>
  JSON.parse(
    json.replace(/"(?:[^"\\]|\\.)*"|-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?/g, (token) =>
      token.startsWith('"') ? token : `{"shown":"${token}"}`,
    ),
  ) as Shown;

/** Where the answer differs from what is shown; the answer may hold more. */
function differences(shown: Shown, real: unknown, path = ""): string[] {
  if (typeof shown === "object" && shown !== null) {
    if ("shown" in shown && typeof shown.shown === "string") {
      const decimals = shown.shown.split(".")[1]?.length ?? 0;
      const got = typeof real === "number" ? real.toFixed(decimals) : String(real);
      return got === shown.shown ? [] : [`${path}: shows ${shown.shown}, is ${got}`];
    }
    if (typeof real !== "object" || real === null) return [`${path}: is ${JSON.stringify(real)}`];
    return Object.entries(shown).flatMap(([key, value]) =>
      differences(value, (real as Record<string, unknown>)[key], `${path}/${key}`),
    );
  }
  return shown === real ? [] : [`${path}: shows ${JSON.stringify(shown)}, is ${JSON.stringify(real)}`];
}

test("the README's curl example gets the answer shown under it, to the digits shown", async () => {
  expect(at).toBeGreaterThanOrEqual(0);
  const answer = fences[at + 1]!;
  expect(answer.language).toBe("json");
  const args = curlArguments(fences[at]!.body);
  // It goes where `npm start` listens.
  const usual = readEnv({});
  const { HOST, PORT } = "env" in usual ? usual.env : { HOST: "", PORT: 0 };
  expect(args.filter((a) => a.startsWith("http")).map((a) => new URL(a).host)).toEqual([`${HOST}:${PORT}`]);
  const response = await asCurl(args);
  const real: unknown = await response.json();
  expect(response.status, JSON.stringify(real)).toBe(200);
  expect(answer.body.match(/\d/g)!.length).toBeGreaterThan(10);
  expect(differences(withDigits(answer.body), real)).toEqual([]);
});
