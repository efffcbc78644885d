import { useState } from "preact/hooks";
import { formatAmount } from "../../engine/amounts/format-amount.ts";
import { parseQuantity } from "../../engine/amounts/parse-quantity.ts";
import { toVolumeMl } from "../../engine/amounts/units.ts";
import { reasonOf } from "../../engine/errors.ts";
import { totalAcid, totalSugar } from "../../engine/mix/own-figures.ts";
import { sucroseGPer100Ml } from "../../engine/physics/sucrose-water.ts";
import { measuredShape } from "../../engine/shapes/view.ts";
import type { Ingredient, SpecLine } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { ChoiceField, CommitInput, Field, NumberField, Switch } from "../parts/field.tsx";
import { Fold } from "../parts/fold.tsx";
import { Icon } from "../parts/icon.tsx";
import { fits } from "../state/codec/reader.ts";
import { addressOf } from "../state/route.ts";
import type { LineRule, Measured } from "../state/view.ts";
import { measuresOf } from "./measures.ts";
import { Swaps } from "./swaps.tsx";

type Stage = "" | "mix" | "top";
const STAGES: readonly { value: Stage; label: string }[] = [
  { value: "", label: "As usual" },
  { value: "mix", label: "Mixed with the ice" },
  { value: "top", label: "Added after" },
];

const FIGURES = [
  { key: "sugar", label: "Sugar, g/100 mL or Bx", what: "sugar" },
  { key: "acid", label: "Acid, g/100 mL as citric", what: "acid" },
  { key: "abv", label: "Alcohol, % vol", what: "alcohol" },
] as const;

/** A figure as people type it: a number, or degrees Brix for sugar; null when it is neither or impossible. */
function readFigure(key: keyof Measured, text: string): number | null {
  const match = /^(\d+(?:\.\d+)?)\s*(°?\s*(?:bx|brix))?$/i.exec(text.trim().replace(",", "."));
  if (!match || (match[2] && key !== "sugar")) return null;
  const said = Number(match[1]);
  const value = match[2] && said <= 85 ? sucroseGPer100Ml(said) : said;
  return fits(measuredShape.shape[key], Number(value.toPrecision(5))) ?? null;
}

/** "Per 100 mL: 8.9 g sugars, 4.60 g acids as citric." */
function compositionWords(ingredient: Ingredient): string {
  const abv = ingredient.abvPercent.value;
  const parts = [
    `${totalSugar(ingredient).toFixed(1)} g sugars`,
    `${totalAcid(ingredient).toFixed(2)} g acids as citric`,
    abv > 0 ? `${abv} % vol` : null,
  ].filter(Boolean);
  return `Per 100 mL${ingredient.own ? ", with your own figures" : ""}: ${parts.join(", ")}.`;
}

/** Least and most that a proposal may pour of this ingredient. */
function Bounds({ ingredient }: { ingredient: Ingredient }) {
  const store = useStore();
  const [error, setError] = useState<string | null>(null);
  const { rules } = store.work.value;
  const rule = rules[ingredient.id] ?? {};
  const { ladder, settings } = measuresOf(store);
  const put = (next: LineRule) => store.edit({ rules: { ...rules, [ingredient.id]: next } });
  const bound = (which: "minMl" | "maxMl", label: string) => (
    <Field label={label}>
      {(ids) => (
        <CommitInput
          {...ids}
          class="amount"
          placeholder="none"
          value={rule[which] === undefined ? "" : formatAmount(rule[which], ladder, { settings, ingredient })}
          onCommit={(text) => {
            const { [which]: _, ...rest } = rule;
            setError(null);
            if (text.trim() === "") return put(rest);
            const read = parseQuantity(text);
            if (read?.rest.trim() !== "" || read.high !== undefined) {
              setError(`“${text}” is not an amount for the ${label.toLowerCase()}. Try 1/2 oz or 15 ml.`);
              return false;
            }
            try {
              const { ml } = toVolumeMl(read.amount, read.unit ?? ladder.displayUnit, {
                settings,
                ingredient,
              });
              put({ ...rest, [which]: ml });
            } catch (problem) {
              setError(reasonOf(problem));
              return false;
            }
          }}
        />
      )}
    </Field>
  );
  return (
    <>
      {bound("minMl", "Least")}
      {bound("maxMl", "Most")}
      {error && (
        <p class="line-error" role="alert">
          {error}
        </p>
      )}
    </>
  );
}

