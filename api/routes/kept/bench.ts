import { z } from "zod";
import { mergeRecords } from "../../../engine/bench/merge.ts";
import { compareRounds } from "../../../engine/bench/rounds.ts";
import { benchOf } from "../../../engine/bench/view.ts";
import { under } from "../../../engine/errors.ts";
import { place } from "../../../engine/place/place.ts";
import { idShape } from "../../../engine/shapes/amounts.ts";
import type { Bench } from "../../../engine/types.ts";
import { permit } from "../../access.ts";
import type { ApiContext } from "../../context.ts";
import type { Endpoint } from "../../endpoint.ts";
import { ComparisonSchema, TreeSchema } from "../../schemas/kept.ts";
import { sendKept } from "../../send.ts";
import type { Store } from "../../store/store.ts";
import { houseOptions } from "./house-options.ts";
import { keptEndpoint, notHere } from "./kept-endpoint.ts";

/** A bench as it stands. */
async function readBench(store: Store, id: string): Promise<Bench> {
  const records = mergeRecords(new Map(), await store.recordsIn(id, ["bench", "round"]));
  const bench = benchOf(records, id);
  if (!bench) throw notHere();
  return bench;
}

const BENCH = z.strictObject({ bench: idShape });
const EXAMPLE = { bench: "01JC0000000000000000000000" };

/** A bench as a whole. */
export function benchRoutes(context: ApiContext): Endpoint[] {
  const tree = {
    method: "get",
    path: "/v1/benches/{bench}/tree",
    operationId: "readTree",
    tags: ["Benches"],
    summary: "A bench with its rounds, as the engine and the page use it",
    description:
      "Rounds put away are left out and what grew from them hangs on what they grew from; no two rounds have one number. A fork is a round with a parent: put one under an id of your own.",
    params: BENCH,
    example: EXAMPLE,
    answers: {
      200: { description: "The bench", schema: TreeSchema },
    },
    problems: ["not-found"],
  } as const;

  const compare = {
    method: "get",
    path: "/v1/benches/{bench}/compare",
    operationId: "compareRounds",
    tags: ["Benches"],
    summary: "Any two rounds of a bench side by side, and what changed in one line",
    params: BENCH,
    query: z.strictObject({
      from: idShape.check(z.describe("Id of a round.")),
      to: idShape.check(z.describe("Id of another.")),
    }),
    example: { ...EXAMPLE, from: "01JC0000000000000000000001", to: "01JC0000000000000000000002" },
    answers: {
      200: { description: "The two rounds and what is different in the second", schema: ComparisonSchema },
    },
    problems: ["not-found"],
  } as const;

  return [
    keptEndpoint(context, tree, async ({ store, caller }, { params }, c) => {
      permit(caller, params.bench, "see");
      const bench = await readBench(store, params.bench);
      return sendKept(c, { bench });
    }),
    keptEndpoint(context, compare, async ({ store, caller }, { params, query }, c) => {
      permit(caller, params.bench, "see");
      const { rounds } = await readBench(store, params.bench);
      const { pantry, options } = await houseOptions(store, context);
      const side = (which: "from" | "to") => {
        const round = rounds.find(({ id }) => id === query[which]);
        if (!round) throw notHere();
        return { round, placement: under(`/${which}/spec`, () => place(round.spec, pantry, options)) };
      };
      const [from, to] = [side("from"), side("to")];
      return sendKept(c, { from, to, ...compareRounds(from.round, to.round, pantry, options) });
    }),
  ];
}
