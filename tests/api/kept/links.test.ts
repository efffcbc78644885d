import { beforeEach, describe, expect, test } from "vitest";
import { changesTo } from "../../../engine/bench/view.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";
import { declaredRoutes, KEPT, testApp } from "../harness.ts";
import { keptApp, MAKE, type Said, SPEC, seen, withRounds } from "./kept-app.ts";

const DEMO = loadReferenceData().demo;
let app: ReturnType<typeof keptApp>;
let ask: ReturnType<typeof keptApp>["ask"];
beforeEach(async () => {
  app = keptApp();
  ask = app.ask;
  await withRounds(app);
  await ask("POST", "/v1/sync", {
    house: null,
    after: 0,
    changes: changesTo(null, { ...DEMO, id: "b2" }, "0".repeat(26)),
  });
});

async function link(role: string, bench: string | null, label = "Table 4") {
  const { status, body } = await ask("POST", "/v1/links", { role, bench, label });
  expect(status).toBe(201);
  return {
    ...app.as(body.secret as string),
    id: (body.link as { id: string }).id,
    secret: body.secret as string,
  };
}
const type = ({ body }: Said) => body.type;

const problem = ({ body, status }: Said) => [status, type({ body } as Said)];

/** Every route of the store, with a body where it takes one. */
async function keptRoutes() {
  const routes = await declaredRoutes(testApp());
  return routes
    .filter(({ path }) => KEPT.test(path))
    .map((route) => ({ ...route, path: route.path.replace(/compare$/, "compare?from=r1&to=r2") }));
}

describe("without a link", () => {
  test("this machine's own user is the owner, with no ceremony", async () => {
    for (const host of ["localhost:8787", "127.0.0.1:8787", "[::1]:8787"]) {
      expect((await ask("GET", "/v1/benches", undefined, { Host: host })).status, host).toBe(200);
    }
    const own = { Host: "localhost:8787", Origin: "http://localhost:8787", "Sec-Fetch-Site": "same-origin" };
    expect((await ask("PUT", "/v1/benches/b9", { name: "New" }, { ...MAKE, ...own })).status).toBe(201);
  });

  const strangers: [string, Record<string, string>][] = [
    // A page whose own name was pointed at this machine (DNS rebinding).
    ["a rebound name", { Host: "evil.example" }],
    ["a rebound name that looks local", { Host: "localhost.evil.example:8787" }],
    ["another that looks local", { Host: "127.0.0.1.evil.example" }],
    // Any page at all, in this user's browser.
    ["a page elsewhere", { Host: "localhost:8787", Origin: "https://evil.example" }],
    ["a sandboxed page", { Host: "localhost:8787", Origin: "null" }],
    ["a page on another port", { Host: "localhost:8787", Origin: "http://localhost:3000" }],
    ["a link followed from elsewhere", { Host: "localhost:8787", "Sec-Fetch-Site": "cross-site" }],
    // A proxy on this machine, whose clients are not this machine's user.
    ["a proxy", { Host: "localhost:8787", "X-Forwarded-For": "203.0.113.9" }],
    ["a proxy that says so by the standard", { Host: "127.0.0.1:8787", Forwarded: "for=203.0.113.9" }],
  ];
  test.each(strangers)("%s is shown nothing, and nothing of it is taken", async (_, headers) => {
    const before = (await ask("GET", "/v1/backup")).body;
    const routes = await keptRoutes();
    expect(routes.length).toBeGreaterThan(40);
    for (const { method, path, example } of routes) {
      const body = ["get", "delete"].includes(method) ? undefined : example;
      const said = await ask(method.toUpperCase(), path, body, { ...headers, "If-Match": "*" });
      expect(problem(said), `${method} ${path}`).toEqual([401, "/problems/link-needed"]);
    }
    expect((await ask("GET", "/v1/backup")).body).toEqual(before);
  });

  test("nobody is the owner where that is switched off", async () => {
    const closed = keptApp({ isOpenHere: false });
    expect(problem(await closed.ask("GET", "/v1/benches"))).toEqual([401, "/problems/link-needed"]);
  });

  test("a secret that is wrong, malformed or revoked opens nothing, not even here", async () => {
    const viewer = await link("viewer", null);
    expect((await viewer.ask("GET", "/v1/benches")).status).toBe(200);
    await ask("DELETE", `/v1/links/${viewer.id}`);
    for (const secret of [viewer.secret, `${viewer.secret.slice(0, -1)}_`, "x", "' or 1=1 --"]) {
      expect(problem(await app.as(secret).ask("GET", "/v1/benches"))).toEqual([401, "/problems/link-needed"]);
    }
  });

  test("no secret is ever told again", async () => {
    const { secret } = await link("viewer", "b1");
    for (const path of ["/v1/links", "/v1/backup", "/v1/history", "/v1/benches"]) {
      expect(JSON.stringify((await ask("GET", path)).body)).not.toContain(secret);
    }
  });
});

