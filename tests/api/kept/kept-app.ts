import { storeDoor } from "../../../api/store/open.ts";
import { type App, testApp } from "../harness.ts";

/** The app with a store of its own in memory, asked as a program on this machine would. */
export function keptApp(deps: Parameters<typeof testApp>[0] = {}) {
  return asking(testApp({ store: storeDoor({ folder: null }), ...deps }));
}

/** What comes back, read. */
export interface Said {
  status: number;
  etag: string | null;
  body: Record<string, unknown>;
}

/** A shorthand for requests; `secret` goes as a bearer's. */
export function asking(app: App, secret?: string) {
  const ask = async (
    method: string,
    path: string,
    body?: unknown,
    headers: Record<string, string> = {},
  ): Promise<Said> => {
    const response = await app.request(path, {
      method,
      headers: {
        ...(body !== undefined && { "Content-Type": "application/json" }),
        ...(secret !== undefined && { Authorization: `Bearer ${secret}` }),
        ...headers,
      },
      ...(body !== undefined && { body: JSON.stringify(body) }),
    });
    const text = await response.text();
    return {
      status: response.status,
      etag: response.headers.get("etag"),
      body: text === "" ? {} : (JSON.parse(text) as Record<string, unknown>),
    };
  };
  return { app, ask, as: (other: string) => asking(app, other) };
}

export const MAKE = { "If-None-Match": "*" };
export const seen = (said: Said) => ({ "If-Match": said.etag ?? "" });

export const SPEC = {
  name: "Test sour",
  method: "shaken",
  lines: [
    { ingredient: "rum-aged", amount: 2, unit: "oz" },
    { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
    { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
  ],
};

/** A bench with rounds r1 → r2 → r3. */
export async function withRounds({ ask }: ReturnType<typeof asking>): Promise<void> {
  await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
  await ask("PUT", "/v1/benches/b1/rounds/r1", { spec: SPEC }, MAKE);
  await ask("PUT", "/v1/benches/b1/rounds/r2", { spec: poured(0, 1.5), parent: "r1" }, MAKE);
  await ask("PUT", "/v1/benches/b1/rounds/r3", { spec: poured(1, 1, poured(0, 1.5)), parent: "r2" }, MAKE);
}

/** The spec with another amount in one line. */
export function poured(line: number, amount: number, spec = SPEC) {
  return { ...spec, lines: spec.lines.map((l, i) => (i === line ? { ...l, amount } : l)) };
}

const figure = (value: number) => ({ value, sd: 0, source: "user" });

/** An ingredient of one's own. */
export const CORDIAL = {
  id: "cordial",
  name: "Lime cordial",
  role: "syrup",
  aliases: [],
  abvPercent: figure(0),
  sugarsGPer100Ml: { sucrose: figure(60) },
  acidsGPer100Ml: { citric: figure(3) },
};

/** A prep. */
export const HONEY = {
  id: "honey-syrup",
  name: "Honey syrup 3:1",
  role: "syrup",
  parts: [
    { ingredient: "honey", amount: 300, unit: "g" },
    { ingredient: "water", amount: 100, unit: "g" },
  ],
  storage: "fridge",
  madeOn: "2026-11-25",
  batch: "1",
};
