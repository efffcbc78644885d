import { calibrate, measuredRounds } from "../../engine/dilution/calibrate.ts";
import { METHODS } from "../../engine/dilution/methods.ts";
import type { Calibration, DilutionChoice, IceConditions } from "../../engine/types.ts";
import { upperFirst } from "../../engine/wording.ts";
import { button, el, field, select, setText } from "../dom.ts";
import type { Derived } from "../state/derived.ts";
import type { State } from "../state/store.ts";
import type { Context } from "./context.ts";

const CHOICES = [
  { value: "regression", label: "From the strength poured" },
  { value: "energy", label: "Corrected for my ice and size" },
  { value: "volume", label: "I measured the glass, mL" },
  { value: "mass", label: "I weighed the drink, g" },
] as const;

const CONDITIONS: { key: keyof IceConditions; label: string; step: string }[] = [
  { key: "shelfTempC", label: "From the shelf (spirits), °C", step: "1" },
  { key: "fridgeTempC", label: "From the cold (juice, syrup), °C", step: "1" },
  { key: "iceTempC", label: "Ice, °C", step: "1" },
  { key: "adherentWaterShare", label: "Wet on the ice, share", step: "0.01" },
  { key: "iceMassG", label: "Ice, g", step: "10" },
  { key: "vesselMassG", label: "Vessel, g", step: "10" },
  { key: "vesselTempC", label: "Vessel, °C", step: "1" },
  { key: "vesselHeatCapacityJPerGK", label: "Vessel, J/g·K", step: "0.01" },
  { key: "approach", label: "How near equilibrium, 0–1", step: "0.05" },
];

/** How the water from ice is found: a model, the user's own correction of it, or a measurement. */
export function createDilutionEditor(context: Context): {
  elements: HTMLElement[];
  update(state: State, derived: Derived): void;
} {
  const { store, derive } = context;
  const put = (choice: DilutionChoice) => store.edit({ spec: { ...store.get().spec, dilution: choice } });

  const measured = el("input", {
    type: "number",
    min: "1",
    step: "any",
    inputmode: "decimal",
  });
  const choice = select(
    CHOICES,
    "regression",
    (kind) => {
      const { placement } = derive();
      if (kind === "volume") {
        put({ model: "measured", finishedVolumeMl: Math.round(placement?.finishedVolumeMl ?? 100) });
      } else if (kind === "mass") {
        put({ model: "measured", finishedMassG: Math.round(placement?.finishedMassG ?? 100) });
      } else put({ model: kind });
      if (kind === "volume" || kind === "mass") {
        queueMicrotask(() => {
          measured.focus();
          measured.select();
        });
      }
    },
    { id: "dilution" },
  );
  measured.addEventListener("change", () => {
    const { dilution } = store.get().spec;
    const value = measured.valueAsNumber;
    if (!(value > 0) || dilution?.model !== "measured") return;
    put({
      model: "measured",
      ...(dilution.finishedMassG === undefined ? { finishedVolumeMl: value } : { finishedMassG: value }),
    });
  });

  const correction = el("p", { class: "hint" });
  const correct = button("Use it", () => {
    const { dilution } = store.get().spec;
    if (dilution?.model === "measured") return;
    const { calibration: old, ...rest } = dilution ?? { model: "regression" as const };
    put(old || !offered ? rest : { ...rest, calibration: offered });
  });
  let offered: Calibration | null = null;
  const correctionBox = el("div", { class: "correction" }, correction, correct);

  const inputs = CONDITIONS.map(({ key, label, step }) => {
    const input = el("input", { type: "number", step });
    input.addEventListener("change", () => {
      const { dilution } = store.get().spec;
      if (dilution?.model !== "energy") return;
      const { [key]: _, ...others } = dilution.conditions ?? {};
      const value = input.valueAsNumber;
      put({ ...dilution, conditions: Number.isFinite(value) ? { ...others, [key]: value } : others });
    });
    return { key, input, row: field(label, input) };
  });
  const conditions = el(
    "details",
    { class: "ice" },
    el("summary", {}, "Ice and temperatures"),
    el("div", { class: "making" }, ...inputs.map(({ row }) => row)),
    el("p", { class: "hint" }, "Empty fields use the method's usual values, shown in grey."),
  );
  const measuredField = field("Measured", measured);

  return {
    elements: [field("Water from ice", choice), measuredField, correctionBox, conditions],
    update(state, derived) {
      const { dilution = { model: "regression" as const }, method } = state.spec;
      const isMeasured = dilution.model === "measured";
      choice.value = isMeasured ? (dilution.finishedMassG === undefined ? "volume" : "mass") : dilution.model;
      measuredField.hidden = !isMeasured;
      if (isMeasured && document.activeElement !== measured) {
        measured.value = String(dilution.finishedMassG ?? dilution.finishedVolumeMl ?? "");
      }
      const usual = METHODS[method].conditions;
      conditions.hidden = dilution.model !== "energy" || usual === null;
      for (const { key, input } of inputs) {
        input.placeholder = usual ? String(usual[key]) : "";
        const own = dilution.model === "energy" ? dilution.conditions?.[key] : undefined;
        if (document.activeElement !== input) input.value = own === undefined ? "" : String(own);
      }
      // The user's own measured rounds by this method say how far their hand is from the model.
      const applied = isMeasured ? undefined : dilution.calibration;
      const ids = new Set(derived.bench?.rounds.filter((r) => r.spec.method === method).map((r) => r.id));
      const reports = (derived.trail?.rounds ?? [])
        .filter((placed) => ids.has(placed.id))
        .map((placed) => placed.placement.dilution);
      const rounds = measuredRounds(reports, dilution.model === "energy" ? "energy" : "regression");
      offered = rounds.length > 0 ? calibrate(rounds) : null;
      const shown = applied ?? offered;
      correctionBox.hidden = isMeasured || !shown;
      if (shown) {
        const percent = Math.round((shown.factor - 1) * 100);
        setText(
          correction,
          `${shown.n === 1 ? "One round" : `${shown.n} rounds`} you measured by this method ${
            shown.n === 1 ? "says" : "say"
          }: reckon with ${Math.abs(percent)} % ${percent < 0 ? "less" : "more"} water than the model${
            applied ? "; it is corrected for that" : ""
          }.`,
        );
        setText(correct, applied ? "Go back to the plain model" : "Correct the model for it");
      }
    },
  };
}

/** "Shaken: shaken hard with ice for 12–15 s and strained." */
export function methodHint(method: keyof typeof METHODS): string {
  const { meaning, kind } = METHODS[method];
  return `${upperFirst(meaning)}.${
    kind === "estimate"
      ? " How much water it takes is our estimate, and wide: measuring the glass tells more."
      : ""
  }`;
}
