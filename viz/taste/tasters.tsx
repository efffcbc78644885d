import { useState } from "preact/hooks";
import { useStore } from "../house.ts";
import type { Desk, Seat } from "./desk.ts";
import { NameField } from "./name-field.tsx";
import { seatAddress } from "./seat.ts";

/** Phones cannot reach a name that means "this machine". */
const isOnlyHere = () => /^(localhost|127\.|\[::1\])/.test(location.hostname);

/** Who tastes from a phone of their own: a link each, which shows codes and the form and nothing else. */
export function Tasters({ desk }: { desk: Desk }) {
  const store = useStore();
  const [name, setName] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const seats = desk.seats.value;
  if (seats === null) {
    return (
      <section class="tasters" aria-labelledby="tasters-title">
        <h2 id="tasters-title">Tasters</h2>
        <p class="hint">
          {desk.standing.value === null
            ? "Asking the server…"
            : "No server answers, so there are no links for other phones. Pass this device round instead; what is marked is kept here and handed in later."}
        </p>
      </section>
    );
  }
  const wanted = name.trim();
  const taken = seats.some(({ label }) => label === wanted);
  const add = async () => {
    if (wanted === "" || taken) return;
    const secret = await desk.seat(wanted);
    setProblem(secret === null ? "The server gave no link. Try again in a moment." : null);
    if (secret !== null) setName("");
  };
  return (
    <section class="tasters" aria-labelledby="tasters-title">
      <h2 id="tasters-title">Tasters</h2>
      <div class="keep-row">
        <NameField label="Name of a taster" name={name} onName={setName} onEnter={add} />
        <button type="button" id="make-seat" disabled={wanted === "" || taken} onClick={add}>
          Make a link
        </button>
        {taken && <p class="hint">There is a taster of that name; the marks would be mixed.</p>}
      </div>
      {problem && (
        <p class="line-error" role="alert">
          {problem}
        </p>
      )}
      {seats.length > 0 && (
        <ul class="seats">
          {seats.map((seat) => (
            <SeatRow key={seat.id} desk={desk} seat={seat} onCopied={(text) => store.tell(text)} />
          ))}
        </ul>
      )}
      <p class="hint">
        A link opens the codes and the form on the taster's phone: no round, no spec, nobody else's marks.
        {isOnlyHere() &&
          " This page is served to this machine only: start the server with HOST set to this machine's address for other phones to reach it."}
      </p>
    </section>
  );
}

function SeatRow({ desk, seat, onCopied }: { desk: Desk; seat: Seat; onCopied: (text: string) => void }) {
  const address = seat.secret && seatAddress(location.origin, seat.secret);
  return (
    <li>
      <strong>{seat.label}</strong>
      {address ? (
        <>
          <input
            type="text"
            readOnly
            value={address}
            aria-label={`Link for ${seat.label}`}
            onFocus={(event) => event.currentTarget.select()}
          />
          <button
            type="button"
            aria-label={`Copy the link for ${seat.label}`}
            onClick={() =>
              navigator.clipboard.writeText(address).then(
                () =>
                  onCopied(`The link for ${seat.label} is copied. Whoever has it tastes as ${seat.label}.`),
                () => onCopied("This browser does not copy; mark the link and copy it by hand."),
              )
            }
          >
            Copy
          </button>
        </>
      ) : (
        <span class="hint">has a link; it was shown when it was made</span>
      )}
      <button
        type="button"
        class="quiet"
        aria-label={`Revoke the link of ${seat.label}`}
        onClick={() => desk.unseat(seat.id)}
      >
        Revoke
      </button>
    </li>
  );
}
