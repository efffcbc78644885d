/** Why a store cannot be used; each has its sentence and its way out. */
export type TroubleReason =
  | "damaged"
  | "full"
  | "read-only"
  | "missing"
  | "busy"
  | "unreachable"
  | "refused"
  | "newer";

/** A fault of the place where things are kept, never of what was sent. */
export class StoreTrouble extends Error {
  constructor(
    readonly reason: TroubleReason,
    readonly detail: string,
    readonly remedy: string,
    cause?: unknown,
  ) {
    super(`${detail}; ${remedy}`, { cause });
    this.name = "StoreTrouble";
  }
}

type Sentence = readonly [TroubleReason, detail: string, remedy: string];

/** SQLite's result codes (sqlite.org/rescode.html), the primary ones. */
const SQLITE: Readonly<Record<number, (file: string) => Sentence>> = {
  5: (file) => [
    "busy",
    `another program is writing to ${file} and does not finish`,
    "try again; nothing was lost",
  ],
  6: (file) => [
    "busy",
    `another program is writing to ${file} and does not finish`,
    "try again; nothing was lost",
  ],
  8: (file) => [
    "read-only",
    `${file} may not be written to`,
    "give this user the right to write there, or set DATA_DIR",
  ],
  10: (file) => [
    "full",
    `the disk refused to write ${file}`,
    "free some space or check the disk; what was kept before is safe",
  ],
  11: damaged,
  13: (file) => ["full", `no room is left for ${file}`, "free some space; what was kept before is safe"],
  14: (file) => [
    "missing",
    `${file} cannot be opened`,
    "check that the folder is there and may be written to, or set DATA_DIR",
  ],
  26: damaged,
};

function damaged(file: string): Sentence {
  return [
    "damaged",
    `${file} is damaged or no store of ours; it was left as it is`,
    "move it away, keep it, and restore the last backup",
  ];
}

/** Postgres' error classes (Appendix A of its manual) and Node's network errors. */
const POSTGRES: readonly (readonly [RegExp, Sentence])[] = [
  [
    /^53100$/,
    ["full", "the database server has no room left", "free some space there; what was kept before is safe"],
  ],
  [/^25006$/, ["read-only", "the database takes no writes", "point DATABASE_URL at the primary server"]],
  [
    /^(28...|3D000|42501)$/,
    ["refused", "the database server refuses this user or database", "check DATABASE_URL"],
  ],
  [
    /^(08...|57P0.|53300|E[A-Z]+)$/,
    ["unreachable", "the database server does not answer", "start it, or check DATABASE_URL"],
  ],
];

/** What a driver's error means, in words; an error of another kind is given back as it is. */
export function troubleOf(error: unknown, place: string): unknown {
  if (!(error instanceof Error) || error instanceof StoreTrouble) return error;
  const { errcode, code } = error as Error & { errcode?: unknown; code?: unknown };
  if (typeof errcode === "number") {
    const sentence = SQLITE[errcode & 0xff]?.(place);
    return sentence ? new StoreTrouble(...sentence, error) : error;
  }
  const lost = /Connection terminated|timeout exceeded when trying to connect/.test(error.message);
  const known = POSTGRES.find(([form]) => form.test(lost ? "08006" : String(code)));
  return known ? new StoreTrouble(...known[1], error) : error;
}
