import "../style/sheet.css";
import type { Bench } from "../../engine/types.ts";
import { duplicateBench, exportBench, importBench } from "../bench/bench-files.ts";
import { deleteBench, startBlank, startFrom } from "../bench/benches-edit.ts";
import { Notice } from "../bench/notice.tsx";
import { useStore } from "../house.ts";
import { KeptWhere } from "../parts/kept-where.tsx";
import { addressOf } from "../state/route.ts";

function standing(bench: Bench): string {
  const n = bench.rounds.length;
  const last = [...bench.rounds].sort((a, b) => b.number - a.number)[0];
  if (!last) return "blank";
  return `${n} ${n === 1 ? "round" : "rounds"}, the last “${last.label}”`;
}

/** Every bench of this browser, and ways to start one: blank, from a classic, from a file. */
export function BenchesRoom() {
  const store = useStore();
  const { benches, bench: open } = store.work.value;
  return (
    <div class="sheet">
      <h1>Benches</h1>
      <Notice />
      <ul class="bench-list">
        {benches.map((bench) => (
          <li key={bench.id} data-open={bench.id === open}>
            <a href={addressOf("bench", bench.id)}>
              <strong>{bench.name}</strong>
              <span>{standing(bench)}</span>
            </a>
            {bench.invented && <span class="badge">Invented demo</span>}
            <div class="buttons">
              <button
                type="button"
                aria-label={`Duplicate ${bench.name}`}
                onClick={() => duplicateBench(store, bench)}
              >
                Duplicate
              </button>
              <button
                type="button"
                aria-label={`Save a file: ${bench.name}`}
                onClick={() => exportBench(store, bench)}
              >
                Save a file
              </button>
              <button
                type="button"
                aria-label={`Delete ${bench.name}`}
                onClick={() => {
                  deleteBench(store, bench.id);
                  store.tell(`${bench.name} is deleted.`, { action: { label: "Undo", act: store.undo } });
                }}
              >
                Delete
              </button>
            </div>
          </li>
        ))}
      </ul>
      <KeptWhere />
      <h2>Start one</h2>
      <div class="start">
        <button type="button" class="primary" onClick={() => startBlank(store)}>
          A blank bench
        </button>
        <label class="field">
          <span>or from a classic</span>
          <select
            value=""
            onChange={(event) => {
              const drink = store.data.drinks.find(({ id }) => id === event.currentTarget.value);
              if (drink) startFrom(store, { ...drink.spec, name: drink.name });
            }}
          >
            <option value="">choose one</option>
            {store.data.drinks.map((drink) => (
              <option key={drink.id} value={drink.id}>
                {drink.name}
              </option>
            ))}
          </select>
        </label>
        <label class="field">
          <span>or from a file</span>
          <input
            type="file"
            accept="application/json,.json"
            onChange={(event) => {
              const chosen = event.currentTarget.files?.[0];
              if (chosen) importBench(store, chosen);
              event.currentTarget.value = "";
            }}
          />
        </label>
      </div>
    </div>
  );
}
