import { decodeTime, monotonicFactory } from "ulid";
import { describe, expect, test } from "vitest";
import { storeDoor } from "../../api/store/open.ts";
import { createStamper } from "../../engine/bench/stamp.ts";
import type { Prep } from "../../engine/prep/types.ts";
import type { Bench } from "../../engine/types.ts";
import { loadReferenceData } from "../../reference-data/load.ts";
import { mergedThings } from "../../viz/state/house-things.ts";
import { createServer } from "../../viz/state/server.ts";
import { testApp } from "../api/harness.ts";
import { fork } from "../engine/bench/fork.ts";

const DEMO = loadReferenceData().demo;
const { invented: _, ...PLAIN } = DEMO;
const OWN: Bench = { ...PLAIN, id: "own", name: "Mine" };

function memoryShelf() {
  const kept = new Map<string, string>();
  return {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
  };
}

type Network = { request: Parameters<typeof createServer>[0]["request"] };

/** A page with its own clock, and a network that can be switched off. */
function page(network: Network, shelf = memoryShelf(), by: Partial<Parameters<typeof createServer>[0]> = {}) {
  const stamp = createStamper({ now: Date.now, make: monotonicFactory(), timeOf: decodeTime });
  return createServer({
    shelf,
    stamp,
    shipped: [DEMO],
    request: (path, init) => network.request(path, init),
    ...by,
  });
}

/** A link to a bench, as the owner on the server's machine makes and revokes it. */
async function linkTo(network: Network, bench: string, role: "owner" | "viewer") {
  const send = async (path: string, init: RequestInit) => (await network.request(path, init)).json();
  const made = (await send("/v1/links", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ role, bench, label: "Invented guest" }),
  })) as { secret: string; link: { id: string } };
  return {
    by: {
      link: { secret: made.secret, onlySees: role === "viewer", ledger: bench },
      keeps: (id: string) => id === bench,
    },
    revoke: () => send(`/v1/links/${made.link.id}`, { method: "DELETE" }),
  };
}

function online(app = testApp({ store: storeDoor({ folder: null }) })): Network {
  return { request: async (path, init) => app.request(path, init) };
}
const offline: Network = { request: () => Promise.reject(new TypeError("fetch failed")) };

const withRound = (bench: Bench, id: string): Bench => ({
  ...bench,
  rounds: [...bench.rounds, fork(bench, bench.rounds.at(-1)!, id, id)],
  current: id,
});
const roundIds = (bench: Bench | undefined) => bench?.rounds.map(({ id }) => id);

