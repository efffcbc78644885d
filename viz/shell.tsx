import { useComputed } from "@preact/signals";
import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { useStore } from "./house.ts";
import { ROOMS } from "./rooms.tsx";
import { SettingsMenu } from "./settings.tsx";
import { addressOf, route } from "./state/route.ts";

function Mark() {
  return <img class="mark" src="/mark.svg" alt="" width="28" height="28" />;
}

/** The bar at the top: the name, the rooms, how the user measures. */
function TopBar({ room }: { room: string }) {
  // Where one is already is no link; from one thing in a room there is a way back to all of them.
  const isHere = (to: string) => to === room && (to === "bench" || route.value.id === null);
  return (
    <header class="top">
      {/* The first of the rooms goes to the same place: no stop of the keyboard twice. */}
      <a class="brand" href="/bench" tabIndex={-1} aria-label="Steelyard: to the bench">
        <Mark />
        <span>Steelyard</span>
      </a>
      <nav class="rooms" aria-label="Rooms">
        {ROOMS.filter((entry) => entry.inNav).map((entry) => (
          <a
            key={entry.room}
            href={isHere(entry.room) ? undefined : addressOf(entry.room)}
            aria-current={entry.room === room ? "page" : undefined}
          >
            {entry.name}
          </a>
        ))}
      </nav>
      <SettingsMenu />
    </header>
  );
}

/** Where the keyboard can jump to first: the parts of the bench, and the room itself elsewhere. */
const JUMPS = [
  { place: "spec", name: "Skip to the spec" },
  { place: "answers", name: "Skip to what to change" },
  { place: "map", name: "Skip to the map" },
  { place: "rounds", name: "Skip to the rounds" },
];
const PAST_THE_BAR = [{ place: "room", name: "Skip to the page" }];

function Footer() {
  return (
    <footer class="footer">
      <p>
        Steelyard weighs sugar, acid and alcohol. It does not taste. Local law, food codes and licensed
        practice come before anything it says.
      </p>
      <p class="footer-links">
        <a href={addressOf("pantry")}>Where the numbers come from</a>
        <a href="/docs" data-elsewhere="">
          API reference
        </a>
      </p>
    </footer>
  );
}

/** The house: the bar, the room of the address, the foot. */
export function Shell({ first }: { first: ComponentType }) {
  const store = useStore();
  const wanted = route.value.room;
  const known = ROOMS.find((entry) => entry.room === wanted);
  const [shown, setShown] = useState<{ room: string; component: ComponentType }>({
    room: wanted,
    component: first,
  });
  /** The room that was wanted last and could not be fetched. */
  const [missing, setMissing] = useState<string | null>(null);
  const [tries, setTries] = useState(0);
  useEffect(() => {
    if (!known || shown.room === wanted) return;
    let gone = false;
    known.load().then(
      (component) => {
        if (gone) return;
        setMissing(null);
        setShown({ room: wanted, component });
        document.getElementById("room")?.focus({ preventScroll: true });
      },
      () => {
        if (!gone) setMissing(wanted);
      },
    );
    return () => {
      gone = true;
    };
  }, [known, wanted, shown.room, tries]);
  const drink = useComputed(() => store.spec.value.name).value;
  const title = known?.room === "bench" ? drink : known?.name;
  useEffect(() => {
    document.title = title ? `${title} – Steelyard` : "Steelyard";
  }, [title]);
  const Component = shown.component;
  return (
    <>
      {(wanted === "bench" ? JUMPS : PAST_THE_BAR).map(({ place, name }) => (
        <a class="skip" key={place} href={`#${place}`}>
          {name}
        </a>
      ))}
      <TopBar room={wanted} />
      <main id="room" tabIndex={-1} data-room={wanted}>
        {!known ? (
          <p class="opening">There is no such room. The bench is where the work is.</p>
        ) : missing === wanted ? (
          <div class="opening">
            <p>This room was never opened here, and now it cannot be fetched. The bench still works.</p>
            <button type="button" onClick={() => setTries(tries + 1)}>
              Try again
            </button>
          </div>
        ) : (
          <Component />
        )}
      </main>
      <Footer />
      <p class="visually-hidden" id="announcer" role="status" aria-live="polite">
        {store.said.value}
      </p>
    </>
  );
}
