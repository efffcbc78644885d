import type { Bench } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { CommitInput } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { KeptWhere } from "../parts/kept-where.tsx";
import { later } from "../parts/later.tsx";
import { newId } from "../state/ids.ts";
import { isOnlySeen } from "../state/keys.ts";
import { addressOf, go } from "../state/route.ts";
import { copyLessonLink, copyLink, duplicateBench, exportBench } from "./bench-files.ts";
import { addBench, renameBench, startBlank } from "./benches-edit.ts";
import { openPaste } from "./paste.tsx";

// The bench's head asks for both in one: what a file brings in, and this menu.
export { importBench } from "./bench-files.ts";

const Links = later(async () => (await import("./links.tsx")).Links);

/** What can be done with the whole of a bench. */
export function BenchActs({
  bench,
  onOpenFile,
  onDone,
}: {
  bench: Bench;
  onOpenFile: () => void;
  onDone: () => void;
}) {
  const store = useStore();
  const acts: { label: string; act: () => void }[] = [
    { label: "Start a blank bench", act: () => startBlank(store) },
    {
      label: "Paste your own spec",
      act: () => {
        go(addressOf("bench", bench.id));
        openPaste();
      },
    },
    { label: "Duplicate this bench", act: () => duplicateBench(store, bench) },
    { label: "Copy a link to all of it", act: () => copyLink(store) },
    { label: "Copy a lesson link: this drink, this range", act: () => copyLessonLink(store) },
    { label: "Save a file", act: () => exportBench(store, bench) },
    { label: "Open a file", act: onOpenFile },
    {
      label: "Open a fresh copy of the demo",
      act: () => addBench(store, { ...store.data.demo, id: newId() }),
    },
  ];
  return (
    <>
      <div class="field">
        <label for="bench-name">Name of this bench</label>
        <CommitInput
          id="bench-name"
          maxLength={80}
          value={bench.name}
          onCommit={(text) => {
            if (!text.trim()) return false;
            renameBench(store, text.trim());
          }}
        />
      </div>
      {bench.story && <p class="hint story">{bench.story}</p>}
      <div class="menu-acts">
        {acts.map(({ label, act }) => (
          <button
            key={label}
            type="button"
            onClick={() => {
              act();
              onDone();
            }}
          >
            {label}
          </button>
        ))}
        <a href={addressOf("benches")}>All benches</a>
      </div>
      <KeptWhere />
      {!isOnlySeen(bench.id) && (
        <Fold summary="Links for others, to see it or work on it" class="quiet-fold">
          {() => <Links bench={bench} />}
        </Fold>
      )}
      <p class="hint">Save a file to keep a bench safe or to pass it on.</p>
    </>
  );
}
