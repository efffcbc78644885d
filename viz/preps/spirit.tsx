import { useState } from "preact/hooks";
import { legalNamesOf } from "../../engine/prep/legal.ts";
import { blendToStrength, buildLiqueur, proofDown, washSpirit } from "../../engine/prep/spirit.ts";
import type { SteepedId } from "../../engine/prep/types.ts";
import { legalWords } from "../../engine/prep/words.ts";
import type { CautionId, Ingredient } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { Combobox } from "../parts/combobox.tsx";
import { ChoiceField, NumberField, Segments } from "../parts/field.tsx";
import { Cautions, compositionRows, Figures, Problem, type Row, Said, useAttempt } from "./figures.tsx";
import type { Draft } from "./keep.ts";
import { KeepButton, tenth } from "./syrup.tsx";

type Work = "down" | "blend" | "wash" | "liqueur";
const WORKS: readonly { value: Work; label: string }[] = [
  { value: "down", label: "Bring down" },
  { value: "blend", label: "Blend two" },
  { value: "wash", label: "Steep or wash" },
  { value: "liqueur", label: "Liqueur" },
];

/** What is steeped in a spirit, and how much of it is water (fruit, milk and butter by the food tables, rounded). */
const BATHS: readonly { value: SteepedId; label: string; waterShare: number; sugarShare: number }[] = [
  { value: "fruit-or-peel", label: "Fruit", waterShare: 0.85, sugarShare: 0.1 },
  { value: "fat-or-oil", label: "Butter or fat", waterShare: 0.16, sugarShare: 0 },
  { value: "milk", label: "Milk", waterShare: 0.88, sugarShare: 0.047 },
  { value: "spice-or-herb", label: "Spice or herb", waterShare: 0.1, sugarShare: 0 },
];

interface Answer {
  name: string;
  rows: Row[];
  say: string[];
  draft: Draft;
  cautions: readonly CautionId[];
}

const isStrong = ({ role, abvPercent }: Ingredient) =>
  (role === "spirit" || role === "liqueur" || role === "fortified-wine") && abvPercent.value > 0;

/** A spirit brought down, blended, washed, or made a liqueur. */
export function SpiritMaker() {
  const store = useStore();
  const pantry = store.pantry.value;
  const [work, setWork] = useState<Work>("down");
  const [first, setFirst] = useState("rum-overproof-63");
  const [second, setSecond] = useState("rum-white");
  const [volume, setVolume] = useState(700);
  const [strength, setStrength] = useState(45);
  const [sugar, setSugar] = useState(25);
  const [bath, setBath] = useState<SteepedId>("fruit-or-peel");
  const [added, setAdded] = useState(300);
  const [recovered, setRecovered] = useState<number | null>(null);
  const [one, other] = [pantry.get(first)!, pantry.get(second)!];
  const into = BATHS.find(({ value }) => value === bath)!;
  const { value: made, problem } = useAttempt((): Answer => {
    switch (work) {
      case "down":
        return broughtDown(one, volume, strength);
      case "blend":
        return blended(one, other, volume, strength);
      case "wash":
        return washed(one, volume, added, into, recovered);
      case "liqueur":
        return liqueur(one, pantry, { volume, strength, sugar });
    }
  }, [work, one, other, pantry, volume, strength, sugar, into, added, recovered]);
  const number = (label: string, value: number, put: (x: number) => void) => (
    <NumberField label={label} least={0} value={value} onCommit={(x) => x !== null && put(x)} />
  );
  return (
    <div class="maker">
      <div class="maker-asks">
        <h2>Work on a spirit</h2>
        <Segments label="What is done" value={work} options={WORKS} onChoose={setWork} />
        <Combobox
          label={`Spirit: ${one.name}`}
          placeholder="rum, gin, vodka…"
          ingredients={[...pantry.values()].filter(isStrong)}
          onChoose={({ id }) => setFirst(id)}
        />
        {work === "blend" && (
          <Combobox
            label={`With: ${other.name}`}
            placeholder="rum, gin, vodka…"
            ingredients={[...pantry.values()].filter(isStrong)}
            onChoose={({ id }) => setSecond(id)}
          />
        )}
        {work === "wash" && <ChoiceField label="On" value={bath} options={BATHS} onChoose={setBath} />}
        <div class="fields">
          {number(work === "blend" || work === "liqueur" ? "mL wanted" : "mL of it", volume, setVolume)}
          {work !== "wash" && number("% vol wanted", strength, setStrength)}
          {work === "liqueur" && number("Sugar wanted, g/100 mL", sugar, setSugar)}
          {work === "wash" && number("g put in", added, setAdded)}
          {work === "wash" && (
            <NumberField
              label="mL strained off"
              least={0}
              placeholder="not measured"
              value={recovered}
              onCommit={setRecovered}
            />
          )}
        </div>
        <Problem text={problem} />
      </div>
      {made && (
        <div class="maker-tells">
          <h3>{made.name}</h3>
          <Said words={made.say} />
          <Figures caption="In figures" rows={made.rows} />
          <KeepButton draft={() => made.draft} />
          <Cautions ids={[...new Set<CautionId>([...made.cautions, "alcohol", "batching"])]} />
        </div>
      )}
    </div>
  );
}

