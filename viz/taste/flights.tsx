import { useState } from "preact/hooks";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { servingOrders } from "../../engine/taste/flight.ts";
import { useStore } from "../house.ts";
import { Field } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { Care } from "./care.tsx";
import type { Desk, KeptFlight } from "./desk.ts";
import { pass } from "./passing.tsx";
import { Served } from "./served.tsx";

const roundName = (store: ReturnType<typeof useStore>, id: string): string => {
  const round = store.bench.value?.rounds.find((candidate) => candidate.id === id);
  return round ? `${round.number} ${round.label}` : "a round put away";
};

/** The flights of the bench: the open one in full, a new one, the others by name. */
export function Flights({ desk }: { desk: Desk }) {
  const store = useStore();
  const flights = desk.flights.value;
  const shown = flights.filter(({ open }) => open);
  const rest = flights.filter(({ open }) => !open);
  const rounds = store.rounds.value;
  return (
    <section class="flights" aria-labelledby="flights-title">
      <h2 id="flights-title">Flight</h2>
      {shown.map((flight) => (
        <Flight key={flight.id} desk={desk} flight={flight} />
      ))}
      {rounds.length === 0 ? (
        <p>Keep a round on the bench first: a flight is poured from rounds.</p>
      ) : shown.length === 0 ? (
        <NewFlight desk={desk} />
      ) : (
        <Fold summary="Pour another flight" class="quiet-fold">
          {() => <NewFlight desk={desk} />}
        </Fold>
      )}
      {rest.length > 0 && (
        <Fold summary={`${rest.length} closed`} class="quiet-fold">
          {() => rest.map((flight) => <Flight key={flight.id} desk={desk} flight={flight} />)}
        </Fold>
      )}
      {desk.tastings.value.length > 0 && (
        <Fold summary="Served so far" class="quiet-fold">
          {() => <Served desk={desk} />}
        </Fold>
      )}
    </section>
  );
}

/** How many forms are in, and from whom. */
function handedIn(desk: Desk, flight: KeptFlight): string {
  const forms = desk.tastings.value.filter((tasting) => tasting.flight === flight.id);
  const tasters = new Set(forms.map(({ taster }) => taster)).size;
  if (forms.length === 0) return "No forms in yet.";
  return `${forms.length} ${forms.length === 1 ? "form" : "forms"} in, from ${tasters} ${tasters === 1 ? "taster" : "tasters"}.`;
}

function Flight({ desk, flight }: { desk: Desk; flight: KeptFlight }) {
  const store = useStore();
  const k = flight.glasses.length;
  return (
    <article class="flight" aria-label={flight.label}>
      <h3>{flight.label}</h3>
      <p class="codes">
        {flight.glasses
          .map(({ code }) => code)
          .sort()
          .map((code) => (
            <b key={code}>{code}</b>
          ))}
      </p>
      <p role="status">{handedIn(desk, flight)}</p>
      <p class="hint">
        Each taster gets the glasses in another order; with {servingOrders(k).length} tasters, or twice as
        many, every glass stands equally often in every place{k > 2 && " and after every other"}.
      </p>
      {flight.open && <Care care={desk.careOf(flight)} />}
      <Fold summary="The key, for whoever pours" class="quiet-fold">
        {() => (
          <table class="key">
            <thead>
              <tr>
                <th scope="col">Code</th>
                <th scope="col">Round</th>
              </tr>
            </thead>
            <tbody>
              {flight.glasses.map(({ code, round }) => (
                <tr key={code}>
                  <th scope="row">{code}</th>
                  <td>{roundName(store, round)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        )}
      </Fold>
      <div class="buttons">
        {flight.open && (
          <button type="button" class="primary" onClick={() => pass(flight.id)}>
            Pass this device round
          </button>
        )}
        <button type="button" onClick={() => desk.change(flight, { open: !flight.open })}>
          {flight.open ? "Close the flight" : "Open it again"}
        </button>
        <button
          type="button"
          class="quiet"
          onClick={() => {
            desk.change(flight, { deleted: true });
            store.tell(`${flight.label} is deleted; what was said of its rounds is kept.`, {
              action: { label: "Undo", act: () => desk.change(flight, { deleted: false }) },
              lasting: true,
            });
          }}
        >
          Delete
        </button>
      </div>
    </article>
  );
}

function NewFlight({ desk }: { desk: Desk }) {
  const store = useStore();
  const rounds = store.newestFirst.value;
  const [chosen, setChosen] = useState<readonly string[]>(() =>
    store.work.value.round ? [store.work.value.round] : [],
  );
  const number = desk.flights.value.length + 1;
  const [label, setLabel] = useState("");
  const tick = (id: string) =>
    setChosen(chosen.includes(id) ? chosen.filter((other) => other !== id) : [...chosen, id]);
  const full = chosen.length >= MOST.glasses;
  return (
    <div class="new-flight">
      <fieldset>
        <legend>Rounds to pour</legend>
        {rounds.map(({ round }) => (
          <label class="switch" key={round.id}>
            <input
              type="checkbox"
              checked={chosen.includes(round.id)}
              disabled={full && !chosen.includes(round.id)}
              onChange={() => tick(round.id)}
            />
            <span>
              <b>{round.number}</b> {round.label}
            </span>
          </label>
        ))}
      </fieldset>
      {full && <p class="hint">A palate keeps {MOST.glasses} apart at most.</p>}
      <Field label="Name, as tasters see it">
        {(ids) => (
          <input
            {...ids}
            type="text"
            maxLength={LONGEST.label}
            placeholder={`Flight ${number}`}
            value={label}
            onInput={(event) => setLabel(event.currentTarget.value)}
          />
        )}
      </Field>
      <button
        type="button"
        class="primary"
        id="pour-flight"
        disabled={chosen.length === 0}
        onClick={() => {
          desk.pour(chosen, label.trim() || `Flight ${number}`);
          setLabel("");
        }}
      >
        Give out codes
      </button>
    </div>
  );
}
