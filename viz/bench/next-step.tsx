import { useHouse } from "../house.ts";
import { goToPlace } from "../state/route.ts";
import { openPaste } from "./paste.tsx";
import { keepRound, takeSpec } from "./take.ts";
import { ASKING } from "./words.ts";

/** Work shorter than this needs no bar; a flash of one would only distract. */
const SHOW_AFTER_MS = 350;

/** What is being worked out, how long it has taken, and the way to end it with what there is. */
function Working() {
  const { asking } = useHouse();
  const elapsed = asking.progress.value?.elapsedMs ?? 0;
  return (
    <div class="working" role="status">
      <span>{ASKING.working}</span>
      {elapsed >= SHOW_AFTER_MS && (
        <>
          <progress aria-label="Time spent of the time given" max={8000} value={Math.min(elapsed, 8000)} />
          <button type="button" onClick={asking.stop}>
            Stop, and show the best so far
          </button>
        </>
      )}
    </div>
  );
}

/** The one thing to do next, worked out from how things stand; never more than one primary button. */
export function NextStep({ takes = true }: { takes?: boolean }) {
  const { store, asking } = useHouse();
  const verdict = store.verdict.value;
  const placement = store.placement.value;
  const edited = store.edited.value;
  const shown = asking.shown.value;
  const next = Math.max(0, ...(store.bench.value?.rounds.map((round) => round.number) ?? [])) + 1;
  const poured = store.shown.value.lines.length > 0;

  const ask = (label: string, primary: boolean) => (
    <button
      type="button"
      id="ask-button"
      class={primary ? "primary big" : ""}
      disabled={!placement || !store.target.value}
      onClick={() => {
        asking.ask().then(() => {
          if (asking.offers.value.length > 0) revealAnswers();
        });
      }}
    >
      {label}
    </button>
  );
  const paste = (primary: boolean) => (
    <button type="button" class={primary ? "primary big" : "quiet"} onClick={openPaste}>
      {primary ? "Paste a spec" : "Paste your own spec"}
    </button>
  );
  if (asking.progress.value?.what === "ways") return <Working />;
  if (!poured) return <div class="next-step">{paste(true)}</div>;
  const keep = (primary: boolean) => (
    <button
      type="button"
      id="keep-round"
      class={primary ? "primary big" : ""}
      onClick={() => keepRound(store)}
    >
      Keep as round {next}
    </button>
  );
  if (takes && shown) {
    return (
      <div class="next-step">
        <button
          type="button"
          class="primary big take-shown"
          onClick={() => takeSpec(store, shown.spec, shown.name)}
        >
          Take it: {shown.name}
        </button>
      </div>
    );
  }
  if (shown) return <div class="next-step">{paste(false)}</div>;
  if (verdict?.inside) {
    return (
      <div class="next-step">
        {edited && keep(true)}
        {ask("Make it surer", false)}
        {!edited && paste(false)}
      </div>
    );
  }
  return (
    <div class="next-step">
      {ask("Bring it into range", true)}
      {edited ? keep(false) : paste(false)}
    </div>
  );
}

/** Bring the answer into sight; a keyboard user who waited on the button goes along with it. */
function revealAnswers(): void {
  requestAnimationFrame(() => {
    const panel = document.getElementById("answers");
    if (!panel) return;
    const { top } = panel.getBoundingClientRect();
    if (top < 0 || top > innerHeight * 0.66) goToPlace("answers");
    else panel.focus({ preventScroll: true });
  });
}
