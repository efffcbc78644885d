import { useState } from "preact/hooks";
import { place } from "../../engine/place/place.ts";
import { applyMeasurements } from "../../engine/prep/apply-measurements.ts";
import { sugarFromBrix } from "../../engine/prep/measure.ts";
import type { PrepMeasurement } from "../../engine/prep/types.ts";
import { brixWords, replacedWords } from "../../engine/prep/words.ts";
import type { Ingredient } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import { addressOf, go } from "../state/route.ts";
import { Cautions, Problem, Said, useAttempt } from "./figures.tsx";
import { pantryWith } from "./keep.ts";
import { Readings } from "./readings.tsx";
import { Shift } from "./shift.tsx";
import { READING_NOTE } from "./words.ts";

/** Measure what is bought or pressed: the reading takes the place of the table's figure. */
export function ReadingPage({ ingredient: id }: { ingredient: string | null }) {
  const store = useStore();
  const pantry = store.pantry.value;
  const inDrink = store.spec.value.lines.flatMap(({ ingredient }) => pantry.get(ingredient) ?? []);
  const chosen = id === null ? null : (pantry.get(id) ?? null);
  return (
    <div class="reading-page">
      <h2>{chosen ? `Measure: ${chosen.name}` : "Measure an ingredient"}</h2>
      <p>{READING_NOTE}</p>
      <Combobox
        label="Ingredient"
        placeholder="lemon, pineapple, a liqueur…"
        ingredients={[...inDrink, ...[...pantry.values()].filter((i) => !inDrink.includes(i))]}
        onChoose={(one) => go(addressOf("preps", `reading-${one.id}`))}
      />
      {chosen && <Measured key={chosen.id} shown={chosen} />}
    </div>
  );
}

function Measured({ shown }: { shown: Ingredient }) {
  const store = useStore();
  const { own, measured: typed, preps } = store.work.value;
  const pantry = store.pantry.value;
  const [measured, setMeasured] = useState<PrepMeasurement[]>([]);
  const table = [...(store.data.notes.value.ingredients ?? store.data.pantry)].find((i) => i.id === shown.id);
  const base = table ?? shown;
  const mine = own.find((i) => i.id === shown.id) ?? null;
  const { value: after, problem } = useAttempt(
    () => (measured.length > 0 ? applyMeasurements(base, measured) : null),
    [base, measured],
  );
  const brix = measured.find((m) => m.kind === "refractometer");
  const apart = useAttempt(
    () =>
      after && brix && !measured.some((m) => m.kind === "hydrometer")
        ? sugarFromBrix(after.ingredient, brix)
        : null,
    [after, brix],
  ).value;
  const spec = store.spec.value;
  const pours = spec.lines.some(({ ingredient }) => ingredient === shown.id);
  const placing = store.placing.value;
  const stands = useAttempt(() => {
    if (!pours || !after) return null;
    const at = (i: Ingredient) => place(spec, pantryWith(pantry, i), placing);
    return [
      { label: "By the table", placement: at(base), look: "before" as const },
      { label: "As you measured", placement: at(after.ingredient), look: "after" as const },
    ];
  }, [pours, after, spec, pantry, base, placing]).value;
  if (preps.some(({ id }) => id === shown.id)) {
    return (
      <p>
        {shown.name} is a prep: <a href={addressOf("preps", shown.id)}>enter its readings there</a>.
      </p>
    );
  }
  const put = (ingredient: Ingredient | null) => {
    const { [shown.id]: _, ...rest } = typed;
    const others = own.filter(({ id }) => id !== shown.id);
    store.edit({ own: ingredient ? [...others, ingredient] : others, measured: rest });
  };
  return (
    <div class="maker">
      <div class="maker-asks">
        <Readings measured={[]} onMeasure={setMeasured} />
      </div>
      <div class="maker-tells" aria-live="polite">
        <Problem text={problem} />
        {after ? (
          <>
            <Said words={[apart && brixWords(apart), ...after.replaced.map(replacedWords)]} />
            <div class="buttons">
              <button
                type="button"
                class="primary"
                onClick={() => {
                  put({ ...after.ingredient, own: true });
                  store.tell(`${shown.name} now has your figures.`, {
                    action: { label: "Undo", act: store.undo },
                  });
                  store.said.value = `${shown.name} now has your figures.`;
                }}
              >
                Pour with these figures
              </button>
            </div>
            {stands && (
              <Shift caption={`${spec.name}, before and after the reading.`} stands={stands} measured />
            )}
          </>
        ) : (
          <p class="hint">Type what an instrument shows; the figures follow.</p>
        )}
        {table && (mine || typed[shown.id]) && (
          <div class="buttons">
            <button type="button" onClick={() => put(null)}>
              Go back to the table's figures
            </button>
          </div>
        )}
        <Cautions ids={shown.cautions ?? []} />
      </div>
    </div>
  );
}
