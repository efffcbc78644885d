import { useState } from "preact/hooks";
import { toVec } from "../../engine/axes.ts";
import { type BatchPlan, type BatchRequest, type BatchSize, planBatch } from "../../engine/batch/plan.ts";
import { batchWords } from "../../engine/batch/words.ts";
import type { Card } from "../../engine/card/types.ts";
import { reasonOf } from "../../engine/errors.ts";
import { useStore } from "../house.ts";
import { ChoiceField, NumberField, Segments } from "../parts/field.tsx";
import type { Store } from "../state/store.ts";
import { pointWords } from "../words/axis.ts";
import { jugWords, MOMENTS } from "./words.ts";

type Into = "serves" | "bottles" | "keg";

interface Wanted {
  into: Into;
  serves: number;
  bottleMl: number;
  bottles: number;
  kegMl: number;
  diluted: "yes" | "no";
  freezerTempC: number | null;
}

const START: Wanted = {
  into: "serves",
  serves: 12,
  bottleMl: 750,
  bottles: 1,
  kegMl: 19_000,
  diluted: "yes",
  freezerTempC: null,
};

function sizeOf({ into, serves, bottleMl, bottles, kegMl }: Wanted): BatchSize {
  switch (into) {
    case "serves":
      return { serves };
    case "bottles":
      return { bottleMl, bottles };
    case "keg":
      return { kegMl };
  }
}

function planned(store: Store, { spec }: Card, wanted: Wanted): BatchPlan | string {
  const request: BatchRequest = {
    spec,
    size: sizeOf(wanted),
    dilutedShare: wanted.diluted === "yes" ? 1 : 0,
    ...(wanted.freezerTempC !== null && { freezerTempC: wanted.freezerTempC }),
  };
  try {
    return planBatch(request, store.pantry.value, store.placing.value);
  } catch (error) {
    return reasonOf(error);
  }
}

/** The drink many times over: how much, into what, and what goes in when. */
export function BatchPanel({ card }: { card: Card }) {
  const store = useStore();
  const [wanted, setWanted] = useState(START);
  const want = (patch: Partial<Wanted>) => setWanted({ ...wanted, ...patch });
  const plan = planned(store, card, wanted);
  const number = (label: string, key: "serves" | "bottleMl" | "bottles" | "kegMl") => (
    <NumberField
      label={label}
      least={1}
      value={wanted[key]}
      onCommit={(x) => want({ [key]: x ?? START[key] })}
    />
  );
  return (
    <section class="card-batch" aria-labelledby="batch-title">
      <h2 id="batch-title">Make a batch</h2>
      <div class="batch-asks">
        <Segments
          label="Into what"
          value={wanted.into}
          options={[
            { value: "serves", label: "Serves" },
            { value: "bottles", label: "Bottles" },
            { value: "keg", label: "Keg" },
          ]}
          onChoose={(into) => want({ into })}
        />
        {wanted.into === "serves" && number("How many", "serves")}
        {wanted.into === "bottles" && number("Bottle, mL", "bottleMl")}
        {wanted.into === "bottles" && number("How many bottles", "bottles")}
        {wanted.into === "keg" && number("Keg, mL", "kegMl")}
        <ChoiceField
          label="Water for the ice"
          value={wanted.diluted}
          options={[
            { value: "yes", label: "goes in now: pour it cold" },
            { value: "no", label: "comes with each serve: shake or stir to order" },
          ]}
          onChoose={(diluted) => want({ diluted })}
        />
        <NumberField
          label="Kept at, °C"
          hint="Says whether it still pours."
          placeholder="−18"
          value={wanted.freezerTempC}
          onCommit={(freezerTempC) => want({ freezerTempC })}
        />
      </div>
      {typeof plan === "string" ? <p class="problem">{plan}</p> : <Plan plan={plan} />}
    </section>
  );
}

function Plan({ plan }: { plan: BatchPlan }) {
  const store = useStore();
  const cautions = plan.cautions.flatMap(
    (id) => store.data.cautions.find((caution) => caution.id === id) ?? [],
  );
  const rows = MOMENTS.map(({ when, name }) => ({
    when,
    name,
    lines: plan.lines.filter((line) => line.when === when && line.pourMl > 0),
  })).filter(({ when, lines }) => lines.length > 0 || (when === "base" && plan.waterMl.pourMl > 0));
  return (
    <>
      <table class="batch-lines">
        <caption class="visually-hidden">The batch, in the order it is poured</caption>
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">Pour</th>
            <th scope="col">Weighs</th>
            <th scope="col">Open or press</th>
          </tr>
        </thead>
        {rows.map(({ when, name, lines }) => (
          <tbody key={when}>
            <tr>
              <th scope="rowgroup" colSpan={4}>
                {name}
              </th>
            </tr>
            {lines.map((line) => (
              <tr key={line.ingredient}>
                <th scope="row">{line.name}</th>
                <td>{jugWords(line.pourMl)}</td>
                <td>{Math.round(line.massG)} g</td>
                <td>
                  {line.pieces !== null
                    ? `about ${line.pieces} fruit`
                    : line.bottles !== null
                      ? `${line.bottles} × 700 mL`
                      : ""}
                </td>
              </tr>
            ))}
            {when === "base" && plan.waterMl.pourMl > 0 && (
              <tr>
                <th scope="row">Water, for the ice</th>
                <td>{jugWords(plan.waterMl.pourMl)}</td>
                <td>{Math.round(plan.waterMl.pourMl)} g</td>
                <td />
              </tr>
            )}
          </tbody>
        ))}
      </table>
      <ul class="plain batch-words">
        {batchWords(plan).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
        <li>
          One serve, from what the jug measures: {pointWords(toVec(plan.serve.point))}
          {plan.cost === null ? "." : `; the whole costs ${plan.cost.toFixed(2)}.`}
        </li>
        {cautions.map(({ id, title, text }) => (
          <li key={id}>
            <b>{title}.</b> {text}
          </li>
        ))}
      </ul>
    </>
  );
}
