import { useState } from "preact/hooks";
import { makeSyrup, type SyrupStrength, thinSyrup } from "../../engine/prep/syrup.ts";
import { crystalWords, otherWayWords } from "../../engine/prep/words.ts";
import type { Ingredient } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import { NumberField, Segments } from "../parts/field.tsx";
import { Cautions, compositionRows, Figures, Problem, Said, useAttempt } from "./figures.tsx";
import { type Draft, keepDraft } from "./keep.ts";
import { figure } from "./words.ts";

type By = SyrupStrength["by"];
const BY: readonly { value: By; label: string }[] = [
  { value: "mass", label: "By weight" },
  { value: "volume", label: "By volume" },
  { value: "brix", label: "To a °Brix" },
];
type Want = "volumeMl" | "massG" | "sweetenerG";
const WANT: readonly { value: Want; label: string }[] = [
  { value: "volumeMl", label: "mL of syrup" },
  { value: "sweetenerG", label: "g of sweetener" },
];

const SWEET = new Set(["syrup", "sugar"]);
/** Sugar, g/100 mL, from which something counts as a sweetener. */
const SWEETENER = 40;
const sugarOf = (i: Ingredient) => Object.values(i.sugarsGPer100Ml).reduce((s, v) => s + (v?.value ?? 0), 0);

/** Any sweetener to water: what to weigh, what comes of it, and whether it stays clear. */
export function SyrupMaker() {
  const store = useStore();
  const pantry = store.pantry.value;
  const [sweetener, setSweetener] = useState("honey");
  const [by, setBy] = useState<By>("volume");
  const [ratio, setRatio] = useState(3);
  const [brix, setBrix] = useState(60);
  const [want, setWant] = useState<Want>("volumeMl");
  const [amount, setAmount] = useState(500);
  const [before, setBefore] = useState<number | null>(null);
  const [after, setAfter] = useState<number | null>(null);
  const chosen = pantry.get(sweetener)!;
  const simmered = before !== null && after !== null ? { beforeG: before, afterG: after } : undefined;
  const strength: SyrupStrength = by === "brix" ? { by, brix } : { by, ratio };
  const { value: made, problem } = useAttempt(
    () =>
      makeSyrup({
        sweetener: chosen,
        water: pantry.get("water")!,
        strength,
        want: { [want]: amount } as { volumeMl: number },
        ...(simmered && { simmered }),
      }),
    [chosen, pantry, by, ratio, brix, want, amount, before, after],
  );
  const name = by === "brix" ? `${chosen.name} syrup, ${brix} °Bx` : `${chosen.name} syrup ${ratio}:1`;
  const draft = (): Draft | null =>
    made && {
      name,
      role: "syrup",
      parts: [
        { ingredient: chosen.id, amount: tenth(made.sweetenerG.value), unit: "g" as const },
        { ingredient: "water", amount: tenth(made.waterG.value), unit: "g" as const },
      ].filter((part) => part.amount > 0),
      ...(simmered && { simmered }),
    };
  return (
    <div class="maker">
      <div class="maker-asks">
        <h2>Make a syrup</h2>
        <Combobox
          label={`Sweetener: ${chosen.name}`}
          placeholder="honey, demerara, agave…"
          ingredients={[...pantry.values()].filter((i) => SWEET.has(i.role) && sugarOf(i) > SWEETENER)}
          onChoose={({ id }) => setSweetener(id)}
        />
        <Segments label="Measured" value={by} options={BY} onChoose={setBy} />
        <div class="fields">
          {by === "brix" ? (
            <NumberField
              label="°Bx wanted"
              least={0}
              value={brix}
              onCommit={(x) => x !== null && setBrix(x)}
            />
          ) : (
            <NumberField
              label="Parts to one of water"
              least={0}
              value={ratio}
              onCommit={(x) => x !== null && setRatio(x)}
            />
          )}
          <NumberField
            label="How much"
            least={0}
            value={amount}
            onCommit={(x) => x !== null && setAmount(x)}
          />
        </div>
        <Segments label="Of what" value={want} options={WANT} onChoose={setWant} />
        <div class="fields">
          <p class="hint">Simmered? Weigh the same pan before and after: what is lost is water.</p>
          <NumberField label="Before, g" least={0} value={before} onCommit={setBefore} />
          <NumberField label="After, g" least={0} value={after} onCommit={setAfter} />
        </div>
        <Problem text={problem} />
      </div>
      {made && (
        <div class="maker-tells">
          <h3>{name}</h3>
          <p class="weigh">
            <b>{made.sweetenerG.value.toFixed(0)} g</b> {chosen.name} and{" "}
            <b>{made.waterG.value.toFixed(0)} g</b> water give{" "}
            <b>{made.composition.volumeMl.value.toFixed(0)} mL</b> ({made.composition.massG.value.toFixed(0)}{" "}
            g).
          </p>
          <Said words={[otherWayWords(made), crystalWords(made.crystals)]} />
          <Figures caption="What 100 mL holds" rows={compositionRows(made.composition)} />
          <KeepButton draft={draft} />
          <Cautions
            ids={[...(made.ingredient.cautions ?? []), ...(simmered ? (["hot-sugar"] as const) : [])]}
          />
          <Thinner syrup={made.ingredient} amountG={made.composition.massG.value} />
        </div>
      )}
    </div>
  );
}

/** Grams as a scale shows them. */
export const tenth = (g: number) => Math.round(10 * g) / 10;

/** Put what a maker made on the shelf. */
export function KeepButton({ draft }: { draft: () => Draft | null }) {
  const store = useStore();
  return (
    <div class="buttons">
      <button
        type="button"
        class="primary"
        onClick={() => {
          const made = draft();
          if (made) keepDraft(store, made);
        }}
      >
        Put it on the shelf
      </button>
    </div>
  );
}

/** Water for a thinner one. */
function Thinner({ syrup, amountG }: { syrup: Ingredient; amountG: number }) {
  const store = useStore();
  const [to, setTo] = useState(50);
  const { value, problem } = useAttempt(
    () => thinSyrup(syrup, store.pantry.value.get("water")!, amountG, { brix: to }),
    [syrup, amountG, to],
  );
  return (
    <div class="thinner">
      <NumberField label="Thin it to, °Bx" least={0} value={to} onCommit={(x) => x !== null && setTo(x)} />
      {value ? (
        <p class="hint">
          {figure(value.waterG, 0)} g of water to all of it: {value.composition.volumeMl.value.toFixed(0)} mL
          at {value.composition.sugarGPer100Ml.value.toFixed(1)} g of sugar in 100 mL.
        </p>
      ) : (
        <Problem text={problem} />
      )}
    </div>
  );
}
