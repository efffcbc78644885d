import { signal } from "@preact/signals";
import { useState } from "preact/hooks";
import { servingOrder } from "../../engine/taste/flight.ts";
import { Care } from "./care.tsx";
import type { Desk, KeptFlight } from "./desk.ts";
import type { Said } from "./form.tsx";
import { NameField } from "./name-field.tsx";
import { Sitting } from "./sitting.tsx";

/** The flight this device is passed round for, and who has it now. */
export const passing = signal<{ flight: string; taster: string | null } | null>(null);

/** Hand this device from taster to taster. */
export function pass(flight: string): void {
  passing.value = { flight, taster: null };
}

/** One device for the whole table: a name, that taster's glasses, and on to the next; nobody sees another's marks. */
export function PassedRound({ desk }: { desk: Desk }) {
  const at = passing.value;
  const flight = desk.flights.value.find(({ id }) => id === at?.flight);
  if (!at || !flight) return null;
  const stop = () => {
    passing.value = null;
  };
  return (
    <div class="seat passed">
      <p class="seat-head">
        <b>{at.taster ?? flight.label}</b>
        {at.taster && <span>{flight.label}</span>}
      </p>
      {at.taster === null ? (
        <NextTaster desk={desk} flight={flight} onStop={stop} />
      ) : (
        <Turn key={at.taster} desk={desk} flight={flight} taster={at.taster} />
      )}
    </div>
  );
}

function NextTaster({ desk, flight, onStop }: { desk: Desk; flight: KeptFlight; onStop: () => void }) {
  const [name, setName] = useState("");
  const of = (tasting: { flight: string | null }) => tasting.flight === flight.id;
  const done = new Set(desk.tastings.value.filter(of).map(({ taster }) => taster));
  const seated = new Set((desk.seats.value ?? []).map(({ label }) => label));
  const known = [...new Set(desk.tastings.value.map(({ taster }) => taster))]
    .filter((taster) => !done.has(taster) && !seated.has(taster))
    .sort();
  const wanted = name.trim();
  const taken = seated.has(wanted);
  const start = (taster: string) => {
    if (taster !== "") passing.value = { flight: flight.id, taster };
  };
  return (
    <>
      <h2>Who tastes next?</h2>
      {known.length > 0 && (
        <div class="buttons">
          {known.map((taster) => (
            <button key={taster} type="button" class="big" onClick={() => start(taster)}>
              {taster}
            </button>
          ))}
        </div>
      )}
      <div class="keep-row">
        <NameField label="Name" name={name} onName={setName} onEnter={() => !taken && start(wanted)} />
        <button type="button" class="primary" disabled={wanted === "" || taken} onClick={() => start(wanted)}>
          Taste
        </button>
        {taken && <p class="hint">{wanted} has a link and marks on a phone of their own.</p>}
      </div>
      {done.size > 0 && <p class="hint">Done: {[...done].join(", ")}.</p>}
      <button type="button" onClick={onStop}>
        Back to the tasting room
      </button>
    </>
  );
}

/** One taster's turn at the device. */
function Turn({ desk, flight, taster }: { desk: Desk; flight: KeptFlight; taster: string }) {
  const of = desk.tastings.value.filter((tasting) => tasting.flight === flight.id);
  const others = new Set(of.map((tasting) => tasting.taster).filter((name) => name !== taster));
  // The place at the table is kept for the turn: others' forms may come in from their phones meanwhile.
  const [place] = useState(others.size);
  const [drafts, setDrafts] = useState<ReadonlyMap<string, Said>>(new Map());
  const codes = servingOrder(flight.glasses.length, place).map((glass) => flight.glasses[glass]!.code);
  const forms = new Map<string, { said: Said; handedIn: boolean }>();
  for (const { code, round } of flight.glasses) {
    const own = of.find((tasting) => tasting.round === round && tasting.taster === taster);
    const draft = drafts.get(code);
    if (draft) forms.set(code, { said: draft, handedIn: false });
    else if (own) forms.set(code, { said: saidOf(own), handedIn: true });
  }
  return (
    <>
      <Care care={desk.careOf(flight)} />
      <Sitting
        codes={codes}
        forms={forms}
        open={flight.open}
        onSay={(code, said) => setDrafts(new Map(drafts).set(code, said))}
        onHandIn={(code, said) => {
          desk.say(flight, code, taster, said);
          const rest = new Map(drafts);
          rest.delete(code);
          setDrafts(rest);
        }}
      />
      <button type="button" onClick={() => pass(flight.id)}>
        Pass it on
      </button>
    </>
  );
}

function saidOf({ liking, sweet, sour, strong, words, notes }: Said): Said {
  return { liking, sweet, sour, strong, words, notes };
}
