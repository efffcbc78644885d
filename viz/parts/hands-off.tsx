import type { JSX } from "preact";
import { useStore } from "../house.ts";
import { isOnlySeen } from "../state/keys.ts";

/** Controls that change the bench in work: out of reach where this browser may only look at it. */
export function HandsOff({ children }: { children: JSX.Element }) {
  const bench = useStore().parts.bench.value;
  return isOnlySeen(bench) ? (
    <fieldset class="bare" disabled>
      {children}
    </fieldset>
  ) : (
    children
  );
}
