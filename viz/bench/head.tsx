import { useRef } from "preact/hooks";
import type { Bench } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { Icon } from "../parts/icon.tsx";
import { later } from "../parts/later.tsx";
import { Menu } from "../parts/menu.tsx";
import { keyTo } from "../state/keys.ts";
import { addressOf } from "../state/route.ts";

const ByLink = later(async () => (await import("./by-link.tsx")).ByLink);
const BenchActs = later(async () => (await import("./bench-menu.tsx")).BenchActs);

/** The rooms of one bench, in the order of work. */
const BENCH_ROOMS = [
  { room: "bench", name: "Work" },
  { room: "taste", name: "Taste" },
  { room: "card", name: "Card" },
  { room: "present", name: "Present" },
] as const;

/** What can be done with the whole of a bench, under its name; what the menu holds comes when it is opened. */
function BenchMenu({ bench, onOpenFile }: { bench: Bench; onOpenFile: () => void }) {
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
      {(close) => <BenchActs bench={bench} onOpenFile={onOpenFile} onDone={close} />}
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
    <>
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
            if (chosen) import("./bench-menu.tsx").then(({ importBench }) => importBench(store, chosen));
            event.currentTarget.value = "";
          }}
        />
        {bench.invented && <span class="badge">Invented demo</span>}
        <UndoRedo />
        <nav class="bench-rooms" aria-label="Rooms of this bench">
          {BENCH_ROOMS.map((entry) => (
            <a
              key={entry.room}
              href={entry.room === room ? undefined : addressOf(entry.room, bench.id)}
              aria-current={entry.room === room ? "page" : undefined}
            >
              {entry.name}
            </a>
          ))}
        </nav>
      </div>
      {keyTo(bench.id) && <ByLink bench={bench} />}
    </>
  );
}
