/** One change that can be taken back: how things stood before and after it. */
interface Entry<T> {
  before: T;
  after: T;
  mergeKey: string | undefined;
}

const LIMIT = 300;

/**
 * A history of changes to an immutable value. `carry(now, from, to)` redoes on `now` the change that led
 * from `from` to `to`, so that what happened since (another tab's rounds) stays.
 */
export function createHistory<T>(carry: (now: T, from: T, to: T) => T) {
  let done: Entry<T>[] = [];
  let undone: Entry<T>[] = [];
  return {
    /** Note a change. Those with the same `mergeKey` in a row (one drag) are one step. */
    note(before: T, after: T, mergeKey?: string): void {
      const last = done.at(-1);
      if (mergeKey !== undefined && last?.mergeKey === mergeKey) last.after = after;
      else done.push({ before, after, mergeKey });
      if (done.length > LIMIT) done = done.slice(-LIMIT);
      undone = [];
    },
    /** The value with the last change taken back, or null when there is none. */
    undo(now: T): T | null {
      const entry = done.pop();
      if (!entry) return null;
      entry.mergeKey = undefined;
      undone.push(entry);
      return carry(now, entry.after, entry.before);
    },
    /** The value with the last change taken back made again, or null. */
    redo(now: T): T | null {
      const entry = undone.pop();
      if (!entry) return null;
      done.push(entry);
      return carry(now, entry.before, entry.after);
    },
    steps: () => ({ back: done.length, forth: undone.length }),
  };
}
