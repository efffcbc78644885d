import { useState } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { useStore } from "../house.ts";
import { Field } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { HandsOff } from "../parts/hands-off.tsx";
import { Icon } from "../parts/icon.tsx";
import { KeptWhere } from "../parts/kept-where.tsx";
import { later } from "../parts/later.tsx";
import type { PlacedRound } from "../state/derived.ts";
import { changeWords, volumeWords } from "../words/amounts.ts";
import { pointWords } from "../words/axis.ts";
import { openRound } from "./bench-edit.ts";
import { measuresOf } from "./measures.ts";
import { keepRound } from "./take.ts";
import { driftWords, foundWords, standingWords } from "./words.ts";

const Pair = later(async () => (await import("./beside.tsx")).Pair);
const Thrift = later(async () => (await import("./thrift.tsx")).Thrift);
const RoundNotes = later(async () => (await import("./round-more.tsx")).RoundNotes);
const Shares = later(async () => (await import("./round-more.tsx")).Shares);

/** Rounds shown before the rest is folded. */
const SHOWN = 3;

/** Name the round and keep it; a spec that has not changed since its round says so first. */
export function KeepRound() {
  const store = useStore();
  const [label, setLabel] = useState("");
  const round = store.round.value;
  const edited = store.edited.value;
  const next = Math.max(0, ...(store.bench.value?.rounds.map(({ number }) => number) ?? [])) + 1;
  const empty = store.shown.value.lines.length === 0;
  const keep = () => {
    keepRound(store, label);
    setLabel("");
  };
  return (
    <div class="keep-row">
      <Field label={`Name for round ${next}`}>
        {(ids) => (
          <input
            {...ids}
            type="text"
            maxLength={80}
            placeholder="What you changed, in a few words"
            value={label}
            onInput={(event) => setLabel(event.currentTarget.value)}
            onKeyDown={(event) => event.key === "Enter" && edited && !empty && keep()}
          />
        )}
      </Field>
      <button type="button" id="save-round" disabled={empty} onClick={keep}>
        {edited || !round ? "Keep this round" : "Mix the same again"}
      </button>
      {round && (
        <p class="hint">
          {edited
            ? `It becomes a child of round ${round.number}.`
            : `Nothing has changed since round ${round.number}. Open an older one and change it to make a fork.`}
        </p>
      )}
    </div>
  );
}

/** The bench's rounds, newest first: what changed, where it stands, what the tasters found. */
export function RoundsPanel() {
  const store = useStore();
  const all = store.newestFirst.value;
  const current = store.parts.round.value;
  const asking = useAsking();
  const shown = all.filter(
    ({ round }, i) => i < SHOWN || round.id === current || round.id === store.peeked.value,
  );
  const rest = all.filter((entry) => !shown.includes(entry));
  const row = (entry: PlacedRound) => <RoundRow key={entry.round.id} entry={entry} asking={asking} />;
  return (
    <section class="rounds-panel" id="rounds" aria-labelledby="rounds-title" tabIndex={-1}>
      <h2 id="rounds-title">Rounds</h2>
      <HandsOff>
        <KeepRound />
      </HandsOff>
      <ol class="rounds">{shown.map(row)}</ol>
      {rest.length > 0 && (
        <Fold summary={`${rest.length} older ${rest.length === 1 ? "round" : "rounds"}`} class="older">
          {() => <ol class="rounds">{rest.map(row)}</ol>}
        </Fold>
      )}
      {all.length > 1 && (
        <Fold id="beside" class="older" summary="Two rounds side by side">
          {() => <Pair />}
        </Fold>
      )}
      <Fold id="thrift" class="older" summary="Cost, shopping, smaller glasses">
        {() => <Thrift />}
      </Fold>
      <KeptWhere />
    </section>
  );
}

/** Opening a round while there are edits nobody kept asks first. */
function useAsking() {
  const store = useStore();
  const [wanted, setWanted] = useState<string | null>(null);
  const round = store.rounds.value.find((entry) => entry.round.id === wanted)?.round;
  const open = (id: string) => {
    const unsaved = store.edited.value && store.shown.value.lines.length > 0;
    if (unsaved) setWanted(id);
    else openRound(store, id);
  };
  const box = round && (
    <div class="unsaved" role="alert">
      <p>What you changed since round {store.round.value?.number ?? "–"} is not kept.</p>
      <div class="buttons">
        <button
          type="button"
          class="primary"
          onClick={() => {
            keepRound(store);
            openRound(store, round.id);
            setWanted(null);
          }}
        >
          Keep it, then open round {round.number}
        </button>
        <button
          type="button"
          onClick={() => {
            openRound(store, round.id);
            setWanted(null);
          }}
        >
          Open without keeping
        </button>
        <button type="button" class="quiet" onClick={() => setWanted(null)}>
          Stay here
        </button>
      </div>
    </div>
  );
  return { wanted, open, box };
}

function changesOf(store: ReturnType<typeof useStore>, id: string): string | null {
  const trail = store.trail.value.value;
  const step = trail?.steps.find((candidate) => candidate.to === id);
  if (!step) return null;
  if (step.changes.length === 0) return step.text;
  const measures = measuresOf(store);
  return step.changes.map((change) => changeWords(change, store.pantry.value, measures)).join("; ");
}

function RoundRow({ entry, asking }: { entry: PlacedRound; asking: ReturnType<typeof useAsking> }) {
  const store = useStore();
  const { round, placement, drift } = entry;
  const current = round.id === store.parts.round.value;
  const parent = store.bench.value?.rounds.find((other) => other.id === round.parent);
  const found = foundWords(round);
  return (
    <li
      class="round"
      data-current={current}
      data-aside={round.abandoned === true}
      aria-current={current ? "true" : undefined}
    >
      <Fold
        summary={
          <>
            <span class="round-number">
              <span class="visually-hidden">Round </span>
              {round.number}
            </span>
            <span class="round-label">{round.label}</span>
            <span class="round-state">{standingWords(round, current)}</span>
            <Icon name="down" />
            <span class="round-from">
              {parent
                ? `From ${parent.number}: ${changesOf(store, round.id) ?? "not placed"}`
                : "The first round."}
            </span>
            {found && <span class="round-found">{found}</span>}
          </>
        }
      >
        {() => (
          <div class="round-more">
            <p class="round-numbers">
              {placement
                ? [
                    pointWords(toVec(placement.point)),
                    volumeWords(placement.finishedVolumeMl, store.parts.units.value),
                    ...(round.parent !== null && drift !== null ? [driftWords(drift)] : []),
                  ].join(" · ")
                : "could not be placed"}
            </p>
            {!current && (
              <button type="button" onClick={() => asking.open(round.id)}>
                Open round {round.number}
              </button>
            )}
            {asking.wanted === round.id && asking.box}
            <HandsOff>
              <RoundNotes entry={entry} />
            </HandsOff>
            <Shares id={round.id} number={round.number} />
          </div>
        )}
      </Fold>
    </li>
  );
}
