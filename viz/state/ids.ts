const ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz";

/**
 * A fresh id: a ULID in lower case, so that ids made later sort later whichever browser made them, and
 * offline work merges without renaming. Made from `getRandomValues`, which is there on plain http too.
 */
export function newId(now = Date.now()): string {
  let time = "";
  for (let left = now, i = 0; i < 10; i += 1) {
    time = ALPHABET[left % 32] + time;
    left = Math.floor(left / 32);
  }
  const random = crypto.getRandomValues(new Uint8Array(16));
  return time + Array.from(random, (byte) => ALPHABET[byte % 32]).join("");
}