function broughtDown(spirit: Ingredient, volumeMl: number, to: number): Answer {
  const down = proofDown({ volumeMl }, spirit.abvPercent, to);
  const name = `${spirit.name}, at ${to} % vol`;
  return {
    name,
    say: [
      "Spirit and water shrink on mixing, so the difference in volume is too little water. Weigh the water in, or fill up to the mark at 20 °C.",
    ],
    rows: [
      { what: "Water, weighed", value: down.waterG, unit: "g", digits: 1 },
      { what: "Water, by volume", value: down.waterMl, unit: "mL", digits: 1 },
      { what: "Comes to", value: down.finalMl, unit: "mL", digits: 0 },
      { what: "Lost to mixing", value: down.contractionMl, unit: "mL", digits: 1 },
    ],
    draft: {
      name,
      role: spirit.role,
      parts: [
        { ingredient: spirit.id, amount: volumeMl, unit: "ml" },
        { ingredient: "water", amount: tenth(down.waterG.value), unit: "g" },
      ],
    },
    cautions: spirit.cautions ?? [],
  };
}

function blended(one: Ingredient, other: Ingredient, volumeMl: number, to: number): Answer {
  const blend = blendToStrength(one, other, to, volumeMl);
  const name = `${one.name} and ${other.name}, ${to} % vol`;
  return {
    name,
    say: [],
    rows: [
      { what: one.name, value: blend.firstMl, unit: "mL", digits: 0 },
      { what: `${one.name}, weighed`, value: blend.firstG, unit: "g", digits: 0 },
      { what: other.name, value: blend.secondMl, unit: "mL", digits: 0 },
      { what: `${other.name}, weighed`, value: blend.secondG, unit: "g", digits: 0 },
      ...compositionRows(blend.composition),
    ],
    draft: {
      name,
      role: one.role,
      parts: [
        { ingredient: one.id, amount: tenth(blend.firstMl.value), unit: "ml" as const },
        { ingredient: other.id, amount: tenth(blend.secondMl.value), unit: "ml" as const },
      ].filter(({ amount }) => amount > 0),
    },
    cautions: blend.ingredient.cautions ?? [],
  };
}

/** What comes into balance in a day or more (our estimate, as the engine's). */
const USUAL_EXCHANGE = 0.85;

function washed(
  spirit: Ingredient,
  spiritMl: number,
  addedG: number,
  into: (typeof BATHS)[number],
  recoveredMl: number | null,
): Answer {
  const { waterShare, sugarShare } = into;
  const wash = washSpirit({
    spirit,
    spiritMl,
    addedG,
    waterShare,
    sugarShare,
    ...(recoveredMl !== null && { recoveredMl }),
  });
  const name = `${spirit.name} on ${into.label.toLowerCase()}`;
  const waterG = tenth(USUAL_EXCHANGE * waterShare * addedG);
  const sugarG = tenth(USUAL_EXCHANGE * sugarShare * addedG);
  return {
    name,
    say: [
      "Straining costs volume, not strength; the water of what went in thins the spirit. How far it has come is our estimate: measure the strength of the batch where it matters.",
      ...(wash.lostShare === null
        ? []
        : [`${Math.round(100 * wash.lostShare)} % of the alcohol stayed in what was strained out.`]),
    ],
    rows: [
      { what: "Strength", value: wash.abvPercent, unit: "% vol", digits: 1 },
      { what: "Sugar", value: wash.sugarGPer100Ml, unit: "g/100 mL", digits: 1 },
      { what: "Volume", value: wash.volumeMl, unit: "mL", digits: 0 },
    ],
    draft: {
      name,
      role: spirit.role,
      steeped: [into.value],
      parts: [
        { ingredient: spirit.id, amount: spiritMl, unit: "ml" as const },
        { ingredient: "water", amount: waterG, unit: "g" as const },
        { ingredient: "sugar", amount: sugarG, unit: "g" as const },
      ].filter(({ amount }) => amount > 0),
    },
    cautions: [
      ...(wash.ingredient.cautions ?? []),
      ...(into.value === "milk" || into.value === "fat-or-oil" ? (["milk"] as const) : []),
    ],
  };
}

function liqueur(
  base: Ingredient,
  pantry: ReadonlyMap<string, Ingredient>,
  want: { volume: number; strength: number; sugar: number },
): Answer {
  const sweetener = pantry.get("sugar")!;
  const built = buildLiqueur({
    base,
    sweetener,
    water: pantry.get("water")!,
    abvPercent: want.strength,
    sugarGPer100Ml: want.sugar,
    volumeMl: want.volume,
  });
  const name = `${base.name} liqueur`;
  return {
    name,
    say: [legalWords(legalNamesOf(built.composition))],
    rows: [
      { what: base.name, value: built.baseMl, unit: "mL", digits: 0 },
      { what: sweetener.name, value: built.sweetenerG, unit: "g", digits: 0 },
      { what: "Water", value: built.waterG, unit: "g", digits: 0 },
      ...compositionRows(built.composition),
    ],
    draft: {
      name,
      role: "liqueur",
      parts: [
        { ingredient: base.id, amount: tenth(built.baseMl.value), unit: "ml" as const },
        { ingredient: sweetener.id, amount: tenth(built.sweetenerG.value), unit: "g" as const },
        { ingredient: "water", amount: tenth(built.waterG.value), unit: "g" as const },
      ].filter(({ amount }) => amount > 0),
    },
    cautions: built.ingredient.cautions ?? [],
  };
}
