import { expect, test } from "vitest";
import { KEEP_IDS } from "../../engine/ids.ts";
import { post, readProblem, testApp } from "./harness.ts";

const app = testApp();
const spec = { text: "2 oz aged rum\n1/4 oz lime juice\n1 oz simple syrup", method: "shaken" };
const target = { id: "family:sour" };

async function answerOf(path: string, body: object) {
  const response = await post(app, path, { spec, target, ...body });
  const answer = await response.json();
  expect(response.status, JSON.stringify(answer)).toBe(200);
  return answer;
}

test("what a repair offers is what then works", async () => {
  const locks = ["juice-lime", "syrup-simple-1-1"];
  const stuck = await answerOf("/v1/solve", { locks });
  expect(stuck.result.status).toBe("infeasible");
  // Time enough on a busy machine: what is offered must not depend on it.
  const { status, repair, nearest } = await answerOf("/v1/repair", { locks, timeBudgetMs: 5000 });
  expect(status).toBe("infeasible");
  expect(nearest.acidGPer100Ml).toBeGreaterThan(0);
  expect(repair.conflict.length).toBeGreaterThan(0);
  const added = repair.repairs.find((r: { kind: string }) => r.kind === "add");
  const freed = await answerOf("/v1/solve", { locks, additions: [added.id] });
  expect(freed.result.status).toBe("optimal");
});

test("a time budget that could not be kept is refused, and says which could", async () => {
  const given = (timeBudgetMs: number) => post(app, "/v1/solve", { spec, target, timeBudgetMs });
  expect((await given(50)).status).toBe(200);
  const { errors } = await readProblem(await given(49));
  expect(errors).toHaveLength(1);
  expect(errors[0]).toMatchObject({ pointer: "#/timeBudgetMs" });
  expect(errors[0]!.remedy).toMatch(/\b50\b/);
});

test("a request that can be met has nothing to repair", async () => {
  expect(await answerOf("/v1/repair", {})).toMatchObject({ status: "optimal", repair: null, nearest: null });
});

test("routes are told apart by kind, and each that gets there lands inside", async () => {
  const { routes } = await answerOf("/v1/routes", {});
  expect(new Set(routes.map((r: { kind: string }) => r.kind)).size).toBeGreaterThan(2);
  const reached = routes.filter((r: { proposal: unknown }) => r.proposal !== null);
  expect(reached.length).toBeGreaterThan(1);
  for (const { proposal } of reached) {
    const again = await answerOf("/v1/solve", { spec: proposal.spec });
    expect(again.result.status, proposal.name).toBe("already_inside");
  }
});

test("the certificate's rows come when asked for, and refute what it says they refute", async () => {
  const short = await answerOf("/v1/solve", {});
  for (const part of ["rows", "ranges", "refutations"])
    expect(short.result.certificate).not.toHaveProperty(part);
  const { result } = await answerOf("/v1/solve", { include: ["proof"] });
  const { rows, ranges, refutations } = result.certificate;
  const none = refutations.find((r: { touched: number }) => r.touched === 0) ?? refutations[0];
  expect(none.multipliers.length).toBeGreaterThan(0);
  const known = new Set(rows.map((r: { row: string }) => r.row));
  for (const m of none.multipliers) expect([...known]).toContain(m.row);
  expect(ranges).toHaveLength(3);
});

test("explore: the certified answer first, rivals that are surer or deeper, and chances that are chances", async () => {
  const all = KEEP_IDS;
  const alone = await answerOf("/v1/solve", { count: 1, release: all });
  const { solved, proposals, chanceNow, repair } = await answerOf("/v1/explore", { release: all });
  expect(solved.status).toBe("optimal");
  expect(solved.certificate.proved).toBe(true);
  expect(proposals[0].id).toBe(alone.result.proposals[0].id);
  expect(proposals.length).toBeGreaterThan(1);
  expect(proposals.length).toBeLessThanOrEqual(4);
  expect(chanceNow).toBeLessThan(0.5);
  expect(repair).toBeNull();
  const chances = proposals.map((p: { probabilityInside: number }) => p.probabilityInside);
  expect(chances[0]).toBeCloseTo(alone.result.proposals[0].probabilityInside, 9);
  const kept = await answerOf("/v1/explore", {});
  expect(kept.proposals[0].probabilityInside).toBeGreaterThanOrEqual(0.8);
  expect(kept.keeps.map((k: { id: string }) => k.id)).toEqual([
    "holds",
    "size",
    "mains",
    "order",
    "base",
    "few",
  ]);
  const edge = kept.proposals.find((p: { id: string }) => p.id === kept.edge);
  if (edge) expect(edge.probabilityInside).toBeLessThan(0.8);
});