/** The user's own figures in place of the book's. */
function OwnFigures({ ingredient }: { ingredient: Ingredient }) {
  const store = useStore();
  const [error, setError] = useState<string | null>(null);
  const own = store.work.value.measured[ingredient.id] ?? {};
  const now = {
    sugar: totalSugar(ingredient),
    acid: totalAcid(ingredient),
    abv: ingredient.abvPercent.value,
  };
  const put = (figures: Measured) => {
    const { [ingredient.id]: _, ...rest } = store.work.value.measured;
    store.edit({ measured: Object.keys(figures).length > 0 ? { ...rest, [ingredient.id]: figures } : rest });
  };
  return (
    <>
      {FIGURES.map(({ key, label, what }) => (
        <Field label={label} key={key}>
          {(ids) => (
            <CommitInput
              {...ids}
              inputMode="decimal"
              data-own={key}
              placeholder={String(Number(now[key].toPrecision(3)))}
              value={own[key] === undefined ? "" : String(own[key])}
              onCommit={(text) => {
                const { [key]: _, ...rest } = own;
                setError(null);
                if (text.trim() === "") return put(rest);
                const value = readFigure(key, text);
                if (value === null) {
                  setError(
                    `“${text}” is not a figure for the ${what}. Give a plain number${key === "sugar" ? ", or °Brix as 12 Bx" : ""}.`,
                  );
                  return false;
                }
                put({ ...rest, [key]: value });
              }}
            />
          )}
        </Field>
      ))}
      {error && (
        <p class="line-error" role="alert">
          {error}
        </p>
      )}
      <p class="hint">
        {compositionWords(ingredient)} <a href={addressOf("pantry", ingredient.id)}>Where these come from</a>{" "}
        <a href={addressOf("preps", `reading-${ingredient.id}`)}>Measure it with an instrument</a>
      </p>
    </>
  );
}

/** What opens under a line: its lock, what could take its place, its limits, its figures. */
export function LineMore({
  line,
  onChange,
  onRemove,
}: {
  line: SpecLine;
  onChange: (line: SpecLine) => void;
  onRemove: () => void;
}) {
  const store = useStore();
  const ingredient = store.pantry.value.get(line.ingredient);
  const placed = store.placement.value?.lines.find((entry) => entry.ingredient === line.ingredient);
  const { rules, prices } = store.work.value;
  const rule = rules[line.ingredient] ?? {};
  const name = ingredient?.name ?? line.ingredient;
  const shares = placed && [
    `${Math.round(placed.shareOfFinishedPercent)} % of the glass`,
    ...(
      [
        ["sugar", placed.sugarSharePercent],
        ["acid", placed.acidSharePercent],
        ["alcohol", placed.ethanolSharePercent],
      ] as const
    ).flatMap(([what, percent]) => (percent >= 0.5 ? [`${Math.round(percent)} % of the ${what}`] : [])),
  ];
  return (
    <div class="line-more">
      {shares && <p class="line-share">{shares.join(" · ")}</p>}
      <div class="line-acts">
        <Switch
          on={rule.locked === true}
          onTurn={(locked) => store.edit({ rules: { ...rules, [line.ingredient]: { ...rule, locked } } })}
        >
          Lock {name}
        </Switch>
        <button type="button" class="remove" aria-label={`Remove ${name}`} onClick={onRemove}>
          <Icon name="cross" /> Remove
        </button>
      </div>
      {ingredient && (
        <>
          <Fold summary="Swap it" label={`Swap it: ${name}`} class="line-swaps">
            {() => <Swaps ingredient={ingredient} />}
          </Fold>
          <Fold
            summary="Limits, price, your own figures"
            label={`Limits, price, your own figures: ${name}`}
            class="line-details"
          >
            {() => (
              <div class="fields">
                <Bounds ingredient={ingredient} />
                <ChoiceField
                  label="Goes in"
                  value={(line.stage ?? "") as Stage}
                  options={STAGES}
                  onChoose={(stage) => {
                    const { stage: _, ...rest } = line;
                    onChange(stage === "" ? rest : { ...rest, stage });
                  }}
                />
                <NumberField
                  label="Price per litre"
                  placeholder="not set"
                  least={0}
                  value={prices[line.ingredient] ?? null}
                  onCommit={(perLitre) => {
                    const { [line.ingredient]: _, ...rest } = prices;
                    store.edit({
                      prices: perLitre === null ? rest : { ...rest, [line.ingredient]: perLitre },
                    });
                  }}
                />
                <p class="hint">Measured yours? It replaces the book's figure:</p>
                <OwnFigures ingredient={ingredient} />
              </div>
            )}
          </Fold>
        </>
      )}
    </div>
  );
}
