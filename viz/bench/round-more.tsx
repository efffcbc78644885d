import type { TrailStep } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { ChoiceField, CommitInput, Field } from "../parts/field.tsx";
import type { PlacedRound } from "../state/derived.ts";
import { changeWords } from "../words/amounts.ts";
import { AXES3, AXIS_NAME, axisChange } from "../words/axis.ts";
import { measuresOf } from "./measures.ts";
import { changeRound, deleteRound, markRound, setAside } from "./round-edit.ts";
import { STANDINGS, standingOf } from "./words.ts";

/** The words of a round, and what can be done with it. */
export function RoundNotes({ entry: { round } }: { entry: PlacedRound }) {
  const store = useStore();
  return (
    <>
      <Field label={`Name of round ${round.number}`}>
        {(ids) => (
          <CommitInput
            {...ids}
            maxLength={80}
            value={round.label}
            onCommit={(text) => {
              if (!text.trim()) return false;
              changeRound(store, round.id, { label: text.trim() });
            }}
          />
        )}
      </Field>
      <Field label="Faults, in the tasters' words">
        {(ids) => (
          <CommitInput
            {...ids}
            placeholder="thin, fruit lost"
            value={(round.faults ?? []).join(", ")}
            onCommit={(text) =>
              changeRound(store, round.id, {
                faults: text
                  .split(",")
                  .map((fault) => fault.trim())
                  .filter(Boolean),
              })
            }
          />
        )}
      </Field>
      <Field label="Notes">
        {(ids) => (
          <textarea
            {...ids}
            rows={2}
            value={round.notes ?? ""}
            onChange={(event) => changeRound(store, round.id, { notes: event.currentTarget.value })}
          />
        )}
      </Field>
      <ChoiceField
        label={`Where round ${round.number} stands`}
        value={standingOf(round)}
        options={STANDINGS}
        onChoose={(state) => markRound(store, round.id, state)}
      />
      <div class="buttons">
        <button
          type="button"
          class="quiet"
          aria-label={
            round.abandoned
              ? `Bring it back: round ${round.number} and what grew from it`
              : `Set aside, with what grew from it: round ${round.number}`
          }
          onClick={() => setAside(store, round.id, !round.abandoned)}
        >
          {round.abandoned ? "Bring it back" : "Set aside, with what grew from it"}
        </button>
        <button
          type="button"
          class="quiet"
          aria-label={`Delete round ${round.number}`}
          onClick={() => {
            deleteRound(store, round.id);
            store.tell(`Round ${round.number} is deleted.`, {
              action: { label: "Undo", act: store.undo },
            });
          }}
        >
          Delete
        </button>
      </div>
    </>
  );
}

/** How much of the step each move carried. */
export function Shares({ id, number }: { id: string; number: number }) {
  const store = useStore();
  const step = store.trail.value.value?.steps.find((candidate) => candidate.to === id);
  if (!step || step.changes.length === 0) return null;
  return <ShareTable step={step} label={`Round ${number}: share of each move`} />;
}

/** A step's moves, each with what it carried. */
export function ShareTable({ step, label }: { step: TrailStep; label: string }) {
  const store = useStore();
  const measures = measuresOf(store);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label={label}>
      <table>
        <caption>
          What each move carried of the step (averaged over every order they could be made in)
        </caption>
        <thead>
          <tr>
            <th scope="col">Move</th>
            {AXIS_NAME.map((name) => (
              <th scope="col" key={name}>
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {step.changes.map((change) => (
            <tr key={`${change.kind} ${change.ingredient}`}>
              <th scope="row">{changeWords(change, store.pantry.value, measures)}</th>
              {AXES3.map((axis) => (
                <td key={axis}>{axisChange(axis, change.share[axis])}</td>
              ))}
            </tr>
          ))}
          <tr class="sum">
            <th scope="row">The step</th>
            {AXES3.map((axis) => (
              <td key={axis}>{axisChange(axis, step.vector[axis])}</td>
            ))}
          </tr>
        </tbody>
      </table>
    </section>
  );
}
