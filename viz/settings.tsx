import type { LadderId } from "../engine/types.ts";
import { useStore } from "./house.ts";
import { Segments } from "./parts/field.tsx";
import { later } from "./parts/later.tsx";
import { Menu } from "./parts/menu.tsx";

const Measures = later(async () => (await import("./measures-menu.tsx")).Measures);

/** How the user measures: unit, tools, the sizes of spoons and dashes; and the look of the page. */
export function SettingsMenu() {
  const store = useStore();
  const units = store.parts.units.value;
  const ladder = store.parts.ladder.value;
  const setUnits = (next: "oz" | "ml") => {
    if (next === units) return;
    // The tools follow the unit: a metric bar has no eighth-ounce jigger.
    const jigger = ladder.id === "us-jigger" || ladder.id === "metric-jigger";
    const swapped: LadderId = next === "ml" ? "metric-jigger" : "us-jigger";
    store.edit({ units: next, ...(jigger && { ladder: { id: swapped } }) });
  };
  return (
    <div class="settings">
      <Segments
        label="Units"
        value={units}
        options={[
          { value: "oz", label: "oz" },
          { value: "ml", label: "mL" },
        ]}
        onChoose={setUnits}
      />
      <Menu
        label="Measures: what you pour with, and the look of the page"
        button="Measures"
        class="settings-menu"
      >
        {() => <Measures />}
      </Menu>
    </div>
  );
}
