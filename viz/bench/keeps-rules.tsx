import { useState } from "preact/hooks";
import type { CharacterRule, MeasureId } from "../../engine/types.ts";
import { loadNotes } from "../data/client.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import { ChoiceField, NumberField } from "../parts/field.tsx";
import { Icon } from "../parts/icon.tsx";
import type { AskOptions } from "../state/view.ts";

const MEASURES: { value: MeasureId; label: string }[] = [
  { value: "fewest-then-volume", label: "Fewest ingredients" },
  { value: "volume", label: "Least volume changed" },
  { value: "relative", label: "Least change for its size" },
  { value: "drift", label: "Least distance on the map" },
  { value: "cost", label: "Least extra cost" },
];
const TOUCHED = [
  { value: "", label: "Any number" },
  ...[1, 2, 3, 4].map((n) => ({ value: String(n), label: `At most ${n}` })),
];
const CHANCES = [
  { value: "", label: "Any" },
  ...[0.5, 0.6, 0.7, 0.8, 0.9].map((p) => ({ value: String(p), label: `At least ${Math.round(p * 100)} %` })),
];

/** What may change, and what must stay. */
export function Rules() {
  const store = useStore();
  const { ask, spec } = store.work.value;
  const set = (patch: Partial<AskOptions>) => store.edit({ ask: { ...store.work.value.ask, ...patch } });
  const inDrink = new Set(spec.lines.map((line) => line.ingredient));
  const offered = [...store.pantry.value.values()].filter(
    (ingredient) => !inDrink.has(ingredient.id) && !ask.additions.includes(ingredient.id),
  );
  return (
    <>
      <Combobox
        label="Let something in"
        placeholder="Lemon, a syrup, an acid…"
        ingredients={offered}
        onOpen={() => loadNotes(store.data)}
        onChoose={({ id }) => set({ additions: [...ask.additions, id] })}
      />
      <div class="fields">
        <ChoiceField
          label="Ingredients to touch"
          value={ask.maxTouched === null ? "" : String(ask.maxTouched)}
          options={TOUCHED}
          onChoose={(value) => set({ maxTouched: value === "" ? null : Number(value) })}
        />
        <ChoiceField
          label="Least means"
          value={ask.measure}
          options={MEASURES}
          onChoose={(measure) => set({ measure })}
        />
        <ChoiceField
          label="Chance of being in range"
          hint="Fruit and hands vary: a higher chance aims nearer the middle."
          value={ask.minProbability === null ? "" : String(ask.minProbability)}
          options={CHANCES}
          onChoose={(value) => set({ minProbability: value === "" ? null : Number(value) })}
        />
        <NumberField
          label="Most in the glass, mL"
          least={1}
          placeholder="none"
          value={ask.maxFinishedMl}
          onCommit={(maxFinishedMl) => set({ maxFinishedMl })}
        />
        <NumberField
          label="How far from round 1"
          hint="1 is about the spread of the classic sours; more is another drink."
          least={0.1}
          placeholder="any"
          value={ask.driftBudget}
          onCommit={(driftBudget) => set({ driftBudget })}
        />
      </div>
      <Character />
      <p class="hint">Lock an ingredient by opening its line; set its least and most there too.</p>
    </>
  );
}

/** Shares that make the drink what it is. */
function Character() {
  const store = useStore();
  const { ask, spec } = store.work.value;
  const pantry = store.pantry.value;
  const [which, setWhich] = useState<string | null>(null);
  const [over, setOver] = useState<string | null>(null);
  const lines = spec.lines.map((line) => line.ingredient);
  const kept = which !== null && lines.includes(which) ? which : (lines[0] ?? "");
  const other = over !== null && lines.includes(over) ? over : (lines[1] ?? lines[0] ?? "");
  const nameOf = (id: string) => pantry.get(id)?.name ?? id;
  const placed = store.placement.value?.lines.find((entry) => entry.ingredient === kept);
  const set = (character: CharacterRule[]) => store.edit({ ask: { ...store.work.value.ask, character } });
  const add = (rule: CharacterRule) => {
    const same = (old: CharacterRule) =>
      old.ingredient === rule.ingredient &&
      (old.atLeastAsMuchAs === undefined) === (rule.atLeastAsMuchAs === undefined);
    set([...ask.character.filter((old) => !same(old)), rule]);
  };
  const options = lines.map((id) => ({ value: id, label: nameOf(id) }));
  return (
    <div class="character">
      <h3>Keep the drink itself</h3>
      <ul class="chips">
        {ask.character.map((rule) => {
          const says = rule.atLeastAsMuchAs
            ? `${nameOf(rule.ingredient)}: at least as much as ${nameOf(rule.atLeastAsMuchAs)}`
            : `${nameOf(rule.ingredient)}: at least ${rule.minSharePercent} % of the glass`;
          return (
            <li key={says}>
              <button
                type="button"
                class="chip"
                aria-label={`Drop this: ${says}`}
                onClick={() => set(ask.character.filter((old) => old !== rule))}
              >
                {says} <Icon name="cross" />
              </button>
            </li>
          );
        })}
      </ul>
      <div class="fields">
        <ChoiceField label="Of this ingredient" value={kept} options={options} onChoose={setWhich} />
        <NumberField
          label="keep at least, % of the glass"
          least={1}
          value={null}
          placeholder={placed ? `now ${Math.floor(placed.shareOfFinishedPercent)}` : ""}
          onCommit={(share) => {
            if (share !== null && share <= 100 && kept) add({ ingredient: kept, minSharePercent: share });
          }}
        />
        <ChoiceField label="or at least as much as of" value={other} options={options} onChoose={setOver} />
        <button
          type="button"
          disabled={kept === other || kept === ""}
          aria-label="Keep that: at least as much as of it"
          onClick={() => add({ ingredient: kept, atLeastAsMuchAs: other })}
        >
          Keep that
        </button>
      </div>
    </div>
  );
}
