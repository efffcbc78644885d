import { expect, test } from "vitest";
import { post, testApp } from "./harness.ts";

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
  const { status, repair, nearest } = await answerOf("/v1/repair", { locks });
  expect(status).toBe("infeasible");
  expect(nearest.acidGPer100Ml).toBeGreaterThan(0);
  expect(repair.conflict.length).toBeGreaterThan(0);
  const added = repair.repairs.find((r: { kind: string }) => r.kind === "add");
  const freed = await answerOf("/v1/solve", { locks, additions: [added.id] });
  expect(freed.result.status).toBe("optimal");
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
  expect(short.result.certificate.rows).toBeUndefined();
  const { result } = await answerOf("/v1/solve", { certificateRows: true });
  const { rows, ranges, refutations } = result.certificate;
  const none = refutations.find((r: { touched: number }) => r.touched === 0) ?? refutations[0];
  expect(none.multipliers.length).toBeGreaterThan(0);
  const known = new Set(rows.map((r: { row: string }) => r.row));
  for (const m of none.multipliers) expect([...known]).toContain(m.row);
  expect(ranges).toHaveLength(3);
});
