/** One bad field: where it is (JSON pointer), what is wrong, and what to do about it. */
export interface FieldIssue {
  pointer: string;
  detail: string;
  remedy: string;
}

/** Thrown for bad input only; outcomes such as "infeasible" are values, never exceptions. */
export class EngineError extends Error {
  constructor(readonly issues: readonly FieldIssue[]) {
    super(issues.map((i) => `${i.pointer}: ${i.detail}; ${i.remedy}`).join(" | "));
    this.name = "EngineError";
  }
}

/** The reason of a refused input, for a person: no pointers, what is wrong and what to do. */
export function reasonOf(error: unknown): string {
  if (error instanceof EngineError) {
    return error.issues.map((issue) => `${issue.detail}: ${issue.remedy}`).join(". ");
  }
  return error instanceof Error ? error.message : String(error);
}

/** Throw for one bad field. */
export function fail(pointer: string, detail: string, remedy: string): never {
  throw new EngineError([{ pointer, detail, remedy }]);
}

/** Bad fields gathered while a request is read, so that all of them are named at once. */
export class Issues {
  private readonly found: FieldIssue[] = [];

  /** Note one bad field. */
  add(pointer: string, detail: string, remedy: string): void {
    this.found.push({ pointer, detail, remedy });
  }

  /** Throw one EngineError for all that was noted; return when nothing was. */
  throwAny(): void {
    if (this.found.length > 0) throw new EngineError(this.found);
  }
}

/** Return `x` if it is a finite number, else throw an EngineError naming the field. */
export function requireFinite(x: unknown, pointer: string): number {
  if (typeof x !== "number" || !Number.isFinite(x)) {
    fail(pointer, `expected a finite number, got ${String(x)}`, "give a plain number");
  }
  return x;
}

/** Return `x` if it is finite and not below 0, else throw an EngineError naming the field. `unit` is for its words. */
export function requireAtLeast0(x: number, pointer: string, remedy: string, unit = ""): number {
  if (!(x >= 0 && x < Infinity)) fail(pointer, `${x}${unit} is not a number of at least 0`, remedy);
  return x;
}

/** Return `x` if it is in a closed range, else throw an EngineError naming the field. `name` and `unit` are for its words. */
export function requireInRange(
  x: number,
  [least, most]: readonly [number, number],
  pointer: string,
  remedy: string,
  { name = "", unit = "" } = {},
): number {
  if (x >= least && x <= most) return x;
  return fail(pointer, `${name && `${name} `}${x}${unit && ` ${unit}`} is not in ${least}..${most}`, remedy);
}

/** Refuse what is no share of anything: a figure not above 0, or above 1. */
export function requireShare(x: number, pointer: string, remedy: string): void {
  if (!(x > 0 && x <= 1)) fail(pointer, `${x} is not above 0 and at most 1`, remedy);
}

/** Run code that reads the part of the input at `pointer`, so that its errors point from the root. */
export function under<T>(pointer: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof EngineError)) throw error;
    throw new EngineError(error.issues.map((issue) => ({ ...issue, pointer: pointer + issue.pointer })));
  }
}
