import "./pantry.css";
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { reasonOf } from "../../engine/errors.ts";
import { ROLE_IDS } from "../../engine/ids.ts";
import { type OwnStatement, ownIngredient } from "../../engine/prep/own-ingredient.ts";
import type { Ingredient, Role } from "../../engine/types.ts";
import { ChoiceField, Field } from "../parts/field.tsx";
import { newId } from "../state/ids.ts";
import { ROLES } from "./words.ts";

const FIGURES = [
  { key: "abvPercent", label: "Strength, % vol" },
  { key: "sugarGPer100Ml", label: "Sugar, g/100 mL" },
  { key: "brix", label: "or Brix, °Bx" },
  { key: "acidGPer100Ml", label: "Acid as citric, g/100 mL" },
  { key: "densityGPerMl", label: "Density, g/mL" },
] as const;
type Key = (typeof FIGURES)[number]["key"];

/** A number as people write it; null for what is none, undefined for nothing. */
function read(text: string): number | null | undefined {
  const plain = text.trim().replace(",", ".");
  if (plain === "") return undefined;
  const x = Number(plain);
  return Number.isFinite(x) && x >= 0 ? x : null;
}

/** An ingredient of one's own in one step: a name, and whatever figures there are. What asked for it keeps it. */
export function OwnForm({
  name,
  action,
  onMade,
  children,
}: {
  name: string;
  action: string;
  onMade: (made: Ingredient) => void;
  children?: ComponentChildren;
}) {
  const [title, setTitle] = useState(name);
  const [role, setRole] = useState<Role>("other");
  const [texts, setTexts] = useState<Partial<Record<Key, string>>>({});
  const [problem, setProblem] = useState<string | null>(null);
  const keep = () => {
    const said: OwnStatement = { id: `own-${newId().slice(0, 16)}`, name: title, role };
    for (const { key, label } of FIGURES) {
      const value = read(texts[key] ?? "");
      if (value === null)
        return setProblem(`“${texts[key]}” is no figure for ${label}: give a plain number.`);
      if (value !== undefined) said[key] = value;
    }
    try {
      onMade(ownIngredient(said));
    } catch (error) {
      setProblem(reasonOf(error));
    }
  };
  return (
    <form
      class="own-form"
      onSubmit={(event) => {
        event.preventDefault();
        keep();
      }}
    >
      <div class="own-fields">
        <Field label="Name">
          {(ids) => (
            <input
              {...ids}
              type="text"
              autocomplete="off"
              value={title}
              onInput={(event) => setTitle(event.currentTarget.value)}
            />
          )}
        </Field>
        <ChoiceField
          label="What it is"
          value={role}
          options={ROLE_IDS.map((value) => ({ value, label: ROLES[value] }))}
          onChoose={setRole}
        />
        {FIGURES.map(({ key, label }) => (
          <Field label={label} key={key}>
            {(ids) => (
              <input
                {...ids}
                type="text"
                inputMode="decimal"
                autocomplete="off"
                placeholder={key === "densityGPerMl" ? "worked out" : key === "brix" ? "" : "none"}
                value={texts[key] ?? ""}
                onInput={(event) => setTexts({ ...texts, [key]: event.currentTarget.value })}
              />
            )}
          </Field>
        ))}
      </div>
      {problem && (
        <p class="line-error" role="alert">
          {problem}
        </p>
      )}
      <p class="hint">
        What is left empty is none; a density left empty is worked out. A Brix is taken apart with the
        strength and the acid you give, as both bend light too. Label and hand instruments are trusted to 3 %.
      </p>
      <div class="buttons">
        <button type="submit" class="primary">
          {action}
        </button>
        {children}
      </div>
    </form>
  );
}
