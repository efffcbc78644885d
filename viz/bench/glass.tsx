import type { Placement } from "../../engine/types.ts";
import { useStore } from "../house.ts";
import { Fold } from "../parts/fold.tsx";
import type { Store } from "../state/store.ts";
import { volumeWords } from "../words/amounts.ts";
import { dilutionWords, finishedWords } from "../words/facts.ts";
import { overflows } from "./request.ts";

interface Fact {
  name: string;
  value: string;
  note?: string | undefined;
}

function factsOf(store: Store, placement: Placement): Fact[] {
  const units = store.parts.units.value;
  const drinks = placement.standardDrinks;
  const temp = placement.dilution.finalTempC;
  return [
    {
      name: "Standard drinks",
      value: `${drinks.us.toFixed(1)} US`,
      note: `${drinks.uk.toFixed(1)} UK units · ${drinks.au.toFixed(1)} AU (10\u00a0g)`,
    },
    {
      name: "Poured",
      value: `${volumeWords(placement.initialVolumeMl, units)} at ${placement.initialAbvPercent.toFixed(1)} % vol`,
    },
    {
      name: "Water from ice",
      value: `${Math.round(placement.dilution.ratio * 100)} % ± ${Math.round(placement.dilution.ratioSd * 100)}`,
      note: dilutionWords(placement.dilution, store.shown.value),
    },
    {
      name: "Sugar : acid",
      value: placement.sugarAcidRatio === null ? "no acid" : `${placement.sugarAcidRatio.toFixed(1)} : 1`,
    },
    {
      name: "Temperature",
      value:
        temp === null
          ? "not modelled"
          : `${temp.toFixed(0).replace("-", "−")} °C ± ${Math.ceil(placement.dilution.finalTempSdC ?? 0)}`,
      note: temp === null ? undefined : "of the finished drink, toppings included",
    },
    { name: "Energy", value: `${Math.round(placement.energyKcal)} kcal` },
    ...(placement.cost === null
      ? []
      : [{ name: "Cost", value: placement.cost.toFixed(2), note: "from your prices per litre" }]),
  ];
}

/** The finished glass: whether it fits, what to mind, and the rest in numbers. */
export function GlassPanel() {
  const store = useStore();
  const placement = store.placement.value;
  if (!placement) return null;
  const units = store.parts.units.value;
  const cautions = placement.cautions.flatMap(
    (id) => store.data.cautions.find((caution) => caution.id === id) ?? [],
  );
  const fit = placement.washLine;
  const spills = overflows(store, placement);
  return (
    <section class="glass" id="glass" aria-labelledby="glass-title" tabIndex={-1}>
      <h2 id="glass-title">In the glass</h2>
      <p class="fit" data-spills={spills}>
        <b>{finishedWords(placement, units)}</b>{" "}
        {fit ? `${fit.name}: ${fit.verdict}.` : "Choose a glass to see whether it fits."}
      </p>
      {placement.warnings.length > 0 && (
        <ul class="warnings">
          {placement.warnings.map((text) => (
            <li key={text}>{text}</li>
          ))}
        </ul>
      )}
      {cautions.length > 0 && (
        <Fold
          class="cautions quiet-fold"
          summary={
            <>
              <b>Before you serve it:</b> {cautions.map(({ title }) => title.toLowerCase()).join(" · ")}
            </>
          }
        >
          {() => (
            <>
              <ul>
                {cautions.map(({ id, title, text }) => (
                  <li key={id}>
                    <strong>{title}.</strong> {text}
                  </li>
                ))}
              </ul>
              <p class="hint">Local law, food codes and licensed practice come first.</p>
            </>
          )}
        </Fold>
      )}
      <Fold summary="All its numbers, and what they cannot see" class="quiet-fold">
        {() => (
          <>
            <dl class="facts">
              {factsOf(store, placement).map(({ name, value, note }) => (
                <div key={name}>
                  <dt>{name}</dt>
                  <dd>
                    <b>{value}</b>
                    {note && <span>{note}</span>}
                  </dd>
                </div>
              ))}
            </dl>
            <p class="blind">
              <strong>What this cannot see:</strong> aroma, bitterness, texture, fizz and colour. Swapping one
              rum for another of equal strength moves nothing here, and can change everything in the mouth.
              The tasters decide.
            </p>
          </>
        )}
      </Fold>
    </section>
  );
}
