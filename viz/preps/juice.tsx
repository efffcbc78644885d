import { useState } from "preact/hooks";
import { ACIDS_AT_HAND, powdersOf } from "../../engine/prep/acids-at-hand.ts";
import { adjustJuice, CITRIC_MONOHYDRATE_PURITY, type KitchenAcidId } from "../../engine/prep/adjust.ts";
import { compareAcidWays } from "../../engine/prep/compare.ts";
import { adjustedWords, waysWords } from "../../engine/prep/words.ts";
import type { Ingredient } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import { ChoiceField, NumberField, Segments, Switch } from "../parts/field.tsx";
import { Cautions, compositionRows, Figures, Problem, Said, useAttempt } from "./figures.tsx";
import { type Draft, pantryWith } from "./keep.ts";
import { Shift } from "./shift.tsx";
import { KeepButton } from "./syrup.tsx";

type Goal = "juice-lime" | "juice-lemon" | "own";
const GOALS: readonly { value: Goal; label: string }[] = [
  { value: "juice-lime", label: "As sour as lime" },
  { value: "juice-lemon", label: "As lemon" },
  { value: "own", label: "To a figure" },
];
const ACIDS: readonly { value: KitchenAcidId; label: string }[] = [
  { value: "citric", label: "Citric" },
  { value: "malic", label: "Malic" },
  { value: "tartaric", label: "Tartaric" },
  { value: "lactic", label: "Lactic, 88 %" },
  { value: "phosphoric", label: "Phosphoric, 10 %" },
];
const ACID_NAME = Object.fromEntries(ACIDS.map(({ value, label }) => [value, label])) as Record<
  string,
  string
>;
const STEPS = ["0.1", "0.5", "1"] as const;

const JUICY = new Set(["sour-juice", "sweet-juice", "lengthener"]);

