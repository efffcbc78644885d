import { isDeleted } from "../../../engine/bench/merge.ts";
import type { AnyStored, Stored, ValuesOf } from "../../../engine/bench/records.ts";
import { changeOf } from "../../../engine/bench/view.ts";
import { servingOrder } from "../../../engine/taste/flight.ts";
import { careOf } from "../../../engine/thrift/care.ts";
import type { Spec } from "../../../engine/types.ts";
import type { ApiContext } from "../../context.ts";
import type { Endpoint } from "../../endpoint.ts";
import { ProblemError } from "../../problems/problem.ts";
import { PROBLEMS } from "../../problems/registry.ts";
import { FormBodySchema, FormSchema, TableSchema } from "../../schemas/kept.ts";
import { sendJson, sendKept } from "../../send.ts";
import type { Versioned } from "../../store/database.ts";
import { houseOptions } from "./house-options.ts";
import { type Desk, keptEndpoint, notHere } from "./kept-endpoint.ts";

/*
 * A taster's own door. What leaves here is only this: the codes of the glasses in the taster's own order, and
 * the taster's own forms. No round, no spec, no name but theirs, nobody else's marks.
 */

type Flight = Versioned & Stored<"flight">;
type Tasting = Versioned & Stored<"tasting">;
type Round = Versioned & Stored<"round">;

/** A taster's form for one glass has one place, so that sending it again changes it and adds none. */
const formId = (flight: string, link: string, code: string): string => `${flight}.${link}.${code}`;

function form({ values }: Tasting, code: string) {
  const { liking, sweet, sour, strong, words, notes } = values as ValuesOf<"tasting">;
  return { code, liking, sweet, sour, strong, words, notes };
}

/** The bench, link and place at the table of a taster. */
async function seat({ store, caller }: Desk): Promise<{ bench: string; link: string; number: number }> {
  if (caller.role !== "taster" || caller.bench === null || caller.link === null) {
    throw new ProblemError("not-allowed", PROBLEMS["not-allowed"].meaning);
  }
  const tasters = (await store.links()).filter((l) => l.role === "taster" && l.bench === caller.bench);
  return {
    bench: caller.bench,
    link: caller.link,
    number: tasters.findIndex(({ id }) => id === caller.link),
  };
}

async function flightsOf({ store }: Desk, bench: string): Promise<Flight[]> {
  const flights = (await store.recordsIn(bench, ["flight"])) as Flight[];
  return flights.filter((flight) => !isDeleted(flight as AnyStored)).sort((a, b) => (a.id < b.id ? 1 : -1));
}

/** What the bearer of a taster's link is served. */
async function tableOf(desk: Desk, context: ApiContext) {
  const { bench, link, number } = await seat(desk);
  const flights = await flightsOf(desk, bench);
  const own = new Map<string, Tasting>();
  const specs = new Map<string, Spec>();
  for (const record of (await desk.store.recordsIn(bench, ["round", "tasting"])) as (Round | Tasting)[]) {
    if (record.kind === "tasting") own.set(record.id, record);
    else specs.set(record.id, (record.values as ValuesOf<"round">).spec as Spec);
  }
  const { pantry } = await houseOptions(desk.store, context);
  return {
    taster: desk.caller.label,
    flights: flights.map(({ id, values }) => {
      const { label, open, glasses } = values as ValuesOf<"flight">;
      const codes = servingOrder(glasses.length, number).map((glass) => glasses[glass]!.code);
      return {
        id,
        label,
        open,
        codes,
        forms: codes.flatMap((code) => {
          const tasting = own.get(formId(id, link, code));
          return tasting ? [form(tasting, code)] : [];
        }),
        care: careOf(
          glasses.map(({ round }) => specs.get(round)),
          pantry,
        ),
      };
    }),
  };
}

/** The taster's door. */
export function tasteRoutes(context: ApiContext): Endpoint[] {
  const read = {
    method: "get",
    path: "/v1/taste",
    operationId: "readTable",
    tags: ["Tasting"],
    summary: "What a taster is served: codes in their own order, and their own forms",
    description:
      "By a taster's link alone. Orders are balanced over the tasters (Williams design), so that no glass is favoured by its place.",
    answers: { 200: { description: "The flights, latest first", schema: TableSchema } },
  } as const;
  const send = {
    method: "post",
    path: "/v1/taste",
    operationId: "sendForm",
    tags: ["Tasting"],
    summary: "Hand in the form for one glass; handed in again it replaces the first",
    body: FormBodySchema,
    example: {
      flight: "01JC0000000000000000000002",
      code: "417",
      liking: 6,
      sweet: 0,
      sour: -1,
      strong: 0,
      words: ["thin"],
      notes: "",
    },
    answers: { 200: { description: "The form as it is kept", schema: FormSchema } },
    problems: ["not-found", "flight-closed"],
  } as const;
  return [
    keptEndpoint(context, read, async (desk, _, c) => sendKept(c, await tableOf(desk, context))),
    keptEndpoint(context, send, async (desk, { body }, c) => {
      const { bench, link } = await seat(desk);
      const { flight: flightId, code, ...said } = body;
      const flight = (await flightsOf(desk, bench)).find(({ id }) => id === flightId);
      const glass = flight?.values.glasses?.find((g) => g.code === code);
      if (!flight || !glass) throw notHere();
      if (!flight.values.open) throw new ProblemError("flight-closed", PROBLEMS["flight-closed"].meaning);
      const key = { kind: "tasting" as const, id: formId(flightId, link, code), bench };
      const before = await desk.store.record(key);
      const values = {
        ...said,
        round: glass.round,
        flight: flightId,
        taster: desk.caller.label,
        deleted: false,
      };
      const at = desk.store.stamp(before ? Object.values(before.stamps).sort().at(-1) : undefined);
      const change = changeOf(key.kind, key.id, bench, values, at) as AnyStored;
      const [tasting] = await desk.store.write([change], { link });
      return sendJson(c, form(tasting as Tasting, code));
    }),
  ];
}
