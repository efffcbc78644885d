import { beforeEach, describe, expect, test } from "vitest";
import { declaredRoutes, KEPT } from "../harness.ts";
import { CORDIAL, HONEY, keptApp, MAKE, type Said, SPEC, seen, withRounds } from "./kept-app.ts";

let app: ReturnType<typeof keptApp>;
let ask: ReturnType<typeof keptApp>["ask"];
beforeEach(() => {
  app = keptApp();
  ask = app.ask;
});
const slug = (said: Said) => said.body.type;

describe("a record, one at a time", () => {
  test("is made under an id of one's own, read, changed, put away and brought back", async () => {
    const made = await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
    expect(made).toMatchObject({ status: 201, body: { id: "b1", name: "Sour", target: "", deleted: false } });
    const changed = await ask("PATCH", "/v1/benches/b1", { name: "Long sour" }, seen(made));
    expect(changed).toMatchObject({ status: 200, body: { name: "Long sour", target: "" } });
    expect(changed.etag).not.toBe(made.etag);
    expect(await ask("GET", "/v1/benches/b1")).toEqual(changed);
    const away = await ask("DELETE", "/v1/benches/b1", undefined, seen(changed));
    expect(away).toMatchObject({ status: 200, body: { deleted: true } });
    expect((await ask("GET", "/v1/benches")).body).toEqual({ records: [] });
    const back = await ask("PATCH", "/v1/benches/b1", { deleted: false }, seen(away));
    expect((await ask("GET", "/v1/benches")).body).toEqual({ records: [back.body] });
  });

  test("a request sent again because the answer was lost changes nothing", async () => {
    const first = await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
    const again = await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
    expect(again).toEqual({ ...first, status: 200 });
    const { body } = await ask("GET", "/v1/benches/b1/history");
    expect(body.changes).toHaveLength(1);
  });

  test("no write goes over one it has not seen", async () => {
    const made = await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
    await ask("PATCH", "/v1/benches/b1", { name: "One" }, seen(made));
    for (const [method, body] of [
      ["PUT", { name: "Two" }],
      ["PATCH", { name: "Two" }],
      ["DELETE", undefined],
    ] as const) {
      const late = await ask(method, "/v1/benches/b1", body, seen(made));
      expect(late).toMatchObject({ status: 412, body: { type: "/problems/precondition-failed" } });
      const blind = await ask(method, "/v1/benches/b1", body);
      expect(blind).toMatchObject({ status: 428, body: { type: "/problems/precondition-required" } });
    }
    expect(slug(await ask("PUT", "/v1/benches/b1", { name: "Two" }, MAKE))).toBe(
      "/problems/precondition-failed",
    );
    expect((await ask("GET", "/v1/benches/b1")).body.name).toBe("One");
  });

  test("of many writes in view of one version exactly one gets in", async () => {
    const made = await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
    const writes = Array.from({ length: 8 }, (_, i) =>
      ask("PATCH", "/v1/benches/b1", { name: `n${i}` }, seen(made)),
    );
    const statuses = (await Promise.all(writes)).map(({ status }) => status).sort();
    expect(statuses).toEqual([200, ...Array<number>(7).fill(412)]);
  });

  test("who has the present version is told so without the body", async () => {
    const made = await ask("PUT", "/v1/benches/b1", { name: "Sour" }, MAKE);
    const known = await ask("GET", "/v1/benches/b1", undefined, { "If-None-Match": made.etag! });
    expect(known).toMatchObject({ status: 304, etag: made.etag });
  });

  test("everything that can be read has a tag, and 304 for who has it, until it changes", async () => {
    const routes = (await declaredRoutes(app.app)).filter(({ path }) => KEPT.test(path));
    for (const { method, path, example } of routes) {
      if (method === "put") expect((await ask("PUT", path, example, MAKE)).status, path).toBe(201);
    }
    const bench = routes.find(({ path }) => path.endsWith("/rounds"))!.path.replace(/\/rounds$/, "");
    const { rounds } = (await ask("GET", `${bench}/tree`)).body.bench as { rounds: { id: string }[] };
    const id = rounds[0]!.id;
    const taster = await ask("POST", "/v1/links", { role: "taster", bench: bench.slice(12), label: "A" });
    const reads = routes.filter(({ method }) => method === "get");
    expect(reads.length).toBeGreaterThan(18);
    const tags = new Map<string, string>();
    for (const { path } of reads) {
      const by = path === "/v1/taste" ? app.as(String(taster.body.secret)) : app;
      const at = path.endsWith("/compare") ? `${path}?from=${id}&to=${id}` : path;
      const first = await by.ask("GET", at);
      expect([first.status, first.etag], path).toEqual([200, expect.stringMatching(/^"[^"]+"$/)]);
      const known = { "If-None-Match": `"other", W/${first.etag}` };
      expect(await by.ask("GET", at, undefined, known), path).toEqual({ ...first, status: 304, body: {} });
      expect((await by.ask("GET", at, undefined, { "If-None-Match": '"other"' })).status).toBe(200);
      const held = await app.app.request(at, { headers: { "Accept-Encoding": "gzip" } });
      expect(held.headers.get("cache-control"), path).toMatch(path === "/v1/taste" ? /no-store/ : /^private/);
      // Other bytes have another tag.
      if (held.headers.has("content-encoding")) expect(held.headers.get("etag")).not.toBe(first.etag);
      tags.set(path, first.etag!);
    }
    await ask("PATCH", bench, { name: "Another name" }, { "If-Match": "*" });
    for (const path of [
      "/v1/benches",
      bench,
      `${bench}/tree`,
      `${bench}/history`,
      "/v1/history",
      "/v1/backup",
    ]) {
      const known = { "If-None-Match": tags.get(path)! };
      expect((await ask("GET", path, undefined, known)).status, path).toBe(200);
    }
  });

  test.each([
    ["PUT", "/v1/benches/b1", { nam: "Sour" }, "/problems/invalid-request"],
    ["PUT", "/v1/benches/b1", {}, "/problems/invalid-request"],
    ["PUT", "/v1/benches/..%2Fb1", { name: "Sour" }, "/problems/invalid-request"],
    ["PUT", "/v1/benches/none/rounds/r1", { spec: SPEC }, "/problems/invalid-request"],
    ["PUT", "/v1/settings/colour", { value: "red" }, "/problems/invalid-request"],
    ["PUT", "/v1/settings/price:gin", { value: "dear" }, "/problems/invalid-request"],
    ["PATCH", "/v1/benches/none", { name: "Sour" }, "/problems/not-found"],
    ["GET", "/v1/benches/none", undefined, "/problems/not-found"],
    ["GET", "/v1/benches/none/tree", undefined, "/problems/not-found"],
  ])("%s %s %j is refused as %s", async (method, path, body, type) => {
    expect(slug(await ask(method, path, body, MAKE))).toBe(type);
  });

  test("every kind has its room", async () => {
    await withRounds(app);
    const flight = { glasses: [{ round: "r1", code: "417" }] };
    const bodies = {
      "/v1/benches/b1/flights/f1": flight,
      "/v1/benches/b1/tastings/t1": { round: "r1", taster: "Table 4", liking: 6, sour: -1 },
      "/v1/ingredients/cordial": { form: 1, item: CORDIAL },
      "/v1/preps/honey-syrup": { form: 1, item: HONEY },
      "/v1/settings/price:gin": { value: 31.5 },
    };
    for (const [path, body] of Object.entries(bodies)) {
      const made = await ask("PUT", path, body, MAKE);
      expect(made, path).toMatchObject({ status: 201, body });
      const list = path.slice(0, path.lastIndexOf("/"));
      expect((await ask("GET", list)).body, list).toEqual({ records: [made.body] });
    }
  });
});

describe("rounds as a tree", () => {
  test("a fork is a round with a parent; its number is the next", async () => {
    await withRounds(app);
    await ask("PUT", "/v1/benches/b1/rounds/r4", { spec: SPEC, parent: "r1", label: "Back to rum" }, MAKE);
    const { body } = await ask("GET", "/v1/benches/b1/tree");
    const bench = body.bench as { rounds: Record<string, unknown>[]; current: string };
    expect(bench.rounds.map(({ id, number, parent }) => [id, number, parent])).toEqual([
      ["r1", 1, null],
      ["r2", 2, "r1"],
      ["r3", 3, "r2"],
      ["r4", 4, "r1"],
    ]);
    expect(bench.rounds[3]).toMatchObject({ label: "Back to rum", spec: SPEC });
  });

  test("marking, naming and noting change that alone; putting away hands the children on", async () => {
    await withRounds(app);
    const before = await ask("GET", "/v1/benches/b1/rounds/r2");
    const kept = await ask(
      "PATCH",
      "/v1/benches/b1/rounds/r2",
      { state: "kept", notes: "good" },
      seen(before),
    );
    expect(kept.body).toEqual({ ...before.body, state: "kept", notes: "good", version: kept.body.version });
    await ask("DELETE", "/v1/benches/b1/rounds/r2", undefined, seen(kept));
    const tree = await ask("GET", "/v1/benches/b1/tree");
    const rounds = (tree.body.bench as { rounds: { id: string; parent: string | null }[] }).rounds;
    expect(rounds.map(({ id, parent }) => [id, parent])).toEqual([
      ["r1", null],
      ["r3", "r1"],
    ]);
    await ask("POST", "/v1/benches/b1/undo", { stamp: null });
    const again = await ask("GET", "/v1/benches/b1/tree");
    expect((again.body.bench as { rounds: unknown[] }).rounds).toHaveLength(3);
  });

  test("two rounds side by side: what changed in one line, and a warning past one thing", async () => {
    await withRounds(app);
    const one = await ask("GET", "/v1/benches/b1/compare?from=r1&to=r2");
    expect(one.body).toMatchObject({ moreThanOne: false, line: expect.stringContaining("2 oz → 1½ oz") });
    const two = await ask("GET", "/v1/benches/b1/compare?from=r1&to=r3");
    expect(two.body).toMatchObject({
      moreThanOne: true,
      from: { round: { id: "r1" } },
      to: { round: { id: "r3" } },
    });
    const placed = (two.body.from as { placement: { point: { abvPercent: number } } }).placement.point;
    expect(placed.abvPercent).toBeGreaterThan(10);
    expect((await ask("GET", "/v1/benches/b1/compare?from=r1&to=gone")).status).toBe(404);
  });

  test("the history names every act, and an act that was written over is not taken back", async () => {
    await withRounds(app);
    const first = await ask(
      "PATCH",
      "/v1/benches/b1",
      { name: "One" },
      seen(await ask("GET", "/v1/benches/b1")),
    );
    await ask("PATCH", "/v1/benches/b1", { name: "Two" }, seen(first));
    const { body } = await ask("GET", "/v1/benches/b1/history");
    const changes = body.changes as {
      stamp: string;
      change: { values: { name?: string } };
      version: number;
    }[];
    expect(changes.map(({ change }) => change.values.name)).toEqual([
      "Two",
      "One",
      undefined,
      undefined,
      undefined,
      "Sour",
    ]);
    const one = changes[1]!.stamp;
    const refused = await ask("POST", "/v1/benches/b1/undo", { stamp: one });
    expect(refused).toMatchObject({ status: 409, body: { type: "/problems/written-since" } });
    const older = await ask("GET", `/v1/benches/b1/history?before=${changes[4]!.version}`);
    expect((older.body.changes as unknown[]).length).toBe(1);
  });
});

test("a round poured with one's own ingredient and a house-made one is placed by them", async () => {
  await ask("PUT", "/v1/ingredients/cordial", { form: 1, item: CORDIAL }, MAKE);
  await ask("PUT", "/v1/preps/honey-syrup", { form: 1, item: HONEY }, MAKE);
  await withRounds(app);
  const sweetenedWith = (ingredient: string) => ({
    ...SPEC,
    lines: SPEC.lines.map((l) => (l.ingredient.startsWith("syrup") ? { ...l, ingredient } : l)),
  });
  await ask("PUT", "/v1/benches/b1/rounds/r4", { spec: sweetenedWith("cordial"), parent: "r1" }, MAKE);
  await ask("PUT", "/v1/benches/b1/rounds/r5", { spec: sweetenedWith("honey-syrup"), parent: "r1" }, MAKE);
  const { body, status } = await ask("GET", "/v1/benches/b1/compare?from=r4&to=r5");
  expect(status).toBe(200);
  expect(body.line).toContain("Honey syrup 3:1");
  const sugar = (side: string) =>
    (body[side] as { placement: { point: { sugarGPer100Ml: number } } }).placement.point.sugarGPer100Ml;
  // Honey syrup 3:1 by weight holds more sugar than 60 g/100 mL.
  expect(sugar("to")).toBeGreaterThan(sugar("from"));
  // Made otherwise, it counts otherwise the next time it is asked for.
  const thin = { ...HONEY, parts: [HONEY.parts[0], { ...HONEY.parts[1], amount: 900 }] };
  const before = await ask("GET", "/v1/preps/honey-syrup");
  await ask("PUT", "/v1/preps/honey-syrup", { form: 1, item: thin }, seen(before));
  const { body: again } = await ask("GET", "/v1/benches/b1/compare?from=r4&to=r5");
  expect(
    (again.to as { placement: { point: { sugarGPer100Ml: number } } }).placement.point.sugarGPer100Ml,
  ).toBeLessThan(sugar("from"));
  expect((await ask("PUT", "/v1/preps/other", { form: 1, item: HONEY }, MAKE)).status).toBe(422);
});

test("a backup restores on a clean server to the same drinks and points; half a file changes nothing", async () => {
  await withRounds(app);
  await ask("PUT", "/v1/settings/price:rum-aged", { value: 28 }, MAKE);
  const backup = (await ask("GET", "/v1/backup")).body;
  const fresh = keptApp();
  const restored = await fresh.ask("POST", "/v1/restore", backup);
  expect(restored).toMatchObject({ status: 200, body: { records: 5 } });
  expect((await fresh.ask("GET", "/v1/backup")).body).toEqual(backup);
  const compare = "/v1/benches/b1/compare?from=r1&to=r3";
  expect((await fresh.ask("GET", compare)).body).toEqual((await ask("GET", compare)).body);

  const spoilt = structuredClone(backup) as { records: { kind: string; values: Record<string, unknown> }[] };
  const bench = spoilt.records.findIndex(({ kind }) => kind === "bench");
  spoilt.records[bench]!.values.name = 7;
  const refused = await fresh.ask("POST", "/v1/restore", spoilt);
  expect(refused).toMatchObject({
    status: 422,
    body: { errors: [{ pointer: `#/records/${bench}/values/name` }] },
  });
  expect((await fresh.ask("GET", "/v1/backup")).body).toEqual(backup);
});
