const SEAT = /^#seat=([A-Za-z0-9_-]{43})$/;

/** The secret of a taster's link, if that is what the address holds. */
export function seatOf({ pathname, hash }: Pick<Location, "pathname" | "hash">): string | null {
  return pathname === "/taste" ? (SEAT.exec(hash)?.[1] ?? null) : null;
}

/** The address to hand to a taster. The secret stands behind #, which browsers do not send. */
export const seatAddress = (origin: string, secret: string): string => `${origin}/taste#seat=${secret}`;
