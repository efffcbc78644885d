import type { PrepLabel } from "../../engine/prep/types.ts";
import { useStore } from "../house.ts";
import { ALLERGENS, figure, STORAGE } from "./words.ts";

/** Printing shows the label and nothing else of the page. */
const PRINTING = "printing-label";

function printLabel(): void {
  document.documentElement.classList.add(PRINTING);
  print();
  document.documentElement.classList.remove(PRINTING);
}

/** What goes on the bottle. */
export function Label({ label }: { label: PrepLabel }) {
  const { data } = useStore();
  const strong = label.abvPercent.value >= 0.05;
  const take = data.cautions.filter(({ id }) => label.cautions.includes(id)).map(({ title }) => title);
  const where = STORAGE.find(({ value }) => value === label.storage)?.label ?? "";
  return (
    <section class="label-place">
      <h3>Label</h3>
      <div class="label" id="label">
        <p class="label-name">{label.name}</p>
        <p>
          Batch {label.batch} · made {label.madeOn}
        </p>
        <p class="label-by">
          Use by {label.useBy} · {where.toLowerCase()}
        </p>
        <p>
          {strong && `${figure(label.abvPercent, 1)} % vol · `}sugar {figure(label.sugarGPer100Ml, 1)} · acid{" "}
          {figure(label.acidGPer100Ml, 2)} g/100 mL{label.ph && ` · pH ${label.ph.value.toFixed(1)}`}
        </p>
        <p>{label.ingredients.join(", ")}</p>
        <p>
          <b>
            {label.allergens.length > 0
              ? `Allergens: ${label.allergens.map((id) => ALLERGENS[id]).join(", ")}`
              : "Allergens: none known; check what went in"}
          </b>
        </p>
        {take.length > 0 && <p>Take care: {take.join(", ").toLowerCase()}</p>}
      </div>
      <div class="buttons">
        <button type="button" onClick={printLabel}>
          Print the label
        </button>
      </div>
    </section>
  );
}
