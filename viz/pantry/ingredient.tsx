import { totalAcid, totalSugar } from "../../engine/mix/own-figures.ts";
import type { Ingredient, SourcedValue } from "../../engine/types.ts";
import { pourIn } from "../bench/spec.tsx";
import { useStore } from "../house.ts";
import { addressOf, go } from "../state/route.ts";
import { SourceLink } from "./source-link.tsx";
import { SheetTable } from "./table.tsx";
import { ACIDS, figure, ROLES, SUGARS } from "./words.ts";

interface Figure {
  quantity: string;
  unit: string;
  value: SourcedValue;
}

/** Every number the pantry holds of an ingredient. */
export function figuresOf(i: Ingredient): Figure[] {
  const one = (quantity: string, unit: string, value: SourcedValue | undefined) =>
    value ? [{ quantity, unit, value }] : [];
  const each = <K extends string>(kinds: Partial<Record<K, SourcedValue>>, names: Record<K, string>) =>
    Object.entries<SourcedValue | undefined>(kinds).flatMap(([kind, value]) =>
      one(names[kind as K], "g/100 mL", value),
    );
  return [
    ...one("Alcohol", "% vol", i.abvPercent),
    ...each(i.sugarsGPer100Ml, SUGARS),
    ...each(i.acidsGPer100Ml, ACIDS),
    ...one("Density", "g/mL", i.densityGPerMl),
    ...one("Other solids", "g/100 mL", i.otherSolidsGPer100Ml),
    ...one("Minerals that buffer it", "meq/L", i.cationsMeqPerL),
    ...one("Yield of one piece", "mL", i.pieceMl),
    ...one("Yield of one wedge", "mL", i.wedgeMl),
  ];
}

/** "Sour juice · 1.7 g sugar · 5.51 g acid". */
export function summaryOf(ingredient: Ingredient): string {
  const [sugar, acid, abv] = [totalSugar(ingredient), totalAcid(ingredient), ingredient.abvPercent.value];
  return [
    ROLES[ingredient.role],
    ...(abv > 0 ? [`${figure(abv)} % vol`] : []),
    ...(sugar > 0 ? [`${sugar.toFixed(1)} g sugar`] : []),
    ...(acid > 0 ? [`${acid.toFixed(2)} g acid`] : []),
  ].join(" · ");
}

/** Everywhere the user pours it. */
function usedIn({ work }: ReturnType<typeof useStore>, id: string): string[] {
  const { spec, benches } = work.value;
  const pours = (lines: readonly { ingredient: string }[]) => lines.some((line) => line.ingredient === id);
  const names = benches.flatMap((b) => (b.rounds.some((r) => pours(r.spec.lines)) ? [b.name] : []));
  return pours(spec.lines) ? [...new Set(["the drink in work", ...names])] : names;
}

/** What opens under an ingredient: each figure with its doubt and its source, and what can be done with it. */
export function IngredientBody({ ingredient }: { ingredient: Ingredient }) {
  const store = useStore();
  const uses = ingredient.own ? usedIn(store, ingredient.id) : [];
  const remove = () => store.edit({ own: store.work.value.own.filter(({ id }) => id !== ingredient.id) });
  return (
    <>
      {ingredient.note && <p class="hint">{ingredient.note}</p>}
      <SheetTable
        label={`${ingredient.name}: figures`}
        stacked
        heads={["Figure", "Value ± doubt", "Unit", "Source", "Note"]}
      >
        {figuresOf(ingredient).map(({ quantity, unit, value }) => (
          <tr key={quantity}>
            <th scope="row">{quantity}</th>
            <td class="figure">
              {figure(value.value)}
              {value.sd > 0 ? ` ± ${figure(value.sd)}` : ""}
            </td>
            <td class="unit">{unit}</td>
            <td class="wide">
              <SourceLink id={value.source} memory={value.memory} />
            </td>
            <td class="wide">{value.note ?? ""}</td>
          </tr>
        ))}
        {(ingredient.disagreements ?? []).map((other) => (
          <tr class="disagrees" key={`${other.quantity} ${other.source}`}>
            <th scope="row">{other.quantity}, elsewhere</th>
            <td class="figure">
              {figure(other.value)} ± {figure(other.sd)}
            </td>
            <td>{other.unit}</td>
            <td class="wide">
              <SourceLink id={other.source} />
            </td>
            <td class="wide">{other.note ?? "disagrees with the figure used"}</td>
          </tr>
        ))}
      </SheetTable>
      <div class="buttons">
        <button
          type="button"
          onClick={() => {
            pourIn(store, ingredient);
            go(addressOf("bench", store.work.value.bench));
          }}
        >
          Pour it into the drink in work
        </button>
        {ingredient.own && uses.length === 0 && (
          <button type="button" class="quiet" onClick={remove}>
            Remove from my pantry
          </button>
        )}
      </div>
      {uses.length > 0 && <p class="hint">Yours; poured in {uses.join(", ")}.</p>}
    </>
  );
}
