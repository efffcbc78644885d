import type { Bench } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { keepKey } from "../state/kept-keys.ts";
import { type Key, keyTo } from "../state/keys.ts";
import { duplicateBench, keepAsOwn } from "./bench-files.ts";

function wordsOf({ role, label, gone }: Key): string {
  const whose = `${role === "viewer" ? "a viewer's" : "an owner's"} link${label === "" ? "" : ` (“${label}”)`}`;
  if (gone) {
    return `This bench came by ${whose}, which no longer opens it: it was revoked, or its server is another one now. What you see is the last this browser had.`;
  }
  return role === "viewer"
    ? `You see this bench by ${whose}: its rounds as they are made, and nothing to change.`
    : `You work on this bench by ${whose}. What you do is kept on its server for everyone who has it.`;
}

/** Whose bench this is, when it came by a link, and what can be done about it. */
export function ByLink({ bench }: { bench: Bench }) {
  const { store, keeping } = useHouse();
  const key = keyTo(bench.id);
  if (!key) return null;
  return (
    <div class="notice by-link" data-tone={key.gone ? "problem" : "info"} data-role={key.role}>
      <p>{wordsOf(key)}</p>
      {key.role === "viewer" && (
        <button type="button" class="quiet" onClick={() => duplicateBench(store, bench)}>
          Work on a copy
        </button>
      )}
      {key.gone && key.bench !== null && (
        <button
          type="button"
          class="quiet"
          onClick={() => keepAsOwn(store, bench, () => keepKey(keeping.shelf, key.bench, null))}
        >
          Forget the link, keep the bench
        </button>
      )}
    </div>
  );
}