describe("this browser's benches and the server's", () => {
  test("what is made here is there, and comes to the next browser as it was", async () => {
    const network = online();
    const first = await page(network).bring([DEMO, OWN]);
    expect(first.standing).toEqual({ state: "kept" });
    const second = await page(network).bring([DEMO]);
    expect(second.benches.map(({ name }) => name)).toEqual([DEMO.name, "Mine"]);
    expect(second.benches[1]).toMatchObject({
      ...OWN,
      rounds: OWN.rounds.map(({ id }) => ({ id })),
    });
  });

  test("a prep, a price and a figure kept here come to the next browser; what is taken off here is off there", async () => {
    const network = online();
    const honey: Prep = {
      id: "honey-syrup",
      name: "Honey syrup",
      role: "syrup",
      parts: [{ ingredient: "honey", amount: 300, unit: "g" }],
      storage: "fridge",
      madeOn: "2031-05-09",
      batch: "1",
    };
    const [here, there] = [page(network), page(network)];
    const sent = new Map<string, unknown>([
      ["prep/honey-syrup", honey],
      ["setting/price:rum-aged", 24],
      ["setting/measured:juice-lime", { acid: 5.4 }],
    ]);
    const put = await here.bring([], { changed: sent, dropped: [] });
    expect(put.standing).toEqual({ state: "kept" });
    expect((await there.bring([])).house).toEqual({ things: sent, off: new Set() });
    // Said again as it is, nothing is written: what another did since stays.
    await there.bring([], { changed: new Map([["setting/price:rum-aged", 26]]), dropped: [] });
    await here.bring([], { changed: new Map(), dropped: ["prep/honey-syrup"] });
    const { house } = await there.bring([]);
    expect(house.things.get("setting/price:rum-aged")).toBe(26);
    expect(house.off).toEqual(new Set(["prep/honey-syrup"]));
    // The first browser takes the price and gives the prep up, but not what was changed of it meanwhile.
    expect(mergedThings(sent, sent, house).has("prep/honey-syrup")).toBe(false);
    expect(mergedThings(sent, sent, house).get("setting/price:rum-aged")).toBe(26);
    const changed = new Map(sent).set("prep/honey-syrup", { ...honey, batch: "2" });
    expect(mergedThings(changed, sent, house).get("prep/honey-syrup")).toEqual({ ...honey, batch: "2" });
    // A new browser, which has none of it, gets all of it.
    expect(mergedThings(new Map(), new Map(), house)).toEqual(house.things);
  });

  test("a figure nobody could keep is told and stays here; the others go", async () => {
    const network = online();
    const things = new Map<string, unknown>([
      ["setting/price:rum-aged", -3],
      ["setting/price:juice-lime", 4],
    ]);
    const { standing } = await page(network).bring([], { changed: things, dropped: [] });
    expect(standing.state).toBe("refused");
    expect((await page(network).bring([])).house.things).toEqual(new Map([["setting/price:juice-lime", 4]]));
  });

  test("the demonstration is not handed in until someone works on it", async () => {
    const network = online();
    await page(network).bring([DEMO]);
    expect((await page(network).bring([])).benches).toEqual([]);
    await page(network).bring([withRound(DEMO, "mine")]);
    expect(roundIds((await page(network).bring([DEMO])).benches[0])).toContain("mine");
  });

  test("rounds made offline on two machines come in when the server is back, none lost, none doubled", async () => {
    const server = online();
    const line: Network = { ...server };
    const [desk, phone] = [page(line), page(line)];
    await desk.bring([OWN]);
    const start = (await phone.bring([])).benches;
    line.request = offline.request;
    const fromDesk = await desk.bring([withRound(OWN, "desk-1")]);
    const fromPhone = await phone.bring([withRound(start[0]!, "phone-1")]);
    expect([fromDesk.standing, fromPhone.standing]).toEqual([{ state: "alone" }, { state: "alone" }]);
    expect(roundIds(fromDesk.benches[0])).toContain("desk-1");
    line.request = server.request;
    await desk.bring(fromDesk.benches);
    const { benches } = await phone.bring(fromPhone.benches);
    const again = await desk.bring((await desk.bring(fromDesk.benches)).benches);
    expect(roundIds(benches[0])).toEqual([...roundIds(OWN)!, "desk-1", "phone-1"]);
    expect(roundIds(again.benches[0])).toEqual(roundIds(benches[0]));
    expect(benches[0]!.rounds.map(({ number }) => number)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
  });

  test("an answer that is lost on the way does no harm", async () => {
    const server = online();
    let losing = true;
    const network: Network = {
      request: async (path, init) => {
        const response = await server.request(path, init);
        if (losing) throw new TypeError("connection reset");
        return response;
      },
    };
    const here = page(network);
    const { benches } = await here.bring([OWN]);
    losing = false;
    await here.bring(benches);
    expect(roundIds((await page(server).bring([])).benches[0])).toEqual(roundIds(OWN));
  });

  test("a bench deleted here is gone there; what another did to it since brings it back", async () => {
    const network = online();
    const [one, two] = [page(network), page(network)];
    await one.bring([OWN]);
    const there = (await two.bring([])).benches;
    await one.bring([]);
    expect((await page(network).bring([])).benches).toEqual([]);
    const { benches } = await two.bring([{ ...there[0]!, name: "Still needed" }]);
    expect(benches.map(({ name }) => name)).toEqual(["Still needed"]);
  });

  test("benches this browser can no longer read are fetched again, and put away nowhere", async () => {
    const network = online();
    const shelf = memoryShelf();
    await page(network, shelf).bring([OWN]);
    // The next visit finds its list of benches unreadable, while what it knew of the server's is still there.
    const { benches } = await page(network, shelf).bring([DEMO]);
    expect(benches.map(({ id }) => id).sort()).toEqual([DEMO.id, OWN.id].sort());
    expect((await page(network).bring([])).benches.map(({ id }) => id)).toEqual([OWN.id]);
  });

  test("a bench put away before the server was first spoken with is put away there", async () => {
    const network = online();
    const shelf = memoryShelf();
    await page(network, shelf).bring([OWN]);
    // The next visit opens with the bench and deletes it at once.
    const { benches } = await page(network, shelf, { had: [OWN.id] }).bring([DEMO]);
    expect(benches.map(({ id }) => id)).toEqual([DEMO.id]);
    expect((await page(network).bring([])).benches).toEqual([]);
  });

  test("a flight of the untouched demonstration brings its bench along; what others say of it comes back", async () => {
    const network = online();
    const [desk, other] = [page(network), page(network)];
    const [first, second] = DEMO.rounds;
    const glasses = [
      { round: first!.id, code: "417" },
      { round: second!.id, code: "286" },
    ];
    desk.write(DEMO, "flight", "flight-1", { label: "Invented flight", glasses, open: true, deleted: false });
    expect((await desk.bring([DEMO])).standing).toEqual({ state: "kept" });
    const there = (await other.bring([])).benches[0]!;
    expect(roundIds(there)).toEqual(roundIds(DEMO));
    const said = { liking: 6, sweet: 0, sour: -1, strong: 0, words: ["thin"], notes: "" };
    const form = { ...said, round: first!.id, flight: "flight-1", taster: "Invented Ash", deleted: false };
    other.write(there, "tasting", "form-1", form);
    await other.bring([there]);
    await desk.bring([DEMO]);
    const kept = [...desk.records().values()].find(({ kind }) => kind === "tasting");
    expect(kept?.values).toEqual(form);
  });

  test("two tabs of one browser share what waits", async () => {
    const shelf = memoryShelf();
    const line: Network = { ...offline };
    await page(line, shelf).bring([OWN]);
    const server = online();
    line.request = server.request;
    await page(line, shelf).bring([OWN]);
    expect((await page(server).bring([])).benches).toHaveLength(1);
  });

  test("one bench the server cannot take does not keep the others back, and stays here", async () => {
    const network = online();
    const wrong = { ...OWN, id: "wrong", name: "x".repeat(500) };
    const shelf = memoryShelf();
    const { standing, benches } = await page(network, shelf).bring([wrong, OWN]);
    expect(standing.state).toBe("refused");
    expect(benches.map(({ id }) => id)).toEqual(["wrong", "own"]);
    expect((await page(network).bring([])).benches.map(({ id }) => id)).toEqual(["own"]);
  });

  test("a store that was replaced by an empty one gets everything again", async () => {
    const line: Network = { ...online() };
    const here = page(line);
    await here.bring([OWN]);
    line.request = online().request;
    const { benches, standing } = await here.bring([OWN]);
    expect(standing).toEqual({ state: "kept" });
    expect(benches).toHaveLength(1);
    expect((await page(line).bring([])).benches).toHaveLength(1);
  });

  test("by a viewer's link the bench comes as others make it, and nothing is handed in", async () => {
    const network = online();
    const here = page(network);
    await here.bring([OWN]);
    const { by, revoke } = await linkTo(network, OWN.id, "viewer");
    const sent: string[] = [];
    const watched: Network = {
      request(path, init) {
        sent.push(String(init.body));
        return network.request(path, init);
      },
    };
    const guest = page(watched, memoryShelf(), by);
    const first = (await guest.bring([DEMO])).benches;
    expect(first.map(({ id }) => id)).toEqual([OWN.id]);
    await here.bring([withRound(OWN, "next")]);
    const { benches } = await guest.bring([DEMO, withRound(first[0]!, "a guest's")]);
    expect(roundIds(benches[0])).toEqual([...roundIds(OWN)!, "next"]);
    for (const body of sent) expect(JSON.parse(body).changes).toEqual([]);
    await revoke();
    const after = await guest.bring(benches);
    expect(after.standing).toEqual({ state: "shut" });
    expect(after.benches).toEqual(benches);
  });

  test("by an owner's link one bench is worked on, and no other of this browser goes there", async () => {
    const network = online();
    await page(network).bring([OWN]);
    const { by } = await linkTo(network, OWN.id, "owner");
    const shelf = memoryShelf();
    const guest = page(network, shelf, by);
    const mine = { ...OWN, id: "guests-own" };
    const [bench] = (await guest.bring([mine])).benches;
    await guest.bring([mine, withRound(bench!, "by-link")]);
    const { benches } = await page(network).bring([]);
    expect(benches.map(({ id }) => id)).toEqual([OWN.id]);
    expect(roundIds(benches[0])).toContain("by-link");
    // What is kept of it is apart from what this browser knows of its own server.
    expect(page(network, shelf).records().size).toBe(0);
  });
});
