import { z } from "zod";
import { isDeleted } from "../../../engine/bench/merge.ts";
import type { AnyStored } from "../../../engine/bench/records.ts";
import { MOST } from "../../../engine/limits.ts";
import { idShape } from "../../../engine/shapes/amounts.ts";
import { permit } from "../../access.ts";
import type { ApiContext } from "../../context.ts";
import type { Endpoint } from "../../endpoint.ts";
import {
  BackupSchema,
  HistorySchema,
  LinkAnswerSchema,
  LinkBodySchema,
  LinkListSchema,
  NewLinkSchema,
  OwnLinkSchema,
  RestoredSchema,
  SyncAnswerSchema,
  SyncBodySchema,
  UndoAnswerSchema,
  UndoBodySchema,
} from "../../schemas/kept.ts";
import { sendJson, sendKept } from "../../send.ts";
import type { Backup } from "../../store/backup.ts";
import type { Versioned } from "../../store/database.ts";
import { type Desk, keptEndpoint, notHere } from "./kept-endpoint.ts";

/** A batch of records is larger than a drink. */
const MOST_SYNC_BYTES = 4 * 1024 * 1024;
/** A house of years. */
const MOST_BACKUP_BYTES = 128 * 1024 * 1024;
const HISTORY_PAGE = 100;

const TAGS = ["Benches"] as const;
const BENCH_EXAMPLE = { bench: "01JC0000000000000000000000" };

const enveloped = ({ version, ...record }: Versioned) => ({ version, record });

function syncEndpoint(context: ApiContext): Endpoint {
  const route = {
    method: "post",
    path: "/v1/sync",
    operationId: "sync",
    tags: TAGS,
    summary: "Bring a copy and the store together",
    description:
      "For a page that works without a server and brings its work in later. Changes carry ids and stamps of their writer: they merge field by field, the later write staying, so that the same batch sent twice, late or in pieces gives the same records. All of a batch is taken, or, with a problem that names the record, none of it. Once answered it is on disk.",
    body: SyncBodySchema,
    maxBodyBytes: MOST_SYNC_BYTES,
    example: { house: null, after: 0, changes: [] },
    answers: { 200: { description: "What changed since", schema: SyncAnswerSchema } },
    problems: ["not-found"],
  } as const;
  return keptEndpoint(context, route, async ({ store, caller }, { body }, c) => {
    const changes = body.changes as unknown as AnyStored[];
    permit(caller, caller.bench, "see");
    for (const { bench } of changes) permit(caller, bench, "change");
    if (changes.length > 0) await store.write(changes, { link: caller.link });
    const after = body.house === store.house ? body.after : 0;
    const { records, version, more } = await store.since(after, { bench: caller.bench }, MOST.records);
    return sendJson(c, { house: store.house, records: records.map(enveloped), after: version, more });
  });
}

/** The history of a bench, or of the whole house, and taking back. */
function historyEndpoints(context: ApiContext, ofBench: boolean): Endpoint[] {
  const root = ofBench ? "/v1/benches/{bench}" : "/v1";
  const params = ofBench ? z.strictObject({ bench: idShape }) : undefined;
  const example = ofBench ? BENCH_EXAMPLE : {};
  const whose = ofBench ? "a bench" : "the whole house";
  const name = ofBench ? "Bench" : "House";
  const history = {
    method: "get",
    path: `${root}/history`,
    operationId: `read${name}History`,
    tags: TAGS,
    summary: `Everything ever written to ${whose}, latest first`,
    ...(params && { params }),
    query: z.strictObject({
      before: z
        .optional(z.int().min(1))
        .check(z.describe("Only changes with a lower version: the last of the page before.")),
    }),
    example,
    answers: { 200: { description: "A page of changes", schema: HistorySchema } },
    problems: ["not-found"],
  } as const;
  const undo = {
    method: "post",
    path: `${root}/undo`,
    operationId: `undo${name}`,
    tags: TAGS,
    summary: `Take back what was last done in ${whose}, or one earlier act`,
    description:
      "The history only grows: taking back is a new change, which can itself be taken back. What was written to the same fields since stands in the way and is named.",
    ...(params && { params }),
    body: UndoBodySchema,
    example: { stamp: null },
    at: ofBench ? BENCH_EXAMPLE : {},
    answers: { 200: { description: "The records as they are now", schema: UndoAnswerSchema } },
    problems: ["not-found", "written-since"],
  } as const;
  const benchIn = (given: unknown) => (given as { bench?: string } | undefined)?.bench ?? null;
  return [
    keptEndpoint(context, history, async ({ store, caller }, { params: given, query }, c) => {
      const bench = benchIn(given);
      permit(caller, bench, "see");
      const found = await store.history(bench, query.before ?? null, HISTORY_PAGE + 1);
      const changes = found.slice(0, HISTORY_PAGE).map(({ version, stamp, link, undoes, at, ...change }) => ({
        version,
        change,
        stamp,
        link,
        undoes,
        at,
      }));
      return sendKept(c, { changes, more: found.length > HISTORY_PAGE });
    }),
    keptEndpoint(context, undo, async ({ store, caller }, { params: given, body }, c) => {
      const bench = benchIn(given);
      permit(caller, bench, "change");
      const records = await store.undo(bench, body.stamp, caller.link);
      if (!records) throw notHere();
      return sendJson(c, { records: records.map(enveloped) });
    }),
  ];
}

