import type { Context } from "hono";
import { z } from "zod";
import { changeShape } from "../../../engine/bench/check.ts";
import { canonical, isDeleted } from "../../../engine/bench/merge.ts";
import type { AnyStored, RecordKind } from "../../../engine/bench/records.ts";
import { changeOf } from "../../../engine/bench/view.ts";
import { idShape } from "../../../engine/shapes/amounts.ts";
import { check } from "../../../engine/shapes/check.ts";
import { permit } from "../../access.ts";
import type { ApiContext, ApiEnv } from "../../context.ts";
import type { Endpoint, RouteDescription } from "../../endpoint.ts";
import { requireKnown, tagOfVersion } from "../../preconditions.ts";
import { DEFAULTS, LIST_SCHEMAS, PATCH_SCHEMAS, PUT_SCHEMAS, RECORD_SCHEMAS } from "../../schemas/kept.ts";
import { sendJson, sendKept } from "../../send.ts";
import type { Versioned } from "../../store/database.ts";
import type { Store } from "../../store/store.ts";
import { type Desk, keptEndpoint, notHere } from "./kept-endpoint.ts";

/** How a kind of record is spoken of, and where it is. */
interface Room {
  kind: RecordKind;
  /** Path below /v1 of the list. */
  path: string;
  one: string;
  many: string;
  /** For operation ids. */
  name: string;
  example: Record<string, unknown>;
}

const SPEC = {
  name: "Pineapple sour",
  method: "shaken",
  lines: [
    { ingredient: "rum-aged", amount: 2, unit: "oz" },
    { ingredient: "juice-lime", amount: 0.75, unit: "oz" },
    { ingredient: "syrup-simple-1-1", amount: 0.75, unit: "oz" },
  ],
};

const figure = (value: number) => ({ value, sd: 0, source: "user" });

const ROOMS: readonly Room[] = [
  {
    kind: "bench",
    path: "/benches",
    one: "a bench",
    many: "the benches",
    name: "Bench",
    example: { name: "Pineapple sour", target: "family:sour" },
  },
  {
    kind: "round",
    path: "/benches/{bench}/rounds",
    one: "a round",
    many: "a bench's rounds",
    name: "Round",
    example: { number: 1, label: "First pour", spec: SPEC },
  },
  {
    kind: "flight",
    path: "/benches/{bench}/flights",
    one: "a flight of blind-coded glasses",
    many: "a bench's flights",
    name: "Flight",
    example: { label: "Tuesday", glasses: [{ round: "01JC0000000000000000000001", code: "417" }] },
  },
  {
    kind: "tasting",
    path: "/benches/{bench}/tastings",
    one: "what one taster said of one glass",
    many: "a bench's tastings",
    name: "Tasting",
    example: { round: "01JC0000000000000000000001", taster: "Table 4", liking: 6, sour: -1, words: ["thin"] },
  },
  {
    kind: "ingredient",
    path: "/ingredients",
    one: "an ingredient of one's own",
    many: "the ingredients of one's own",
    name: "OwnIngredient",
    example: {
      form: 1,
      item: {
        id: "cordial-lime",
        name: "Lime cordial",
        role: "syrup",
        aliases: [],
        abvPercent: figure(0),
        sugarsGPer100Ml: { sucrose: figure(60) },
        acidsGPer100Ml: { citric: figure(3) },
      },
    },
  },
  {
    kind: "prep",
    path: "/preps",
    one: "a house-made ingredient",
    many: "the house-made ingredients",
    name: "Prep",
    example: {
      form: 1,
      item: {
        id: "01JC0000000000000000000004",
        name: "Honey syrup 3:1",
        role: "syrup",
        parts: [
          { ingredient: "honey", amount: 300, unit: "g" },
          { ingredient: "water", amount: 100, unit: "g" },
        ],
        storage: "fridge",
        madeOn: "2026-11-25",
        batch: "1",
      },
    },
  },
  {
    kind: "setting",
    path: "/settings",
    one: "a setting of the house, by its name",
    many: "the settings of the house",
    name: "Setting",
    example: { value: 31.5 },
  },
];

