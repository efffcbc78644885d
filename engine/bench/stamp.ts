import type { Stamp } from "./records.ts";

/** Where stamps come from: a clock, and a maker of ULIDs that grow (the `ulid` library's monotonic one). */
export interface StampSource {
  /** Milliseconds since 1970. */
  now(): number;
  make(timeMs: number): Stamp;
  timeOf(stamp: Stamp): number;
}

/**
 * A writer's stamps: each later than the last and than the one it is given, whatever the clock says. So a
 * write is never older than what it was made in view of, even when another writer's clock runs ahead.
 */
export function createStamper({ now, make, timeOf }: StampSource): (seen?: Stamp) => Stamp {
  return (seen) => {
    const stamp = make(now());
    return seen === undefined || stamp > seen ? stamp : make(timeOf(seen) + 1);
  };
}
