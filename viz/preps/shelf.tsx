import { useStore } from "../house.ts";
import { addressOf } from "../state/route.ts";
import { benchesWith, compiledOf, keepDraft, today } from "./keep.ts";
import { EMPTY, figure } from "./words.ts";

/** What stands on the shelf, and the ways to make more. */
export function Shelf() {
  const store = useStore();
  const { preps } = store.work.value;
  const { compiled, failed } = compiledOf(store);
  const now = today();
  return (
    <div class="shelf">
      {preps.length === 0 && <p>{EMPTY}</p>}
      <ul class="shelf-list">
        {preps.map((prep) => {
          const made = compiled.get(prep.id);
          const poured = benchesWith(store, new Set([prep.id])).length;
          return (
            <li key={prep.id}>
              <a href={addressOf("preps", prep.id)}>
                <strong>{prep.name}</strong>
                <span>
                  batch {prep.batch} · made {prep.madeOn}
                  {poured > 0 && ` · poured on ${poured === 1 ? "1 bench" : `${poured} benches`}`}
                </span>
              </a>
              {made ? (
                <>
                  <span class="figure">
                    {figure(made.composition.sugarGPer100Ml, 1)} sugar ·{" "}
                    {figure(made.composition.acidGPer100Ml, 2)} acid
                    {made.composition.abvPercent.value >= 0.05 &&
                      ` · ${made.composition.abvPercent.value.toFixed(1)} % vol`}
                  </span>
                  <span class={made.useBy < now ? "line-error" : "hint"}>
                    {made.useBy < now ? "past its day: " : "use by "}
                    {made.useBy}
                  </span>
                </>
              ) : (
                <span class="line-error">{failed.get(prep.id)?.[0]?.detail}</span>
              )}
            </li>
          );
        })}
      </ul>
      <div class="buttons">
        <a class="chip" href={addressOf("preps", "syrup")}>
          Make a syrup
        </a>
        <a class="chip" href={addressOf("preps", "juice")}>
          Bring a juice to an acidity
        </a>
        <a class="chip" href={addressOf("preps", "spirit")}>
          Work on a spirit
        </a>
        <button
          type="button"
          onClick={() =>
            keepDraft(store, {
              name: "Cordial",
              role: "syrup",
              parts: [{ ingredient: "water", amount: 100, unit: "g" }],
            })
          }
        >
          Mix parts of your own
        </button>
      </div>
    </div>
  );
}