/** Acids, and sugar if wanted, that bring a juice to an acidity. Of water it makes a sour that keeps. */
export function JuiceMaker() {
  const store = useStore();
  const pantry = store.pantry.value;
  const poured = store.spec.value.lines.find((line) => pantry.get(line.ingredient)?.role === "sweet-juice");
  const [juiceId, setJuice] = useState(poured?.ingredient ?? "juice-pineapple");
  const [volume, setVolume] = useState(500);
  const [goal, setGoal] = useState<Goal>("juice-lime");
  const [wanted, setWanted] = useState(3);
  const [acids, setAcids] = useState<readonly KitchenAcidId[]>(["citric", "malic"]);
  const [crystals, setCrystals] = useState(false);
  const [sugar, setSugar] = useState<number | null>(null);
  const [step, setStep] = useState<(typeof STEPS)[number]>("0.1");
  const [prices, setPrices] = useState<Partial<Record<KitchenAcidId, number>>>({});
  const juice = pantry.get(juiceId)!;
  const rests = [juice, pantry, volume, goal, wanted, acids, crystals, sugar, step, prices];
  const { value: made, problem } = useAttempt(
    () =>
      adjustJuice({
        juice,
        volumeMl: volume,
        goal:
          goal === "own"
            ? { titratableGPer100Ml: wanted, shares: Object.fromEntries(acids.map((acid) => [acid, 1])) }
            : { like: pantry.get(goal)! },
        acids: acids.map((acid) => ({
          acid,
          purity: acid === "citric" && crystals ? CITRIC_MONOHYDRATE_PURITY : ACIDS_AT_HAND[acid].purity,
          ...(prices[acid] !== undefined && { pricePerKg: prices[acid] }),
        })),
        powders: powdersOf(pantry),
        sugar: pantry.get("sugar")!,
        scaleStepG: Number(step),
        ...(sugar !== null && { sugarGPer100Ml: sugar }),
      }),
    rests,
  );
  const name = sugar === null ? `${juice.name}, acid-adjusted` : `${juice.name} cordial`;
  const draft = (): Draft | null =>
    made && {
      name,
      role: sugar === null ? "sour-juice" : "syrup",
      parts: [
        { ingredient: juice.id, amount: volume, unit: "ml" as const },
        ...made.additions.map(({ acid, weighG }) => ({
          ingredient:
            acid === "sugar"
              ? "sugar"
              : acid === "citric" && crystals
                ? "citric-acid-monohydrate"
                : ACIDS_AT_HAND[acid].ingredient,
          amount: weighG,
          unit: "g" as const,
        })),
      ].filter((part) => part.amount > 0),
    };
  return (
    <div class="maker">
      <div class="maker-asks">
        <h2>Bring a juice to an acidity</h2>
        <Combobox
          label={`Juice: ${juice.name}`}
          placeholder="pineapple, orange, water…"
          ingredients={[...pantry.values()].filter((i) => JUICY.has(i.role))}
          onChoose={({ id }) => setJuice(id)}
        />
        <div class="fields">
          <NumberField
            label="mL of it"
            least={0}
            value={volume}
            onCommit={(x) => x !== null && setVolume(x)}
          />
          <ChoiceField
            label="Scale reads to, g"
            value={step}
            options={STEPS.map((value) => ({ value, label: value }))}
            onChoose={setStep}
          />
        </div>
        <Segments label="How sour" value={goal} options={GOALS} onChoose={setGoal} />
        {goal === "own" && (
          <NumberField
            label="Acid wanted, g/100 mL as citric"
            least={0}
            value={wanted}
            onCommit={(x) => x !== null && setWanted(x)}
          />
        )}
        <fieldset class="acids">
          <legend class="hint">Acids at hand</legend>
          {ACIDS.map(({ value, label }) => (
            <Switch
              key={value}
              on={acids.includes(value)}
              onTurn={(on) => setAcids(on ? [...acids, value] : acids.filter((a) => a !== value))}
            >
              {label}
            </Switch>
          ))}
          {acids.includes("citric") && (
            <Switch on={crystals} onTurn={setCrystals}>
              My citric is the monohydrate
            </Switch>
          )}
        </fieldset>
        <div class="fields">
          <NumberField
            label="Sweeten to, g/100 mL"
            least={0}
            placeholder="as it is"
            value={sugar}
            onCommit={setSugar}
          />
          {acids.map((acid) => (
            <NumberField
              label={`${ACID_NAME[acid]}, price a kg`}
              key={acid}
              least={0}
              placeholder="not set"
              value={prices[acid] ?? null}
              onCommit={(x) => {
                const { [acid]: _, ...rest } = prices;
                setPrices(x === null ? rest : { ...rest, [acid]: x });
              }}
            />
          ))}
        </div>
        <Problem text={problem} />
      </div>
      {made && (
        <div class="maker-tells">
          <h3>{name}</h3>
          <ul class="weigh">
            <li>
              <b>{volume} mL</b> {juice.name}
            </li>
            {made.additions.map(({ acid, weighG }) => (
              <li key={acid}>
                <b>{weighG.toFixed(step === "1" ? 0 : 1)} g</b>{" "}
                {acid === "sugar" ? "Sugar" : `${ACID_NAME[acid]} acid`}
              </li>
            ))}
          </ul>
          {made.cost !== null && made.cost > 0 && <p class="said">The acid costs {made.cost.toFixed(2)}.</p>}
          <Said words={adjustedWords(made)} />
          <Figures caption="What 100 mL holds" rows={compositionRows(made.composition, made.phAfter)} />
          <KeepButton draft={draft} />
          <Cautions ids={made.ingredient.cautions ?? []} />
          <BothWays
            juice={juice}
            adjusted={made.ingredient}
            citrus={goal === "juice-lemon" ? goal : "juice-lime"}
          />
        </div>
      )}
    </div>
  );
}

/** "Adjust the juice" and "add lime" beside each other, for the drink on the bench. */
function BothWays({
  juice,
  adjusted,
  citrus: id,
}: {
  juice: Ingredient;
  adjusted: Ingredient;
  citrus: string;
}) {
  const store = useStore();
  const spec = store.spec.value;
  const pantry = store.pantry.value;
  const now = store.placement.value;
  const line = spec.lines.findIndex(({ ingredient }) => ingredient === juice.id);
  const citrus = pantry.get(id)!;
  const { value: ways } = useAttempt(
    () => (line < 0 ? null : compareAcidWays(spec, line, adjusted, citrus, pantryWith(pantry, adjusted))),
    [spec, line, adjusted, citrus, pantry],
  );
  if (line < 0) {
    return (
      <p class="hint">
        Pour {juice.name} in the drink on the bench, and both ways stand here side by side: adjust the juice,
        or add {citrus.name}.
      </p>
    );
  }
  if (!ways || !now) return null;
  return (
    <section class="both-ways">
      <h3>
        In {spec.name}: adjust the juice, or add {citrus.name}
      </h3>
      <Said words={[waysWords(ways, citrus.name)]} />
      <Shift
        caption="The drink on the bench, and the same with either."
        stands={[
          { label: "As it is", placement: now, look: "before" },
          { label: "Juice adjusted", placement: ways.adjusted.placement, look: "after" },
          ...(ways.added
            ? [
                {
                  label: `${citrus.name} added`,
                  placement: ways.added.placement,
                  look: "other" as const,
                  more: `${ways.added.citrusMl.toFixed(0)} mL`,
                },
              ]
            : []),
        ]}
      />
    </section>
  );
}
