import { DEFAULT_UNIT_SETTINGS } from "../../engine/amounts/units.ts";
import type { UnitSettings } from "../../engine/types.ts";
import { button, el, uniqueId } from "../dom.ts";
import type { State } from "../state/store.ts";
import type { Context } from "./context.ts";

const SIZES: { key: keyof UnitSettings; sdKey?: keyof UnitSettings; label: string }[] = [
  { key: "barspoonMl", sdKey: "barspoonSdMl", label: "Bar spoon" },
  { key: "dashMl", sdKey: "dashSdMl", label: "Dash" },
  { key: "dropMl", sdKey: "dropSdMl", label: "Drop" },
  { key: "partMl", label: "Part" },
];

/** Sizes of the measures no standard defines, with how far they vary. */
export function createMeasures({ store }: Context): { element: HTMLElement; update(state: State): void } {
  const number = (key: keyof UnitSettings, label: string, least: number) => {
    const input = el("input", {
      type: "number",
      step: "any",
      min: String(least),
      id: uniqueId("size"),
      "aria-label": label,
    });
    input.addEventListener("change", () => {
      const value = input.valueAsNumber;
      const { unitSettings } = store.get();
      if (Number.isFinite(value) && (least === 0 ? value >= 0 : value > 0) && value < 1000) {
        store.set({ unitSettings: { ...unitSettings, [key]: value } });
      } else input.value = String(unitSettings[key]);
    });
    return { key, input };
  };
  const inputs: { key: keyof UnitSettings; input: HTMLInputElement }[] = [];
  const rows = SIZES.map(({ key, sdKey, label }) => {
    const size = number(key, `${label}, mL`, 0.001);
    inputs.push(size);
    const sd = sdKey ? number(sdKey, `${label}, ± mL`, 0) : null;
    if (sd) inputs.push(sd);
    return el(
      "div",
      { class: "measure" },
      el("span", {}, label),
      size.input,
      el("span", {}, sd ? "±" : ""),
      sd?.input ?? el("span", {}),
      el("span", {}, "mL"),
    );
  });
  const element = el(
    "details",
    { class: "bench-menu" },
    el("summary", {}, "My measures"),
    el(
      "div",
      { class: "bench-menu-body" },
      el(
        "p",
        { class: "hint" },
        "No standard says how much a bar spoon or a dash is. Weigh yours, and set it here.",
      ),
      ...rows,
      button("Back to the usual sizes", () => store.set({ unitSettings: DEFAULT_UNIT_SETTINGS })),
    ),
  );
  return {
    element,
    update(state) {
      for (const { key, input } of inputs) {
        if (document.activeElement !== input) input.value = String(state.unitSettings[key]);
      }
    },
  };
}
