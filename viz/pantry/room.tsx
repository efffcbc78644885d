import { useEffect, useState } from "preact/hooks";
import type { Ingredient, Source, SourcedValue } from "../../engine/types.ts";
import { loadNotes, loadSources } from "../data/client.ts";
import { useStore } from "../house.ts";
import { searchPantry } from "../parts/combobox.tsx";
import { Fold } from "../parts/fold.tsx";
import { goToPlace, route } from "../state/route.ts";

const EVIDENCE: Record<Source["evidence"], string> = {
  read: "read at the source",
  quoted: "read where another text quotes it",
  computed: "computed from a formula we read",
  memory: "from memory",
  convention: "common practice, no published source",
  estimate: "our estimate",
};

interface Figure {
  quantity: string;
  unit: string;
  value: SourcedValue;
}

function figuresOf(ingredient: Ingredient): Figure[] {
  const out: Figure[] = [];
  const put = (quantity: string, unit: string, value: SourcedValue | undefined) => {
    if (value) out.push({ quantity, unit, value });
  };
  put("Alcohol", "% vol", ingredient.abvPercent);
  for (const [sugar, value] of Object.entries(ingredient.sugarsGPer100Ml)) put(sugar, "g/100 mL", value);
  for (const [acid, value] of Object.entries(ingredient.acidsGPer100Ml))
    put(`${acid} acid`, "g/100 mL", value);
  put("Density", "g/mL", ingredient.densityGPerMl);
  put("Other solids", "g/100 mL", ingredient.otherSolidsGPer100Ml);
  put("One piece", "mL", ingredient.pieceMl);
  return out;
}

const number = (x: number) => String(Number(x.toPrecision(4)));

/** A source by a short form of its citation, the whole of which is at the foot of the page. */
function SourceLink({ id }: { id: string }) {
  const source = useStore().data.sources.value.find((candidate) => candidate.id === id);
  const title = source?.citation.split(/[.;:(]/)[0]?.trim() ?? "";
  return <a href={`#source-${id}`}>{title.length > 3 ? title.slice(0, 60) : "the source"}</a>;
}

function IngredientFigures({ ingredient }: { ingredient: Ingredient }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label={`${ingredient.name}: figures`}>
      <table>
        <thead>
          <tr>
            {["Figure", "Value ± uncertainty", "Unit", "Source", "Note"].map((head) => (
              <th scope="col" key={head}>
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {figuresOf(ingredient).map(({ quantity, unit, value }) => (
            <tr key={quantity}>
              <th scope="row">{quantity}</th>
              <td class="figure">
                {number(value.value)} ± {number(value.sd)}
              </td>
              <td>{unit}</td>
              <td>
                <SourceLink id={value.source} />
                {value.memory && <span class="memory">from memory</span>}
              </td>
              <td>{value.note ?? ""}</td>
            </tr>
          ))}
          {(ingredient.disagreements ?? []).map((other) => (
            <tr class="disagrees" key={`${other.quantity} ${other.source}`}>
              <th scope="row">{other.quantity}, elsewhere</th>
              <td class="figure">
                {number(other.value)} ± {number(other.sd)}
              </td>
              <td>{other.unit}</td>
              <td>
                <SourceLink id={other.source} />
              </td>
              <td>{other.note ?? "disagrees with the figure used"}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function summaryOf(ingredient: Ingredient): string {
  const total = (parts: Partial<Record<string, SourcedValue>>) =>
    Object.values(parts).reduce((sum, entry) => sum + (entry?.value ?? 0), 0);
  const sugar = total(ingredient.sugarsGPer100Ml);
  const abv = ingredient.abvPercent.value;
  return [
    ingredient.role.replace("-", " "),
    ...(abv > 0 ? [`${abv} % vol`] : []),
    ...(sugar > 0 ? [`${sugar.toFixed(1)} g sugar`] : []),
  ].join(" · ");
}

/** Every ingredient with its figures, the classics, the cautions, and where each number comes from. */
export function PantryRoom() {
  const store = useStore();
  const { data } = store;
  const [query, setQuery] = useState("");
  const wanted = route.value.id;
  const all = [...store.pantry.value.values()];
  const found = query.trim() === "" ? all : searchPantry(query, all);
  useEffect(() => {
    Promise.all([loadSources(data), loadNotes(data)]).catch(() => {});
  }, [data]);
  useEffect(() => {
    if (wanted) goToPlace(`ingredient-${wanted}`);
  }, [wanted]);
  const sources = data.sources.value;
  return (
    <div class="sheet pantry">
      <h1>Pantry, and where the numbers come from</h1>
      <p>
        Per 100 mL at 20 °C. The number after ± is the standard uncertainty: about two times in three the true
        value lies that close. Acidity counts every acid by the base it takes up, as citric acid. Where books
        disagree, both figures are here and the uncertainty covers them. A figure marked “from memory” was
        recalled and not read; treat it so.
      </p>
      <div class="field find">
        <label for="find">Find an ingredient</label>
        <input
          id="find"
          type="search"
          placeholder="lemon, syrup, rum…"
          value={query}
          onInput={(event) => setQuery(event.currentTarget.value)}
        />
        <p class="hint" role="status">
          {found.length} of {all.length} ingredients
        </p>
      </div>
      <ul class="ingredients">
        {found.map((ingredient) => (
          <li key={ingredient.id} id={`ingredient-${ingredient.id}`} tabIndex={-1}>
            <Fold
              open={ingredient.id === wanted}
              summary={
                <>
                  <b>{ingredient.name}</b> <span class="hint">{summaryOf(ingredient)}</span>
                </>
              }
            >
              {() => (
                <>
                  {ingredient.note && <p class="hint">{ingredient.note}</p>}
                  <IngredientFigures ingredient={ingredient} />
                </>
              )}
            </Fold>
          </li>
        ))}
      </ul>
      <h2 id="drinks">Classic drinks</h2>
      <p>The families on the map are made from these specs, each placed by the same model as yours.</p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard. */}
      <section class="scroll" tabIndex={0} aria-label="Classic drinks and their sources">
        <table>
          <thead>
            <tr>
              {["Drink", "Families", "Source", "Note"].map((head) => (
                <th scope="col" key={head}>
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {(data.notes.value.drinks ?? data.drinks).map((drink) => (
              <tr key={drink.id}>
                <th scope="row">{drink.name}</th>
                <td>
                  {drink.families
                    .map((id) => data.families.find((family) => family.id === id)?.name ?? id)
                    .join(", ")}
                </td>
                <td>
                  <SourceLink id={drink.source} />
                  {drink.memory && <span class="memory">from memory</span>}
                </td>
                <td>{drink.note ?? ""}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <h2 id="cautions">Cautions</h2>
      <ul class="plain">
        {data.cautions.map((caution) => (
          <li key={caution.id}>
            <strong>{caution.title}.</strong> {caution.text} <SourceLink id={caution.source} />
          </li>
        ))}
      </ul>
      <h2 id="sources">Sources</h2>
      <ul class="citations">
        {sources.map((source) => (
          <li key={source.id} id={`source-${source.id}`} tabIndex={-1}>
            {source.citation}{" "}
            <span class={`evidence evidence-${source.evidence}`}>{EVIDENCE[source.evidence]}</span>
            {source.note && <p class="hint">{source.note}</p>}
          </li>
        ))}
      </ul>
    </div>
  );
}
