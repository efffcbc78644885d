import "../style/sheet.css";
import "./preps.css";
import { useEffect } from "preact/hooks";
import { Notice } from "../bench/notice.tsx";
import { loadNotes } from "../data/client.ts";
import { useStore } from "../house.ts";
import { addressOf, route } from "../state/route.ts";
import { IcePage } from "./ice.tsx";
import { JuiceMaker } from "./juice.tsx";
import { PrepPage } from "./prep.tsx";
import { ReadingPage } from "./reading.tsx";
import { Shelf } from "./shelf.tsx";
import { SpiritMaker } from "./spirit.tsx";
import { SyrupMaker } from "./syrup.tsx";
import { LEAD } from "./words.ts";

const READING = "reading";
const PLACES: readonly { id: string | null; name: string }[] = [
  { id: null, name: "Shelf" },
  { id: "syrup", name: "Syrup" },
  { id: "juice", name: "Juice" },
  { id: "spirit", name: "Spirit" },
  { id: READING, name: "Measure" },
  { id: "ice", name: "Ice" },
];

function Place({ id }: { id: string | null }) {
  if (id === null) return <Shelf />;
  if (id === "syrup") return <SyrupMaker />;
  if (id === "juice") return <JuiceMaker />;
  if (id === "spirit") return <SpiritMaker />;
  if (id === "ice") return <IcePage />;
  if (id === READING) return <ReadingPage ingredient={null} />;
  if (id.startsWith(`${READING}-`)) return <ReadingPage ingredient={id.slice(READING.length + 1)} />;
  return <PrepPage key={id} id={id} />;
}

/** The kitchen: what is made before the shake. */
export function PrepsRoom() {
  const { data } = useStore();
  const { id } = route.value;
  useEffect(() => {
    // Minerals for the pH and other names come with the notes.
    loadNotes(data);
  }, [data]);
  const here = id?.startsWith(`${READING}-`) ? READING : id;
  return (
    <div class="sheet preps">
      <h1>Preps</h1>
      {id === null && <p>{LEAD}</p>}
      <nav class="prep-places" aria-label="Preps">
        {PLACES.map((place) => (
          <a
            key={place.name}
            href={addressOf("preps", place.id)}
            aria-current={place.id === here ? "page" : undefined}
          >
            {place.name}
          </a>
        ))}
      </nav>
      <Notice />
      <Place id={id} />
    </div>
  );
}