test("explore: what cannot be met comes with its conflict and ways out", async () => {
  const { solved, proposals, repair, cautions } = await answerOf("/v1/explore", {
    spec: { text: "2 oz aged rum\n1 oz orgeat", method: "shaken" },
    locks: ["orgeat"],
  });
  expect(solved.status).toBe("infeasible");
  expect(proposals).toEqual([]);
  const [first] = repair.repairs;
  expect(first.kind).toBe("add");
  expect(first.proposal.probabilityInside).toBeGreaterThan(0);
  expect(cautions.map((c: { id: string }) => c.id)).toEqual(expect.arrayContaining(["alcohol", "nuts"]));
});

test("explore: a drink in the middle of a tight band is told what to measure", async () => {
  const sour = { text: "1.5 oz aged rum\n3/4 oz lemon juice\n3/4 oz simple syrup", method: "shaken" };
  const { placement } = await (await post(app, "/v1/place", { spec: sour, include: ["doubts"] })).json();
  const acid = placement.point.acidGPer100Ml;
  const { solved, advice, chanceNow } = await answerOf("/v1/explore", {
    spec: sour,
    target: { kind: "box", acidGPer100Ml: [acid - 0.06, acid + 0.06] },
  });
  expect(solved.status).toBe("already_inside");
  expect(advice[0].doubt).toBe("juice-lemon:acid");
  expect(advice[0].chanceMeasured).toBeGreaterThan(chanceNow);
  expect(placement.doubts.map((d: { id: string }) => d.id)).toContain(advice[0].doubt);
});

test.each(["/v1/solve", "/v1/explore", "/v1/routes"])(
  "%s keeps to the chance asked for, at the cost of more change",
  async (path) => {
    type Proposal = { probabilityInside: number; volumeChangedMl: number; touched: number };
    const proposalsOf = async (body: object): Promise<Proposal[]> => {
      const { result, proposals, routes } = await answerOf(path, body);
      return (
        result?.proposals ??
        proposals ??
        routes.flatMap((r: { proposal: Proposal | null }) => (r.proposal ? [r.proposal] : []))
      );
    };
    const plain = await proposalsOf({ release: ["holds"] });
    const sure = await proposalsOf({ minProbability: 0.9 });
    expect(plain[0]!.probabilityInside).toBeLessThan(0.9);
    expect(sure.length).toBeGreaterThan(0);
    for (const p of sure) expect(p.probabilityInside).toBeGreaterThanOrEqual(0.9 - 1e-9);
    const effort = (p: Proposal) => [p.touched, p.volumeChangedMl] as const;
    expect(effort(sure[0]!) > effort(plain[0]!)).toBe(true);
  },
);

test("solve, routes and repair keep to the habits of the trade unless they are let go of, as explore does", async () => {
  const solved = await answerOf("/v1/solve", {});
  const explored = await answerOf("/v1/explore", {});
  expect(solved.keeps).toEqual(explored.keeps);
  expect(solved.result.proposals[0].id).toBe(explored.proposals[0].id);
  expect(solved.result.proposals[0].probabilityInside).toBeGreaterThanOrEqual(0.8);
  const { result, keeps } = await answerOf("/v1/solve", { release: ["holds"] });
  expect(keeps[0]).toMatchObject({ id: "holds", state: "released" });
  expect(result.proposals[0].probabilityInside).toBeLessThan(0.8);
  type Way = { kind: string; proposal: { moves: { replaces?: string }[] } | null; loosened: string[] };
  const swapped = (routes: Way[]) =>
    routes.flatMap((way) => way.proposal?.moves.flatMap((move) => move.replaces ?? []) ?? []);
  const ways = await answerOf("/v1/routes", {});
  expect(ways.keeps).toEqual(explored.keeps);
  expect(swapped(ways.routes)).not.toContain("rum-aged");
  for (const { loosened } of ways.routes as Way[]) {
    for (const id of loosened) expect(KEEP_IDS).toContain(id);
  }
  const locks = ["juice-lime", "syrup-simple-1-1"];
  const stuck = await answerOf("/v1/repair", { locks, timeBudgetMs: 5000 });
  expect(stuck.keeps.map((keep: { id: string }) => keep.id)).toContain("mains");
});

test("a question and a repair keep to the chance asked for too", async () => {
  const lean = { intent: { ask: "lean", leans: [{ lean: "sharper" }], keep: [] } };
  const { answer: plain } = await answerOf("/v1/ask", lean);
  const { answer: sure } = await answerOf("/v1/ask", { ...lean, minProbability: 0.8 });
  expect(plain.proposals[0].probabilityInside).toBeLessThan(0.8);
  expect(sure.proposals[0].probabilityInside).toBeGreaterThanOrEqual(0.8);

  const tight = { target: { kind: "box", acidGPer100Ml: [0.6, 0.64] }, minProbability: 0.9 };
  const { status, repair } = await answerOf("/v1/repair", tight);
  expect(status).toBe("infeasible");
  expect(repair.conflict.map((l: { id: string }) => l.id)).toContain("chance");
});