const ID: Readonly<Record<string, string>> = {
  bench: "01JC0000000000000000000000",
  round: "01JC0000000000000000000001",
  flight: "01JC0000000000000000000002",
  tasting: "01JC0000000000000000000003",
  ingredient: "cordial-lime",
  prep: "01JC0000000000000000000004",
  setting: "price:gin",
};

const flat = ({ id, bench, version, values }: Versioned) => ({ id, bench, version, ...values });

/** Answer with one record and its tag. */
function sendRecord(c: Context<ApiEnv>, record: Versioned, status = 200): Response | Promise<Response> {
  return sendJson(c, flat(record), status, { ETag: tagOfVersion(record.version) });
}

/** The number a new round gets when it is not told one: the next. */
async function nextNumber(store: Store, bench: string): Promise<number> {
  const rounds = await store.recordsIn(bench, ["round"]);
  return 1 + Math.max(0, ...rounds.map(({ values }) => (values as { number: number }).number));
}

const ETAG = { ETag: "The record's version: send it as If-Match with the next change." };
const CHANGING = ["not-found", "precondition-failed", "precondition-required"] as const;

/** The parts of a room's routes that its kind decides. */
function described({ kind, path, name, many, example }: Room) {
  const isScoped = path.includes("{bench}");
  const last = kind === "bench" ? "bench" : "id";
  const listed: Record<string, typeof idShape> = isScoped ? { bench: idShape } : {};
  const inList: Record<string, string> = isScoped ? { bench: ID.bench! } : {};
  return {
    tags: ["Benches"],
    list: `/v1${path}`,
    item: `/v1${path}/{${last}}`,
    listParams: isScoped ? z.strictObject(listed) : undefined,
    itemParams: z.strictObject({ ...listed, [last]: idShape }),
    inList,
    at: { ...inList, [last]: ID[kind]! },
    name,
    many,
    example,
    record: { description: "The record", schema: RECORD_SCHEMAS[kind], headers: ETAG },
  };
}

/** The record that a path names. */
function keyOf(kind: RecordKind, params: unknown): Pick<AnyStored, "kind" | "id" | "bench"> {
  const { bench = null, id } = (params ?? {}) as { bench?: string; id?: string };
  if (kind === "bench") return { kind, id: bench!, bench };
  return { kind, id: id ?? "", bench };
}

/** Who sees a bench sees the house's ingredients and preps too, but not its settings. */
function permitToSee({ caller }: Desk, kind: RecordKind, bench: string | null): void {
  const isShared = kind === "ingredient" || kind === "prep";
  permit(caller, isShared ? caller.bench : bench, "see");
}

/** Write some fields of one record, in view of its version (null: it must not be there yet). */
async function writeFields(
  { store, caller }: Desk,
  key: Pick<AnyStored, "kind" | "id" | "bench">,
  values: Record<string, unknown>,
  before: Versioned | null,
): Promise<Versioned> {
  const seen = before ? Object.values(before.stamps).sort().at(-1) : undefined;
  const change = changeOf(key.kind, key.id, key.bench, values as never, store.stamp(seen));
  // The fields were checked at the door; what a whole record has to obey is checked here.
  check(changeShape, change, "");
  const expected = before?.version ?? null;
  const [record] = await store.write([change as AnyStored], { link: caller.link, expected });
  return record!;
}

function listEndpoint(context: ApiContext, room: Room): Endpoint {
  const { kind } = room;
  const { tags, list, listParams, inList, name, many } = described(room);
  const route: RouteDescription = {
    method: "get",
    path: list,
    operationId: `list${name}s`,
    tags,
    summary: `List ${many}, without those put away`,
    ...(listParams && { params: listParams, example: inList }),
    answers: { 200: { description: "Those there are", schema: LIST_SCHEMAS[kind] } },
    problems: ["not-found"],
  };
  return keptEndpoint(context, route, async (desk, { params }, c) => {
    const { bench } = keyOf(kind, params);
    if (kind === "bench") {
      const { caller } = desk;
      if (caller.bench === null) permit(caller, null, "see");
      else permit(caller, caller.bench, "see");
    } else permitToSee(desk, kind, bench);
    const found =
      kind === "bench"
        ? (await desk.store.allBenches()).filter(
            (r) => r.kind === "bench" && (desk.caller.bench === null || r.id === desk.caller.bench),
          )
        : await desk.store.recordsIn(bench, [kind]);
    const records = found.filter((r) => !isDeleted(r)).sort((a, b) => (a.id < b.id ? -1 : 1));
    return sendKept(c, { records: records.map(flat) });
  });
}

