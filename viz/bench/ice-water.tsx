import { calibrate, measuredRounds } from "../../engine/dilution/calibrate.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import type { Calibration, DilutionChoice, IceConditions } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { ChoiceField, NumberField } from "../parts/field.tsx";
import type { Store } from "../state/store.ts";

const CHOICES = [
  { value: "regression", label: "From the strength poured" },
  { value: "energy", label: "Corrected for my ice and size" },
  { value: "volume", label: "I measured the glass, mL" },
  { value: "mass", label: "I weighed the drink, g" },
] as const;

const CONDITIONS: { key: keyof IceConditions; label: string }[] = [
  { key: "shelfTempC", label: "From the shelf (spirits), °C" },
  { key: "fridgeTempC", label: "From the cold (juice, syrup), °C" },
  { key: "iceTempC", label: "Ice, °C" },
  { key: "adherentWaterShare", label: "Wet on the ice, share" },
  { key: "iceMassG", label: "Ice, g" },
  { key: "vesselMassG", label: "Vessel, g" },
  { key: "vesselTempC", label: "Vessel, °C" },
  { key: "vesselHeatCapacityJPerGK", label: "Vessel, J/g·K" },
  { key: "approach", label: "How near to fully chilled, 0–1" },
];

/** The user's own measured rounds by this method say how far their hand is from the model. */
function offeredCorrection(store: Store, model: "regression" | "energy"): Calibration | null {
  const { method } = store.spec.value;
  const reports = store.rounds.value.flatMap(({ round, placement }) =>
    placement && round.spec.method === method ? [placement.dilution] : [],
  );
  const measured = measuredRounds(reports, model);
  return measured.length > 0 ? calibrate(measured) : null;
}

/** How the water from ice is found: a model, the user's own correction of it, or a measurement. */
export function IceWater() {
  const store = useStore();
  const { spec } = store.work.value;
  const placement = store.placement.value;
  const dilution: DilutionChoice = spec.dilution ?? { model: "regression" };
  const put = (choice: DilutionChoice) => store.edit({ spec: { ...spec, dilution: choice } });
  const measured = dilution.model === "measured" ? dilution : null;
  const value = measured
    ? measured.finishedMassG === undefined
      ? "volume"
      : "mass"
    : (dilution.model as "regression" | "energy");
  const applied = dilution.model === "measured" ? undefined : dilution.calibration;
  const offered =
    dilution.model === "measured" ? null : (applied ?? offeredCorrection(store, dilution.model));
  const usual = METHODS[spec.method].conditions;
  return (
    <div class="fields">
      <ChoiceField
        label="Found"
        wide
        value={value}
        options={CHOICES}
        onChoose={(kind) => {
          if (kind === "volume") {
            put({ model: "measured", finishedVolumeMl: Math.round(placement?.finishedVolumeMl ?? 100) });
          } else if (kind === "mass") {
            put({ model: "measured", finishedMassG: Math.round(placement?.finishedMassG ?? 100) });
          } else put({ model: kind });
        }}
      />
      {measured && (
        <NumberField
          label="Measured"
          wide
          least={1}
          value={measured.finishedMassG ?? measured.finishedVolumeMl ?? null}
          onCommit={(x) => {
            if (x === null) return;
            put({
              model: "measured",
              ...(measured.finishedMassG === undefined ? { finishedVolumeMl: x } : { finishedMassG: x }),
            });
          }}
        />
      )}
      {offered && dilution.model !== "measured" && (
        <div class="correction wide">
          <p class="hint">
            {offered.n === 1 ? "One round" : `${offered.n} rounds`} you measured by this method{" "}
            {offered.n === 1 ? "says" : "say"}: reckon with {Math.abs(Math.round((offered.factor - 1) * 100))}{" "}
            % {offered.factor < 1 ? "less" : "more"} water than the model
            {applied ? "; it is corrected for that" : ""}.
          </p>
          <button
            type="button"
            onClick={() => {
              const { calibration: _, ...rest } = dilution;
              put(applied ? rest : { ...rest, calibration: offered });
            }}
          >
            {applied ? "Go back to the plain model" : "Correct the model for it"}
          </button>
        </div>
      )}
      {dilution.model === "energy" &&
        usual &&
        CONDITIONS.map(({ key, label }) => (
          <NumberField
            label={label}
            key={key}
            placeholder={String(usual[key])}
            value={dilution.conditions?.[key] ?? null}
            onCommit={(x) => {
              const { [key]: _, ...others } = dilution.conditions ?? {};
              put({ ...dilution, conditions: x === null ? others : { ...others, [key]: x } });
            }}
          />
        ))}
    </div>
  );
}
