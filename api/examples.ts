import type { Hono } from "hono";
import type { ApiEnv } from "./context.ts";

/*
 * The example answers of the document, from the server itself: each operation is called as its own example says,
 * in a house that is made up for it, so that no example can be wrong or old. Written when the server is built.
 */

/** An example of each way an operation answers well, by operation id and status. */
export type Examples = Readonly<Record<string, Readonly<Record<string, unknown>>>>;

/** What is needed here of the document. */
interface Operation {
  operationId: string;
  parameters?: { name: string; in: string; example?: unknown }[];
  requestBody?: { content: { "application/json": { example: Record<string, unknown> } } };
}

/** How a call departs from the example. */
interface Call {
  headers?: Record<string, string>;
  /** Path parameters. */
  at?: Record<string, string>;
  body?: unknown;
}

/** Every kind of kept record, as operation ids name it, what others need first. */
const ROOMS = ["Bench", "Round", "Flight", "Tasting", "OwnIngredient", "Prep", "Setting"] as const;
const MAKE = { "If-None-Match": "*" };
const CHANGE = { "If-Match": "*" };

/** An example shows what an item looks like, not how many there are. */
const MOST_ITEMS = 3;
const MOST_WORDS = 6;

/** Lists cut short; vectors and matrices are shorter than that. */
function cut(value: unknown): unknown {
  if (typeof value !== "object" || value === null) return value;
  if (!Array.isArray(value)) {
    return Object.fromEntries(Object.entries(value).map(([key, item]) => [key, cut(item)]));
  }
  const isOfThings = typeof value[0] === "object" && !Array.isArray(value[0]);
  return value.slice(0, isOfThings ? MOST_ITEMS : MOST_WORDS).map(cut);
}

/**
 * Example answers of every operation.
 *
 * @param app the server, with nothing kept in it yet
 * @throws Error if an operation does not answer its own example well
 */
export async function makeExamples(app: Pick<Hono<ApiEnv>, "request">): Promise<Examples> {
  const { paths } = (await (await app.request("/openapi.json")).json()) as {
    paths: Record<string, Record<string, Operation>>;
  };
  const operations = new Map(
    Object.entries(paths).flatMap(([path, methods]) =>
      Object.entries(methods).map(([method, operation]) => [
        operation.operationId,
        { path, method, operation },
      ]),
    ),
  );
  const found: Record<string, Record<string, unknown>> = {};

  async function call(id: string, { headers, at, body }: Call = {}): Promise<Record<string, unknown>> {
    const { path, method, operation } = operations.get(id)!;
    const { parameters = [], requestBody } = operation;
    const shown = (where: string) =>
      parameters.flatMap(({ name, in: there, example }) =>
        there === where && example !== undefined ? [[name, String(example)] as const] : [],
      );
    const parts = { ...Object.fromEntries(shown("path")), ...at };
    const query = new URLSearchParams(Object.fromEntries(shown("query")));
    const sent = body ?? requestBody?.content["application/json"].example;
    const response = await app.request(`${path.replace(/\{(\w+)\}/g, (_, name) => parts[name]!)}?${query}`, {
      method: method.toUpperCase(),
      headers: { ...(sent !== undefined && { "Content-Type": "application/json" }), ...headers },
      ...(sent !== undefined && { body: JSON.stringify(sent) }),
    });
    const answer = (await response.json()) as Record<string, unknown>;
    if (!response.ok) throw new Error(`${id} refuses its own example: ${JSON.stringify(answer)}`);
    found[id] = { ...found[id], [response.status]: cut(answer) };
    return answer;
  }

  for (const room of ROOMS) {
    await call(`put${room}`, { headers: MAKE });
    // Sent again, as after an answer that was lost.
    await call(`put${room}`);
    await call(`patch${room}`, { headers: CHANGE });
  }
  await secondRound(operations.get("compareRounds")!.operation, call);
  const { link, secret } = (await call("makeLink")) as { link: { id: string }; secret: string };
  const taster = { headers: { Authorization: `Bearer ${secret}` } };
  await call("sendForm", taster);
  await call("readTable", taster);
  for (const id of operations.keys()) {
    const isChange = /^(?:put|patch|delete|revoke|undo|restore)/.test(id);
    if (!isChange && found[id] === undefined) await call(id);
  }
  await call("revokeLink", { at: { id: link.id } });
  for (const room of [...ROOMS].reverse()) await call(`delete${room}`, { headers: CHANGE });
  for (const id of ["undoBench", "undoHouse", "restore"]) await call(id);
  return found;
}

/** The round that the first is compared with: more lime. */
async function secondRound(
  { parameters = [] }: Operation,
  call: (id: string, call: Call) => Promise<Record<string, unknown>>,
): Promise<void> {
  const idOf = (name: string) => String(parameters.find((p) => p.name === name)?.example);
  const { spec } = (await call("readRound", {})) as { spec: { lines: { amount: number }[] } };
  const lines = spec.lines.map((line, i) => (i === 1 ? { ...line, amount: 1 } : line));
  const body = { spec: { ...spec, lines }, parent: idOf("from") };
  await call("putRound", { at: { id: idOf("to") }, body, headers: MAKE });
}