function readEndpoint(context: ApiContext, room: Room): Endpoint {
  const { tags, item, itemParams, at, name, record } = described(room);
  const route: RouteDescription = {
    method: "get",
    path: item,
    operationId: `read${name}`,
    tags,
    summary: `Read ${room.one}, also one put away`,
    params: itemParams,
    example: at,
    answers: { 200: record },
    problems: ["not-found"],
  };
  return keptEndpoint(context, route, async (desk, { params }, c) => {
    const key = keyOf(room.kind, params);
    permitToSee(desk, room.kind, key.bench);
    const found = await desk.store.record(key);
    if (!found) throw notHere();
    return sendKept(c, flat(found), {}, tagOfVersion(found.version));
  });
}

function putEndpoint(context: ApiContext, room: Room): Endpoint {
  const { kind } = room;
  const { tags, item, itemParams, at, name, example, record } = described(room);
  const route: RouteDescription = {
    method: "put",
    path: item,
    operationId: `put${name}`,
    tags,
    summary: `Make ${room.one} under an id of your own, or write it anew`,
    description:
      "To make one send If-None-Match: *, to write over one If-Match with its ETag. The id is yours to choose, best a ULID; the same request sent again changes nothing.",
    params: itemParams,
    body: PUT_SCHEMAS[kind],
    example,
    at,
    answers: { 200: record, 201: { ...record, description: "Made" } },
    problems: CHANGING,
  };
  return keptEndpoint(context, route, async (desk, { params, body }, c) => {
    const { store, caller } = desk;
    const key = keyOf(kind, params);
    permit(caller, key.bench, "change");
    const before = await store.record(key);
    const number =
      kind === "round"
        ? { number: (before?.values as { number?: number })?.number ?? (await nextNumber(store, key.bench!)) }
        : {};
    const fields = {
      ...DEFAULTS[kind],
      ...number,
      ...(body as unknown as Record<string, unknown>),
      deleted: false,
    };
    // An answer may have been lost: who asks again for what is there gets it.
    if (before && canonical(before.values) === canonical(fields)) return sendRecord(c, before);
    requireKnown(c, before && tagOfVersion(before.version));
    return sendRecord(c, await writeFields(desk, key, fields, before), before ? 200 : 201);
  });
}

function changeEndpoint(context: ApiContext, room: Room, method: "patch" | "delete"): Endpoint {
  const { kind } = room;
  const { tags, item, itemParams, at, name, example, record } = described(room);
  const route: RouteDescription = {
    method,
    path: item,
    operationId: `${method}${name}`,
    tags,
    summary:
      method === "patch"
        ? `Change some fields of ${room.one}; each given one replaces the kept one whole`
        : `Put ${room.one} away; writing deleted: false brings it back`,
    params: itemParams,
    ...(method === "patch" ? { body: PATCH_SCHEMAS[kind], example, at } : { example: at }),
    answers: { 200: record },
    problems: CHANGING,
  };
  return keptEndpoint(context, route, async (desk, { params, body }, c) => {
    const { store, caller } = desk;
    const key = keyOf(kind, params);
    permit(caller, key.bench, "change");
    const before = await store.record(key);
    if (!before) throw notHere();
    requireKnown(c, tagOfVersion(before.version));
    const fields = method === "patch" ? (body as unknown as Record<string, unknown>) : { deleted: true };
    return sendRecord(c, await writeFields(desk, key, fields, before));
  });
}

/** Reading and writing every kind of record, one at a time and in view of its version. */
export function recordRoutes(context: ApiContext): Endpoint[] {
  return ROOMS.flatMap((room) => [
    listEndpoint(context, room),
    readEndpoint(context, room),
    putEndpoint(context, room),
    changeEndpoint(context, room, "patch"),
    changeEndpoint(context, room, "delete"),
  ]);
}
