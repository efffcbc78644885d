import "../style/sheet.css";
import "../preps/preps.css";
import "./menu.css";
import { useEffect, useMemo, useState } from "preact/hooks";
import { reasonOf } from "../../engine/errors.ts";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { place } from "../../engine/place/place.ts";
import { Notice } from "../bench/notice.tsx";
import { loadNotes } from "../data/client.ts";
import { useHouse } from "../house.ts";
import { loadReader, type Reader } from "../parts/reader.ts";
import { attempt } from "../preps/figures.tsx";
import { catalogueOf } from "../state/catalogue.ts";
import type { Store } from "../state/store.ts";
import { type KeptMenu, keepMenu, loadMenu } from "./keep.ts";
import { type LeftOff, type MenuEntry, type MenuSpec, placeSpecs, readSpecs, roundOf } from "./read-specs.ts";
import { MenuTold } from "./told.tsx";
import { countText, INVENTED, INVENTED_NOTE, LEAD, PASTE_HINT, PASTE_LABEL, READING } from "./words.ts";

/** Characters of a pasted list: as many as the longest menu of the longest specs. */
const LONGEST_TEXT = MOST.menuDrinks * LONGEST.recipe;

interface Gathered {
  entries: MenuEntry[];
  left: LeftOff[];
  problem: string | null;
}

const NOTHING_YET: Gathered = { entries: [], left: [], problem: null };

/** The chosen benches' rounds and the pasted specs, placed. */
function gather(store: Store, { text, benches }: KeptMenu, reader: Reader): Gathered {
  const pantry = store.pantry.value;
  const placing = store.placing.value;
  const view = catalogueOf(store.data).view();
  const kept = store.work.value.benches.flatMap((bench): MenuSpec[] => {
    const round = benches.includes(bench.id) ? roundOf(bench) : null;
    if (!round) return [];
    return [{ name: bench.name, spec: round.spec, pantry, made: [], supposed: [], bench: bench.id }];
  });
  try {
    const read = readSpecs(text, pantry, placing, reader);
    const { entries, left } = placeSpecs(
      [...kept, ...read.specs],
      (of) => attempt(() => place(of.spec, of.pantry, { ...placing, doubts: false })),
      (of) => attempt(() => view.kin(of.spec, of.pantry).families[0]?.name ?? null).value,
    );
    return { entries, left: [...read.left, ...left], problem: null };
  } catch (error) {
    return { entries: [], left: [], problem: reasonOf(error) };
  }
}

/** Many drinks together: groups, near-duplicates, empty corners. */
export function MenuRoom() {
  const { store, keeping } = useHouse();
  const [menu, setMenu] = useState(() => loadMenu(keeping.shelf));
  const write = (next: KeptMenu) => {
    setMenu(next);
    keepMenu(keeping.shelf, next);
  };
  // The reader knows ingredients by the pantry's other names: read before they come, half a list would be left off.
  const [reader, setReader] = useState<Reader | null>(null);
  useEffect(() => {
    Promise.all([loadReader(), loadNotes(store.data)]).then(([loaded]) => setReader(loaded));
  }, [store]);
  const { pantry, placing, work } = store;
  const gathered = useMemo(
    () => (reader ? gather(store, menu, reader) : NOTHING_YET),
    [store, menu, reader, pantry.value, work.value.benches, placing.value],
  );
  const { entries, left, problem } = gathered;
  const some = menu.text.trim() !== "" || menu.benches.length > 0;
  return (
    <div class="sheet preps menu-room">
      <h1>Menu</h1>
      <p>{LEAD}</p>
      <Notice />
      <div class="menu-asks">
        <Paste text={menu.text} onRead={(text) => write({ ...menu, text })} />
        <FromBenches
          store={store}
          chosen={menu.benches}
          onChoose={(benches) => write({ ...menu, benches })}
        />
      </div>
      <p class="menu-count" role="status">
        {some && problem === null && (reader ? countText(entries.length, left.length) : READING)}
      </p>
      {problem && (
        <p class="line-error" role="alert">
          {problem}
        </p>
      )}
      {left.length > 0 && (
        <section aria-label="Left off the map">
          <h2>Left off the map</h2>
          <ul class="menu-left">
            {left.map(({ name, why }, i) => (
              <li key={i}>
                <b>{name}</b>: {why.join("; ")}.
              </li>
            ))}
          </ul>
        </section>
      )}
      {entries.length > 0 && <MenuTold entries={entries} />}
    </div>
  );
}

function Paste({ text, onRead }: { text: string; onRead: (text: string) => void }) {
  const [typed, setTyped] = useState(text);
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        onRead(typed);
      }}
    >
      <label for="menu-text">{PASTE_LABEL}</label>
      <textarea
        id="menu-text"
        rows={9}
        maxLength={LONGEST_TEXT}
        spellcheck={false}
        aria-describedby="menu-text-hint"
        value={typed}
        onInput={(event) => setTyped(event.currentTarget.value)}
        // What is typed and left is not lost with the page.
        onChange={(event) => onRead(event.currentTarget.value)}
      />
      <p class="hint" id="menu-text-hint">
        {PASTE_HINT}
      </p>
      <div class="buttons">
        <button type="submit" class="primary">
          Put them on the map
        </button>
        {typed.trim() === "" ? (
          <button
            type="button"
            onClick={() => {
              setTyped(INVENTED);
              onRead(INVENTED);
            }}
          >
            Try an invented list
          </button>
        ) : (
          typed === INVENTED && <span class="badge">{INVENTED_NOTE}</span>
        )}
      </div>
    </form>
  );
}

function FromBenches({
  store,
  chosen,
  onChoose,
}: {
  store: Store;
  chosen: readonly string[];
  onChoose: (benches: string[]) => void;
}) {
  const benches = store.work.value.benches.flatMap((bench) => {
    const round = roundOf(bench);
    return round ? [{ bench, round }] : [];
  });
  if (benches.length === 0) return null;
  return (
    <fieldset class="menu-benches">
      <legend>From your benches: the final round, else the last</legend>
      {benches.map(({ bench, round }) => (
        <label class="switch" key={bench.id}>
          <input
            type="checkbox"
            checked={chosen.includes(bench.id)}
            onChange={(event) => {
              const others = chosen.filter((id) => id !== bench.id);
              onChoose(event.currentTarget.checked ? [...others, bench.id] : others);
            }}
          />
          <span>
            {bench.name}{" "}
            <span class="hint">
              {round.state === "final" ? "final" : "round"} {round.number}
              {bench.invented ? ", invented demo" : ""}
            </span>
          </span>
        </label>
      ))}
    </fieldset>
  );
}