describe("a link reaches as far as its role and bench, and no further", () => {
  test("whoever has one may ask what it opens; revoked, it is no link", async () => {
    for (const role of ["owner", "viewer", "taster"]) {
      const bearer = await link(role, "b1", "Invented guest");
      const own = { role, bench: "b1", label: "Invented guest" };
      expect((await bearer.ask("GET", "/v1/links/own")).body).toEqual(own);
      await ask("DELETE", `/v1/links/${bearer.id}`);
      expect((await bearer.ask("GET", "/v1/links/own")).status).toBe(401);
    }
    expect((await ask("GET", "/v1/links/own")).body).toEqual({ role: "owner", bench: null, label: "" });
  });

  test("a viewer of one bench sees that bench and changes nothing", async () => {
    const viewer = await link("viewer", "b1");
    expect((await viewer.ask("GET", "/v1/benches/b1/tree")).status).toBe(200);
    expect((await viewer.ask("GET", "/v1/benches")).body).toMatchObject({ records: [{ id: "b1" }] });
    const routes = await keptRoutes();
    const before = (await ask("GET", "/v1/backup")).body;
    for (const { method, path, example } of routes.filter((r) => r.method !== "get")) {
      if (path === "/v1/sync") continue;
      const said = await viewer.ask(
        method.toUpperCase(),
        path.replace(/benches\/[^/]+/, "benches/b1"),
        method === "delete" ? undefined : example,
        { "If-Match": "*" },
      );
      expect([403, 404], `${method} ${path} ${said.status}`).toContain(said.status);
    }
    const pulled = await viewer.ask("POST", "/v1/sync", { house: null, after: 0, changes: [] });
    const { records } = pulled.body as { records: { record: { bench: string } }[] };
    expect(new Set(records.map(({ record }) => record.bench))).toEqual(new Set(["b1"]));
    expect((await ask("GET", "/v1/backup")).body).toEqual(before);
  });

  test("a viewer of one bench is told how it is poured, its sizes and what was measured, and no price or card", async () => {
    const put = (name: string, value: unknown) => ask("PUT", `/v1/settings/${name}`, { value }, MAKE);
    for (const [name, value] of [
      ["unit-sizes", { barspoonMl: 3 }],
      ["measured:juice-lime", { acid: 5.1 }],
      ["price:juice-lime", 4],
      ["card:b1", { garnish: "", notes: null, pourCostPercent: 20 }],
      ["units", "ml"],
    ] as const) {
      expect((await put(name, value)).status, name).toBe(201);
    }
    const viewer = await link("viewer", "b1");
    const pulled = await viewer.ask("POST", "/v1/sync", { house: null, after: 0, changes: [] });
    const { records } = pulled.body as { records: { record: { kind: string; id: string } }[] };
    const settings = records.flatMap(({ record: { kind, id } }) => (kind === "setting" ? [id] : []));
    expect(settings.sort()).toEqual(["measured:juice-lime", "unit-sizes"]);
  });

  test("what lies outside a link is not there for it: the same answer as for what does not exist", async () => {
    for (const role of ["owner", "viewer"]) {
      const bearer = await link(role, "b1");
      for (const path of [
        "",
        "/tree",
        "/rounds",
        "/rounds/r1",
        "/history",
        "/compare?from=r1&to=r2",
        "/tastings",
      ]) {
        const other = await bearer.ask("GET", `/v1/benches/b2${path}`);
        const none = await bearer.ask("GET", `/v1/benches/b3${path}`);
        expect(problem(other), path).toEqual([404, "/problems/not-found"]);
        expect({ ...other.body, instance: "", requestId: "" }).toEqual({
          ...none.body,
          instance: "",
          requestId: "",
        });
      }
      expect((await bearer.ask("GET", "/v1/settings")).status).toBe(404);
      expect((await bearer.ask("GET", "/v1/backup")).status).toBe(404);
    }
  });

  test("an owner of one bench works on it and on no other, by sync too", async () => {
    const owner = await link("owner", "b1");
    const round = await owner.ask("GET", "/v1/benches/b1/rounds/r2");
    expect(
      (await owner.ask("PATCH", "/v1/benches/b1/rounds/r2", { state: "final" }, seen(round))).status,
    ).toBe(200);
    const theft = changesTo(null, { ...DEMO, id: "b2", name: "Mine now" }, `${"0".repeat(25)}9`);
    const body = { house: null, after: 0, changes: theft };
    expect(problem(await owner.ask("POST", "/v1/sync", body))).toEqual([404, "/problems/not-found"]);
    expect((await ask("GET", "/v1/benches/b2")).body.name).toBe(DEMO.name);
    expect((await owner.ask("POST", "/v1/links", { role: "owner", bench: null, label: "" })).status).toBe(
      404,
    );
    expect((await owner.ask("POST", "/v1/links", { role: "taster", bench: "b1", label: "Bar" })).status).toBe(
      201,
    );
  });
});

