import { useState } from "preact/hooks";
import { ACIDS_AT_HAND, powdersOf } from "../../engine/prep/acids-at-hand.ts";
import { adjustJuice, CITRIC_MONOHYDRATE_PURITY, type KitchenAcidId } from "../../engine/prep/adjust.ts";
import { compareAcidWays } from "../../engine/prep/compare.ts";
import { adjustedWords, waysWords } from "../../engine/prep/words.ts";
import type { Ingredient, Pantry } from "../../engine/types.ts";
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

/** What the maker asks for. */
interface Asked {
  volume: number;
  goal: Goal;
  /** Acid wanted, g/100 mL as citric, where the goal is a figure. */
  wanted: number;
  acids: readonly KitchenAcidId[];
  /** The citric acid at hand is the monohydrate. */
  crystals: boolean;
  sugar: number | null;
  step: (typeof STEPS)[number];
  prices: Partial<Record<KitchenAcidId, number>>;
}

const START: Asked = {
  volume: 500,
  goal: "juice-lime",
  wanted: 3,
  acids: ["citric", "malic"],
  crystals: false,
  sugar: null,
  step: "0.1",
  prices: {},
};

type Adjusted = ReturnType<typeof adjustJuice>;

function adjust(juice: Ingredient, pantry: Pantry, asked: Asked): Adjusted {
  const { goal, acids, crystals, sugar, prices } = asked;
  return adjustJuice({
    juice,
    volumeMl: asked.volume,
    goal:
      goal === "own"
        ? { titratableGPer100Ml: asked.wanted, shares: Object.fromEntries(acids.map((acid) => [acid, 1])) }
        : { like: pantry.get(goal)! },
    acids: acids.map((acid) => ({
      acid,
      purity: acid === "citric" && crystals ? CITRIC_MONOHYDRATE_PURITY : ACIDS_AT_HAND[acid].purity,
      ...(prices[acid] !== undefined && { pricePerKg: prices[acid] }),
    })),
    powders: powdersOf(pantry),
    sugar: pantry.get("sugar")!,
    scaleStepG: Number(asked.step),
    ...(sugar !== null && { sugarGPer100Ml: sugar }),
  });
}

function draftOf(juice: Ingredient, name: string, asked: Asked, made: Adjusted): Draft {
  const powder = (acid: Adjusted["additions"][number]["acid"]) => {
    if (acid === "sugar") return "sugar";
    return acid === "citric" && asked.crystals ? "citric-acid-monohydrate" : ACIDS_AT_HAND[acid].ingredient;
  };
  return {
    name,
    role: asked.sugar === null ? "sour-juice" : "syrup",
    parts: [
      { ingredient: juice.id, amount: asked.volume, unit: "ml" as const },
      ...made.additions.map(({ acid, weighG }) => ({
        ingredient: powder(acid),
        amount: weighG,
        unit: "g" as const,
      })),
    ].filter((part) => part.amount > 0),
  };
}

/** Acids, and sugar if wanted, that bring a juice to an acidity. Of water it makes a sour that keeps. */
export function JuiceMaker() {
  const store = useStore();
  const pantry = store.pantry.value;
  const poured = store.spec.value.lines.find((line) => pantry.get(line.ingredient)?.role === "sweet-juice");
  const [juiceId, setJuice] = useState(poured?.ingredient ?? "juice-pineapple");
  const [asked, setAsked] = useState(START);
  const juice = pantry.get(juiceId)!;
  const { value: made, problem } = useAttempt(() => adjust(juice, pantry, asked), [juice, pantry, asked]);
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
        <Asks asked={asked} put={(change) => setAsked({ ...asked, ...change })} />
        <Problem text={problem} />
      </div>
      {made && <Tells juice={juice} asked={asked} made={made} />}
    </div>
  );
}

function Asks({ asked, put }: { asked: Asked; put: (change: Partial<Asked>) => void }) {
  const { acids, prices } = asked;
  return (
    <>
      <div class="fields">
        <NumberField
          label="mL of it"
          least={0}
          value={asked.volume}
          onCommit={(volume) => volume !== null && put({ volume })}
        />
        <ChoiceField
          label="Scale reads to, g"
          value={asked.step}
          options={STEPS.map((value) => ({ value, label: value }))}
          onChoose={(step) => put({ step })}
        />
      </div>
      <Segments label="How sour" value={asked.goal} options={GOALS} onChoose={(goal) => put({ goal })} />
      {asked.goal === "own" && (
        <NumberField
          label="Acid wanted, g/100 mL as citric"
          least={0}
          value={asked.wanted}
          onCommit={(wanted) => wanted !== null && put({ wanted })}
        />
      )}
      <fieldset class="acids">
        <legend class="hint">Acids at hand</legend>
        {ACIDS.map(({ value, label }) => (
          <Switch
            key={value}
            on={acids.includes(value)}
            onTurn={(on) => put({ acids: on ? [...acids, value] : acids.filter((a) => a !== value) })}
          >
            {label}
          </Switch>
        ))}
        {acids.includes("citric") && (
          <Switch on={asked.crystals} onTurn={(crystals) => put({ crystals })}>
            My citric is the monohydrate
          </Switch>
        )}
      </fieldset>
      <div class="fields">
        <NumberField
          label="Sweeten to, g/100 mL"
          least={0}
          placeholder="as it is"
          value={asked.sugar}
          onCommit={(sugar) => put({ sugar })}
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
              put({ prices: x === null ? rest : { ...rest, [acid]: x } });
            }}
          />
        ))}
      </div>
    </>
  );
}

function Tells({ juice, asked, made }: { juice: Ingredient; asked: Asked; made: Adjusted }) {
  const name = asked.sugar === null ? `${juice.name}, acid-adjusted` : `${juice.name} cordial`;
  return (
    <div class="maker-tells">
      <h3>{name}</h3>
      <ul class="weigh">
        <li>
          <b>{asked.volume} mL</b> {juice.name}
        </li>
        {made.additions.map(({ acid, weighG }) => (
          <li key={acid}>
            <b>{weighG.toFixed(asked.step === "1" ? 0 : 1)} g</b>{" "}
            {acid === "sugar" ? "Sugar" : `${ACID_NAME[acid]} acid`}
          </li>
        ))}
      </ul>
      {made.cost !== null && made.cost > 0 && <p class="said">The acid costs {made.cost.toFixed(2)}.</p>}
      <Said words={adjustedWords(made)} />
      <Figures caption="What 100 mL holds" rows={compositionRows(made.composition, made.phAfter)} />
      <KeepButton draft={() => draftOf(juice, name, asked, made)} />
      <Cautions ids={made.ingredient.cautions ?? []} />
      <BothWays
        juice={juice}
        adjusted={made.ingredient}
        citrus={asked.goal === "juice-lemon" ? asked.goal : "juice-lime"}
      />
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
