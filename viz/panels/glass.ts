import { el, fill } from "../dom.ts";
import { dilutionWords, finishedWords, volumeWords } from "../words/facts.ts";
import type { Panel } from "./context.ts";

/** The finished glass in numbers, and what no number here can see. */
export const glassPanel: Panel = (host) => {
  const facts = el("dl", { class: "facts" });
  fill(
    host,
    el("h2", { id: "glass-title" }, "In the glass"),
    facts,
    el(
      "p",
      { class: "blind" },
      el("strong", {}, "What this cannot see: "),
      "aroma, bitterness, texture, fizz and colour. Swapping one rum for another of equal strength moves nothing here, and can change everything in the mouth. The tasters decide.",
    ),
  );
  return (state, { placement }) => {
    if (!placement) return fill(facts);
    const drinks = placement.standardDrinks;
    const rows: [string, string, string?][] = [
      [
        "Finished",
        finishedWords(placement, state.units),
        placement.washLine
          ? `${placement.washLine.name}: ${placement.washLine.verdict}`
          : "Choose a glass to see the wash line.",
      ],
      [
        "Poured",
        `${volumeWords(placement.initialVolumeMl, state.units)} at ${placement.initialAbvPercent.toFixed(1)} % vol`,
      ],
      [
        "Water from ice",
        `${Math.round(placement.dilution.ratio * 100)} % ± ${Math.round(placement.dilution.ratioSd * 100)}`,
        dilutionWords(placement.dilution, state.spec),
      ],
      [
        "Temperature",
        placement.dilution.finalTempC === null
          ? "not modelled"
          : `${placement.dilution.finalTempC.toFixed(0).replace("-", "−")} °C ± ${Math.ceil(placement.dilution.finalTempSdC ?? 0)}`,
        placement.dilution.finalTempC === null ? undefined : "of the finished drink, toppings included",
      ],
      [
        "Sugar : acid",
        placement.sugarAcidRatio === null ? "no acid" : `${placement.sugarAcidRatio.toFixed(1)} : 1`,
      ],
      [
        "Standard drinks",
        `${drinks.us.toFixed(1)} US`,
        `${drinks.uk.toFixed(1)} UK units · ${drinks.au.toFixed(1)} AU (10\u00a0g)`,
      ],
      ["Energy", `${Math.round(placement.energyKcal)} kcal`],
    ];
    if (placement.cost !== null) rows.push(["Cost", placement.cost.toFixed(2), "from your prices per litre"]);
    fill(
      facts,
      ...rows.map(([name, value, note]) =>
        el(
          "div",
          {},
          el("dt", {}, name),
          el("dd", {}, el("b", {}, value), note ? el("span", {}, note) : null),
        ),
      ),
    );
  };
};
