import { DEFAULT_UNIT_SETTINGS } from "../engine/amounts/units.ts";
import type { LadderId, UnitSettings } from "../engine/types.ts";
import { useStore } from "./house.ts";
import { ChoiceField, NumberField, NumberInput } from "./parts/field.tsx";

const LADDERS: { value: LadderId; label: string }[] = [
  { value: "us-jigger", label: "US jigger · ⅛ oz" },
  { value: "metric-jigger", label: "Metric jigger · 2.5 mL" },
  { value: "scale", label: "Scale · 0.5 g" },
  { value: "own", label: "Steps of my own" },
];

const MEASURES: { key: keyof UnitSettings; sd: keyof UnitSettings | null; name: string }[] = [
  { key: "barspoonMl", sd: "barspoonSdMl", name: "Bar spoon" },
  { key: "dashMl", sd: "dashSdMl", name: "Dash" },
  { key: "dropMl", sd: "dropSdMl", name: "Drop" },
  { key: "partMl", sd: null, name: "One part" },
];

/** What the menu of measures holds; it comes when the menu is opened. */
export function Measures() {
  const store = useStore();
  const { ladder, unitSettings } = store.work.value;
  return (
    <>
      <ChoiceField
        label="What you pour with"
        value={ladder.id}
        options={LADDERS}
        onChoose={(id) => store.edit({ ladder: id === "own" ? { id, stepMl: ladder.stepMl ?? 5 } : { id } })}
      />
      {ladder.id === "own" && (
        <NumberField
          label="Step, mL"
          least={0.1}
          value={ladder.stepMl ?? 5}
          onCommit={(stepMl) => {
            if (stepMl !== null && stepMl <= 100) store.edit({ ladder: { id: "own", stepMl } });
          }}
        />
      )}
      <div class="sizes">
        <p class="hint">Your own measures, mL, and how far they vary:</p>
        {MEASURES.map(({ key, sd, name }) => (
          <div class="size" key={key}>
            <span>{name}</span>
            {[key, ...(sd ? [sd] : [])].map((field) => (
              <NumberInput
                key={field}
                aria-label={field === key ? `${name}, mL` : `${name} varies by, mL`}
                least={field === key ? 0.01 : 0}
                placeholder={String(DEFAULT_UNIT_SETTINGS[field])}
                value={unitSettings[field]}
                onCommit={(x) =>
                  store.edit({
                    unitSettings: { ...unitSettings, [field]: x ?? DEFAULT_UNIT_SETTINGS[field] },
                  })
                }
              />
            ))}
          </div>
        ))}
      </div>
      <ChoiceField
        label="Theme"
        value={store.theme.value}
        options={[
          { value: "auto", label: "As the device" },
          { value: "light", label: "Light" },
          { value: "dark", label: "Dark" },
        ]}
        onChoose={(theme) => {
          store.theme.value = theme;
        }}
      />
    </>
  );
}