function backupEndpoints(context: ApiContext): Endpoint[] {
  const backup = {
    method: "get",
    path: "/v1/backup",
    operationId: "backUp",
    tags: TAGS,
    summary: "Everything that is kept, as one file",
    answers: {
      200: {
        description: "Records, history and links (without their secrets)",
        schema: BackupSchema,
        headers: { "Content-Disposition": "A name for the file." },
      },
    },
    problems: ["not-found"],
  } as const;
  const restore = {
    method: "post",
    path: "/v1/restore",
    operationId: "restore",
    tags: TAGS,
    summary: "Bring a backup in",
    description:
      "Into an empty store it restores everything to the letter. Into one in use it merges: nothing written later is overwritten, nothing is doubled, and a link revoked on either side is revoked.",
    body: BackupSchema,
    maxBodyBytes: MOST_BACKUP_BYTES,
    example: { format: "steelyard-backup", version: 1, records: [], history: [], links: [] },
    answers: { 200: { description: "It is in", schema: RestoredSchema } },
    problems: ["not-found"],
  } as const;
  return [
    keptEndpoint(context, backup, async ({ store, caller }, _, c) => {
      permit(caller, null, "change");
      const disposition = 'attachment; filename="steelyard-backup.json"';
      return sendKept(c, await store.backUp(), { "Content-Disposition": disposition });
    }),
    keptEndpoint(context, restore, async ({ store, caller }, { body }, c) => {
      permit(caller, null, "change");
      await store.restore(body as unknown as Backup);
      const { records } = await store.backUp();
      return sendJson(c, { records: records.length });
    }),
  ];
}

/** Links of a bench may be made and seen by who owns the bench. */
function linkEndpoints(context: ApiContext): Endpoint[] {
  const list = {
    method: "get",
    path: "/v1/links",
    operationId: "listLinks",
    tags: TAGS,
    summary: "The links there are, revoked ones too; never their secrets",
    answers: { 200: { description: "Links", schema: LinkListSchema } },
    problems: ["not-found"],
  } as const;
  const read = {
    method: "get",
    path: "/v1/links/own",
    operationId: "readOwnLink",
    tags: TAGS,
    summary: "What the link you ask by opens: its role, its bench, for whom it was made",
    description: "Any link may ask. Without one, the owner on this machine is told of the whole house.",
    answers: { 200: { description: "The link you came by", schema: OwnLinkSchema } },
  } as const;
  const make = {
    method: "post",
    path: "/v1/links",
    operationId: "makeLink",
    tags: TAGS,
    summary: "Make a link for an owner, a viewer or a taster",
    description:
      "Whoever has the secret may do what the link's role may; it cannot be guessed, is kept only as a hash, and is told here once. Send it as Authorization: Bearer; in an address put it behind #, which browsers do not send.",
    body: LinkBodySchema,
    example: { role: "taster", bench: BENCH_EXAMPLE.bench, label: "Table 4" },
    answers: { 201: { description: "The link and its secret", schema: NewLinkSchema } },
    problems: ["not-found"],
  } as const;
  const revoke = {
    method: "delete",
    path: "/v1/links/{id}",
    operationId: "revokeLink",
    tags: TAGS,
    summary: "Revoke a link, for good and at once",
    params: z.strictObject({ id: idShape }),
    example: { id: "01JC0000000000000000000009" },
    answers: { 200: { description: "The revoked link", schema: LinkAnswerSchema } },
    problems: ["not-found"],
  } as const;
  const own = async ({ store, caller }: Desk) =>
    (await store.links()).filter(({ bench }) => caller.bench === null || bench === caller.bench);
  return [
    keptEndpoint(context, list, async (desk, _, c) => {
      permit(desk.caller, desk.caller.bench, "change");
      return sendKept(c, { links: await own(desk) });
    }),
    keptEndpoint(context, read, async ({ caller: { role, bench, label } }, _, c) =>
      sendKept(c, { role, bench, label }),
    ),
    keptEndpoint(context, make, async ({ store, caller }, { body }, c) => {
      permit(caller, body.bench, "change");
      if (body.bench !== null) {
        const bench = await store.record({ kind: "bench", id: body.bench, bench: body.bench });
        if (!bench || isDeleted(bench)) throw notHere();
      }
      return sendJson(c, await store.makeLink(body), 201);
    }),
    keptEndpoint(context, revoke, async (desk, { params }, c) => {
      permit(desk.caller, desk.caller.bench, "change");
      const link = (await own(desk)).find(({ id }) => id === params.id);
      if (!link) throw notHere();
      return sendJson(c, await desk.store.revokeLink(link.id));
    }),
  ];
}

/** What concerns everything that is kept. */
export function houseRoutes(context: ApiContext): Endpoint[] {
  return [
    syncEndpoint(context),
    ...historyEndpoints(context, true),
    ...historyEndpoints(context, false),
    ...backupEndpoints(context),
    ...linkEndpoints(context),
  ];
}
