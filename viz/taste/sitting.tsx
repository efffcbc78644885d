import { useState } from "preact/hooks";
import { GlassForm, isBlank, NOTHING_SAID, type Said } from "./form.tsx";

/** A flight in front of one taster: glasses by code, in this taster's order, a form for each. */
export function Sitting({
  codes,
  forms,
  open,
  onSay,
  onHandIn,
}: {
  codes: readonly string[];
  /** What was marked of each glass, handed in or not. */
  forms: ReadonlyMap<string, { said: Said; handedIn: boolean }>;
  open: boolean;
  /** Something was marked and not handed in yet. */
  onSay: (code: string, said: Said) => void;
  onHandIn: (code: string, said: Said) => void;
}) {
  const isDone = (code: string) => forms.get(code)?.handedIn === true;
  const [chosen, setChosen] = useState<string | null>(null);
  const left = codes.filter((code) => !isDone(code));
  const code = codes.find((candidate) => candidate === chosen) ?? left[0] ?? null;
  const glasses = (
    <ol class="glasses" aria-label="Glasses, in your order">
      {codes.map((each, i) => (
        <li key={each}>
          <button
            type="button"
            aria-current={each === code ? "step" : undefined}
            onClick={() => setChosen(each)}
          >
            <span class="visually-hidden">{`Glass ${i + 1}: `}</span>
            {each}
            {isDone(each) && <span class="glass-done"> in</span>}
          </button>
        </li>
      ))}
    </ol>
  );
  if (code === null) {
    return (
      <>
        {glasses}
        <p class="all-in" role="status">
          All glasses are in. Thank you.{" "}
          {open && "Choose a code to change what you marked, until the flight is closed."}
        </p>
      </>
    );
  }
  const said = forms.get(code)?.said ?? NOTHING_SAID;
  return (
    <>
      {glasses}
      <h2 class="glass-title">
        Glass <b>{code}</b>
        <span>
          {codes.indexOf(code) + 1} of {codes.length}
        </span>
      </h2>
      {open ? (
        <>
          <GlassForm key={code} said={said} onSay={(next) => onSay(code, next)} />
          <button
            type="button"
            class="primary big"
            disabled={isBlank(said)}
            onClick={() => {
              onHandIn(code, said);
              setChosen(null);
              scrollTo({ top: 0 });
            }}
          >
            {isDone(code) ? "Hand in again" : `Hand in ${code}`}
          </button>
        </>
      ) : (
        <p>This flight is closed.</p>
      )}
    </>
  );
}
