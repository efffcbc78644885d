import { createHash, randomBytes } from "node:crypto";
import { ulid } from "ulid";
import type { Within } from "./database.ts";

/** What a link lets its bearer do. */
export const LINK_ROLES = ["owner", "taster", "viewer"] as const;
export type LinkRole = (typeof LINK_ROLES)[number];

/** A link without its secret, which nobody keeps. */
export interface Link {
  id: string;
  role: LinkRole;
  /** The one bench it opens; null: the whole house. */
  bench: string | null;
  /** For people: who has it. A taster's name. */
  label: string;
  /** ISO 8601. */
  made: string;
  revoked: string | null;
}

/**
 * A secret as it is kept. It is 256 random bits and not a password: there is nothing to guess, so that one
 * round of SHA-256 is enough where a password would need a slow hash, and a look-up by the hash leaks nothing.
 */
const hashOf = (secret: string): string => createHash("sha256").update(secret).digest("hex");

const toLink = ({ hash: _, ...link }: Omit<Link, "role"> & { role: string; hash: string }): Link => ({
  ...link,
  role: link.role as LinkRole,
});

/** Make a link; the secret is told this once. */
export async function makeLink(
  db: Within,
  wanted: Pick<Link, "role" | "bench" | "label">,
  at: string,
): Promise<{ link: Link; secret: string }> {
  const secret = randomBytes(32).toString("base64url");
  const row = { id: ulid(), ...wanted, hash: hashOf(secret), made: at, revoked: null };
  await db.insertInto("links").values(row).execute();
  return { link: toLink(row), secret };
}

/** The link of a secret, unless there is none or it was revoked. */
export async function linkOf(db: Within, secret: string): Promise<Link | null> {
  const row = await db
    .selectFrom("links")
    .selectAll()
    .where("hash", "=", hashOf(secret))
    .where("revoked", "is", null)
    .executeTakeFirst();
  return row ? toLink(row) : null;
}

/** Every link ever made, oldest first. */
export async function listLinks(db: Within): Promise<Link[]> {
  const rows = await db.selectFrom("links").selectAll().execute();
  return rows.map(toLink).sort((a, b) => (a.id < b.id ? -1 : 1));
}

/** Revoke a link for good; null when there is no such link. */
export async function revokeLink(db: Within, id: string, at: string): Promise<Link | null> {
  await db
    .updateTable("links")
    .set({ revoked: at })
    .where("id", "=", id)
    .where("revoked", "is", null)
    .execute();
  const row = await db.selectFrom("links").selectAll().where("id", "=", id).executeTakeFirst();
  return row ? toLink(row) : null;
}
