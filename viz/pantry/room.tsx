import "../style/sheet.css";
import "./pantry.css";
import { useEffect, useState } from "preact/hooks";
import { ROLE_IDS } from "../../engine/ids.ts";
import type { Ingredient } from "../../engine/types.ts";
import { loadNotes, loadSources } from "../data/client.ts";
import { useStore } from "../house.ts";
import { searchPantry } from "../parts/combobox.tsx";
import { ChoiceField, Field } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { goToPlace, route } from "../state/route.ts";
import { figuresOf, IngredientBody, summaryOf } from "./ingredient.tsx";
import { OwnForm } from "./own.tsx";
import { EvidenceReport, SeparationReport } from "./report.tsx";
import { SourceLink } from "./source-link.tsx";
import { SheetTable } from "./table.tsx";
import { ERAS, EVIDENCE, ROLES } from "./words.ts";

/** What can be asked of the list beside a name. */
const KINDS = [
  { value: "", label: "All kinds" },
  { value: "own", label: "My own" },
  { value: "memory", label: "With a figure from memory" },
  { value: "disagrees", label: "Where sources disagree" },
  ...ROLE_IDS.map((role) => ({ value: role as string, label: ROLES[role] })),
];

function isOfKind(ingredient: Ingredient, kind: string): boolean {
  if (kind === "") return true;
  if (kind === "own") return ingredient.own === true;
  if (kind === "memory") return figuresOf(ingredient).some(({ value }) => value.memory);
  if (kind === "disagrees") return (ingredient.disagreements ?? []).length > 0;
  return ingredient.role === kind;
}

function Ingredients() {
  const store = useStore();
  const [query, setQuery] = useState("");
  const [kind, setKind] = useState("");
  const wanted = route.value.id;
  const all = [...store.pantry.value.values()];
  const found = searchPantry(query, all).filter((ingredient) => isOfKind(ingredient, kind));
  useEffect(() => {
    if (wanted) goToPlace(`ingredient-${wanted}`);
  }, [wanted]);
  return (
    <>
      <div class="start">
        <Field label="Find an ingredient">
          {(ids) => (
            <input
              {...ids}
              type="search"
              placeholder="lemon, syrup, rum…"
              value={query}
              onInput={(event) => setQuery(event.currentTarget.value)}
            />
          )}
        </Field>
        <ChoiceField label="Show" value={kind} options={KINDS} onChoose={setKind} />
        <p class="hint" role="status">
          {found.length} of {all.length} ingredients
        </p>
      </div>
      <Fold
        key={`own ${query}`}
        summary={
          query.trim() ? `Make “${query.trim()}” an ingredient of my own` : "Add an ingredient of my own"
        }
        open={query.trim() !== "" && found.length === 0}
      >
        {() => (
          <OwnForm
            name={query.trim()}
            action="Keep it in my pantry"
            onMade={(made) => {
              store.edit({ own: [...store.work.value.own, made] });
              setKind("");
              setQuery(made.name);
              store.said.value = `${made.name} is in your pantry and can be poured.`;
            }}
          />
        )}
      </Fold>
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
              {() => <IngredientBody ingredient={ingredient} />}
            </Fold>
          </li>
        ))}
      </ul>
    </>
  );
}

function Classics() {
  const { data } = useStore();
  const drinks = data.notes.value.drinks ?? data.drinks;
  const nameOf = (id: string) => data.families.find((family) => family.id === id)?.name ?? id;
  return (
    <Fold summary={`The ${drinks.length} classic drinks, and where each is from`}>
      {() => (
        <SheetTable
          label="Classic drinks and their sources"
          stacked
          heads={["Drink", "Families", "Proportions of", "Source", "Note"]}
        >
          {drinks.map((drink) => (
            <tr key={drink.id}>
              <th scope="row">{drink.name}</th>
              <td>{drink.families.map(nameOf).join(", ")}</td>
              <td class="figure">{ERAS[drink.era]}</td>
              <td class="wide">
                <SourceLink id={drink.source} memory={drink.memory} />
              </td>
              <td class="wide">{drink.note ?? ""}</td>
            </tr>
          ))}
        </SheetTable>
      )}
    </Fold>
  );
}

/** Every ingredient with its figures, the classics, the cautions, and where each number comes from. */
export function PantryRoom() {
  const { data } = useStore();
  useEffect(() => {
    Promise.all([loadSources(data), loadNotes(data)]).catch(() => {});
  }, [data]);
  const { balanced } = data.notes.value;
  return (
    <div class="sheet pantry">
      <h1>Pantry, and where the numbers come from</h1>
      <p>
        Per 100 mL at 20 °C. The number after ± is the standard uncertainty: about two times in three the true
        value lies that close. Acidity counts every acid by the base it takes up, as citric acid. Where books
        disagree, both figures are here and the uncertainty covers them. A figure marked “from memory” was
        recalled and not read; treat it so.
      </p>
      <Ingredients />
      <h2 id="drinks">Classic drinks, and the ranges made from them</h2>
      <p>The families on the map are made from these specs, each placed by the same model as yours.</p>
      <Classics />
      <Fold summary="How well the ranges tell good drinks from spoiled ones">
        {() => (
          <>
            <p>
              Drinks that common practice calls balanced, none of which a range is made from, and each spoiled
              in seven ways: a third or half of the acid, a third of the sugar, twice the sugar, acid or
              spirit, half as much water again. Common practice, no published source.
            </p>
            {balanced && <SeparationReport balanced={balanced} />}
          </>
        )}
      </Fold>
      <h2 id="evidence">What the numbers rest on</h2>
      <EvidenceReport />
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
        {data.sources.value.map((source) => (
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