test("a question names a family or a classic, or asks for whatever fixes the drink", async () => {
  const fixed = await answerOf("/v1/ask", { question: "what would bring this into sour range?" });
  expect(fixed.intent).toEqual({ ask: "least" });
  expect(fixed.answer).toMatchObject({ status: "optimal", membership: { inside: true } });
  const far = await answerOf("/v1/ask", { question: "how far is this from a daiquiri?" });
  expect(far.target).toMatchObject({ name: expect.stringContaining("Daiquiri") });
  expect(far.answer.membership.inside).toBe(false);
});

test.each([
  ["/v1/solve", {}],
  ["/v1/explore", {}],
  ["/v1/routes", {}],
  ["/v1/repair", {}],
  ["/v1/swaps", { ingredient: "rum-aged" }],
])("%s aims at the likeliest family when told no target, and says so", async (path, more) => {
  const aimed = await answerOf(path, { ...more, target: undefined });
  expect(aimed.assumptions.at(-1)).toBe(`no target given: ${aimed.target.name}, which this is most like`);
  const named = await answerOf(path, { ...more, target: { id: "likeliest" } });
  expect(aimed.target).toEqual(named.target);
});

test("swaps: every other of its role, volume for volume, and the least far first", async () => {
  const { before, swaps, membershipBefore } = await answerOf("/v1/swaps", { ingredient: "rum-aged" });
  const { ingredients } = await (await app.request("/v1/pantry")).json();
  const spirits = ingredients.filter((i: { role: string }) => i.role === "spirit");
  expect(swaps).toHaveLength(spirits.length - 1);
  expect(membershipBefore.inside).toBe(false);
  const distances = swaps.map((s: { signedDistance: number }) => s.signedDistance);
  expect(distances).toEqual([...distances].sort((a, b) => a - b));
  for (const swap of swaps) {
    const other = ingredients.find((i: { id: string }) => i.id === swap.ingredient);
    const lines = [
      { ingredient: swap.ingredient, amount: 2, unit: "oz" },
      { ingredient: "juice-lime", amount: 0.25, unit: "oz" },
      { ingredient: "syrup-simple-1-1", amount: 1, unit: "oz" },
    ];
    const { placement } = await (
      await post(app, "/v1/place", { spec: { name: "", method: "shaken", lines } })
    ).json();
    expect(swap.after.abvPercent, other.name).toBeCloseTo(placement.point.abvPercent, 9);
    expect(swap.delta[2]).toBeCloseTo(placement.point.abvPercent - before.abvPercent, 2);
  }
  // Equal in strength and without sugar: nothing moves here, and the answer says what may.
  const same = swaps.find((s: { delta: number[] }) => s.delta.every((d) => Math.abs(d) < 1e-9));
  expect(same.text).toMatch(/moves nothing .* aroma/);
});

test("swaps: an ingredient that the drink does not hold is refused with those it does", async () => {
  const problem = await readProblem(
    await post(app, "/v1/swaps", { spec, target, ingredient: "juice-lemon" }),
  );
  expect(problem.errors).toEqual([
    expect.objectContaining({
      pointer: "#/ingredient",
      remedy: "name one of its ingredients: rum-aged, juice-lime, syrup-simple-1-1",
    }),
  ]);
});

test("swaps: cautions are those of the alternatives as well", async () => {
  const { cautions } = await answerOf("/v1/swaps", { ingredient: "syrup-simple-1-1" });
  expect(cautions.map((c: { id: string }) => c.id)).toEqual(
    expect.arrayContaining(["alcohol", "nuts", "honey-infants"]),
  );
});

test.each([
  ["a target that is no region", { target: { kind: "ratio", min: 12, max: 8 } }, "#/target/min"],
  [
    "a covariance that is none",
    {
      target: {
        kind: "ellipsoid",
        mean: [8, 0.7, 17],
        covariance: [
          [1, 2, 0],
          [2, 1, 0],
          [0, 0, 1],
        ],
        radius: 2,
      },
    },
    "#/target/covariance",
  ],
  [
    "a piece without a size",
    {
      spec: {
        name: "",
        method: "shaken",
        lines: [
          { ingredient: "rum-aged", amount: 2, unit: "oz" },
          { ingredient: "juice-cranberry", amount: 1, unit: "piece" },
        ],
      },
    },
    "#/spec/lines/1/amount",
  ],
])("every answer of the solver points at %s from the root", async (_, bad, pointer) => {
  for (const path of ["/v1/swaps", "/v1/explore", "/v1/routes", "/v1/repair", "/v1/ask", "/v1/solve"]) {
    const extra = {
      "/v1/swaps": { ingredient: "rum-aged" },
      "/v1/ask": { intent: { ask: "where" } },
      "/v1/solve": { minProbability: 0.8 },
    }[path];
    const problem = await readProblem(await post(app, path, { spec, target, ...bad, ...extra }));
    expect(
      problem.errors.map((e) => e.pointer),
      path,
    ).toEqual([pointer]);
  }
});