describe("a taster's link", () => {
  async function served() {
    await ask(
      "PUT",
      "/v1/benches/b1/flights/f1",
      {
        label: "Tuesday",
        glasses: [
          { round: "r1", code: "417" },
          { round: "r2", code: "862" },
          { round: "r3", code: "305" },
        ],
      },
      MAKE,
    );
    return Promise.all(["Ada", "Ben", "Cleo", "Dag", "Eve", "Fay"].map((name) => link("taster", "b1", name)));
  }
  const formFor = (code: string, liking: number) => ({
    flight: "f1",
    code,
    liking,
    sweet: 1,
    sour: -1,
    strong: 0,
    words: ["thin"],
    notes: "wants acid",
  });
  type Table = { taster: string; flights: { codes: string[]; forms: unknown[]; open: boolean }[] };
  const table = async (taster: { ask: typeof ask }) =>
    (await taster.ask("GET", "/v1/taste")).body as unknown as Table;

  test("gives each taster the codes in an order balanced over all of them", async () => {
    const tasters = await served();
    const orders = await Promise.all(tasters.map(async (t) => (await table(t)).flights[0]!.codes));
    for (const order of orders) expect([...order].sort()).toEqual(["305", "417", "862"]);
    for (const place of [0, 1, 2]) {
      const counts = orders.map((order) => order[place]).sort();
      expect(counts).toEqual(["305", "305", "417", "417", "862", "862"]);
    }
  });

  test("takes a form, and again in place of the first; the owner sees which round it is of", async () => {
    const [ada] = await served();
    await ada!.ask("POST", "/v1/taste", formFor("862", 3));
    const { body } = await ada!.ask("POST", "/v1/taste", formFor("862", 6));
    expect(body).toMatchObject({ code: "862", liking: 6, words: ["thin"] });
    expect((await table(ada!)).flights[0]!.forms).toEqual([body]);
    const { records } = (await ask("GET", "/v1/benches/b1/tastings")).body as { records: unknown[] };
    expect(records).toMatchObject([{ round: "r2", flight: "f1", taster: "Ada", liking: 6 }]);
  });

  test("tells before tasting what is in the glasses together, and no round of it", async () => {
    const [ada] = await served();
    const egg = { ...SPEC, lines: [...SPEC.lines, { ingredient: "egg-white", amount: 1, unit: "piece" }] };
    const care = async () => {
      const { flights } = (await ada!.ask("GET", "/v1/taste")).body as {
        flights: { care: { allergens: string[]; cautions: string[]; isComplete: boolean } }[];
      };
      return flights[0]!.care;
    };
    expect(await care()).toMatchObject({ allergens: [], isComplete: true });
    const put = async (id: string, spec: object) => {
      const path = `/v1/benches/b1/rounds/${id}`;
      await ask("PATCH", path, { spec }, seen(await ask("GET", path)));
    };
    await put("r2", egg);
    expect(await care()).toMatchObject({ allergens: ["egg"], isComplete: true });
    expect((await care()).cautions).toContain("raw-egg");
    await put("r3", { ...SPEC, lines: [{ ingredient: "not-in-the-house", amount: 1, unit: "oz" }] });
    expect((await care()).isComplete).toBe(false);
  });

  test("shows nothing of the others: no mark, no name, no round, no drink", async () => {
    const [ada, ben] = await served();
    await ada!.ask("POST", "/v1/taste", { ...formFor("417", 9), notes: "the secret of Ada" });
    const routes = await keptRoutes();
    const heard: string[] = [];
    for (const { method, path, example } of routes) {
      const there = path
        .replace(/benches\/[^/]+/, "benches/b1")
        .replace(/(rounds|tastings)\/[^/?]+/, "$1/r1");
      const body = ["get", "delete"].includes(method) ? undefined : example;
      const said = await ben!.ask(method.toUpperCase(), there, body, { "If-Match": "*" });
      if (!["/v1/taste", "/v1/links/own"].includes(path))
        expect([403, 404], `${method} ${there} ${said.status}`).toContain(said.status);
      heard.push(JSON.stringify(said.body));
    }
    const all = heard.join("\n");
    for (const other of ["Ada", "secret of", "rum-aged", "Test sour", '"r1"', '"r2"', "Sour"]) {
      expect(all).not.toContain(other);
    }
    expect((await table(ben!)).flights[0]!.forms).toEqual([]);
    expect((await table(ben!)).taster).toBe("Ben");
  });

  test("takes no form for a glass or flight that is not there, nor once it is closed", async () => {
    const [ada] = await served();
    expect((await ada!.ask("POST", "/v1/taste", formFor("999", 5))).status).toBe(404);
    expect((await ada!.ask("POST", "/v1/taste", { ...formFor("417", 5), flight: "f2" })).status).toBe(404);
    expect((await ada!.ask("POST", "/v1/taste", formFor("417", 12))).status).toBe(422);
    const flight = await ask("GET", "/v1/benches/b1/flights/f1");
    await ask("PATCH", "/v1/benches/b1/flights/f1", { open: false }, seen(flight));
    expect(problem(await ada!.ask("POST", "/v1/taste", formFor("417", 5)))).toEqual([
      409,
      "/problems/flight-closed",
    ]);
  });
});
