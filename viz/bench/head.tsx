import { useRef } from "preact/hooks";
import type { Bench } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { CommitInput } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import { KeptWhere } from "../parts/kept-where.tsx";
import { Menu } from "../parts/menu.tsx";
import { newId } from "../state/ids.ts";
import { addressOf } from "../state/route.ts";
import { addBench, duplicateBench, renameBench, startBlank } from "./bench-edit.ts";
import { copyLessonLink, copyLink, exportBench, importBench } from "./bench-files.ts";

/** The rooms of one bench, in the order of work. */
const BENCH_ROOMS = [
  { room: "bench", name: "Work" },
  { room: "taste", name: "Taste" },
  { room: "card", name: "Card" },
  { room: "present", name: "Present" },
] as const;

/** What can be done with the whole of a bench, under its name. */
function BenchMenu({ bench, onOpenFile }: { bench: Bench; onOpenFile: () => void }) {
  const store = useStore();
  const acts: { label: string; act: () => void }[] = [
    { label: "Start a blank bench", act: () => startBlank(store) },
    { label: "Duplicate this bench", act: () => duplicateBench(store, bench) },
    { label: "Copy a link to all of it", act: () => copyLink(store) },
    { label: "Copy a lesson link: this drink, this range", act: () => copyLessonLink(store) },
    { label: "Save a file", act: () => exportBench(bench) },
    { label: "Open a file", act: onOpenFile },
    {
      label: "Open a fresh copy of the demo",
      act: () => addBench(store, { ...store.data.demo, id: newId() }),
    },
  ];
  return (
    <Menu
      class="bench-menu"
      label={`${bench.name}: rename this bench, start, copy or save one`}
      button={
        <>
          <span class="bench-name">{bench.name}</span>
          <Icon name="down" />
        </>
      }
    >
      {(close) => (
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
                  close();
                }}
              >
                {label}
              </button>
            ))}
            <a href={addressOf("benches")}>All benches</a>
          </div>
          <KeptWhere />
          <p class="hint">Save a file to keep a bench safe or to pass it on.</p>
        </>
      )}
    </Menu>
  );
}

function UndoRedo() {
  const store = useStore();
  const ways = [
    { label: "Undo", icon: "back", can: store.canUndo.value, act: store.undo },
    { label: "Redo", icon: "forth", can: store.canRedo.value, act: store.redo },
  ] as const;
  return (
    <div class="undo">
      {ways.map(({ label, icon, can, act }) => (
        <button key={icon} type="button" class="square" aria-label={label} disabled={!can} onClick={act}>
          <Icon name={icon} />
        </button>
      ))}
    </div>
  );
}

/** Which bench this is, the rooms it has, and what can be done with the whole of it. */
export function BenchHead({ room }: { room: string }) {
  const store = useStore();
  const bench = store.bench.value;
  const file = useRef<HTMLInputElement>(null);
  if (!bench) return null;
  return (
    <div class="bench-head">
      <h1 class="visually-hidden">{bench.name}</h1>
      <BenchMenu bench={bench} onOpenFile={() => file.current?.click()} />
      <input
        ref={file}
        type="file"
        id="bench-file"
        class="visually-hidden"
        tabIndex={-1}
        aria-label="A bench file"
        accept="application/json,.json"
        onChange={(event) => {
          const chosen = event.currentTarget.files?.[0];
          if (chosen) importBench(store, chosen);
          event.currentTarget.value = "";
        }}
      />
      {bench.invented && <span class="badge">Invented demo</span>}
      <UndoRedo />
      <nav class="bench-rooms" aria-label="Rooms of this bench">
        {BENCH_ROOMS.map((entry) => (
          <a
            key={entry.room}
            href={addressOf(entry.room, bench.id)}
            aria-current={entry.room === room ? "page" : undefined}
          >
            {entry.name}
          </a>
        ))}
      </nav>
    </div>
  );
}
