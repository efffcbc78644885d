import { UNITS } from "../amounts/units.ts";
import { METHODS } from "../dilution/methods.ts";
import type { Pantry, UnitId } from "../types.ts";
import { pantryOf } from "./make.ts";
import type { Card } from "./types.ts";
import { amountWords, ICE_WORDS } from "./words.ts";

/** UN/CEFACT codes of the units that have one. */
const UNIT_CODES: Partial<Record<UnitId, string>> = {
  ml: "MLT",
  cl: "CLT",
  oz: "OZA",
  "imperial-oz": "OZI",
  g: "GRM",
  tsp: "G25",
  tbsp: "G24",
  piece: "C62",
};

/** Media type of a card in JSON. */
export const CARD_MEDIA_TYPE = "application/json";

/**
 * The card as a schema.org Recipe. Ingredients are an ItemList of PropertyValue (name, amount, unit), so that others
 * can scale them; the card itself travels whole as an encoding, so that reading it back is exact.
 */
export function toJsonLd(card: Card, pantry: Pantry): string {
  const { spec, shown, garnish } = card;
  const names = pantryOf(card, pantry);
  const document = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    name: spec.name,
    recipeCategory: "Cocktail",
    cookingMethod: METHODS[spec.method].name,
    ...(card.notes !== undefined && { description: card.notes }),
    recipeYield: {
      "@type": "QuantitativeValue",
      ...(shown && { value: Number(shown.finishedVolumeMl.value.toFixed(1)), unitCode: "MLT" }),
      description: "one drink",
    },
    recipeIngredient: {
      "@type": "ItemList",
      numberOfItems: spec.lines.length,
      itemListElement: spec.lines.map((line, i) => {
        const name = names.get(line.ingredient)?.name ?? line.ingredient;
        const code = UNIT_CODES[line.unit];
        return {
          "@type": "ListItem",
          position: i + 1,
          item: {
            "@type": "PropertyValue",
            name,
            propertyID: line.ingredient,
            value: line.amount,
            ...(code && { unitCode: code }),
            unitText: UNITS[line.unit].label,
            description: `${amountWords(line, shown?.lines[i])} ${name}`,
          },
        };
      }),
    },
    recipeInstructions: instructions(card).map((text) => ({ "@type": "HowToStep", text })),
    ...(spec.glass !== undefined && { tool: { "@type": "HowToTool", name: shown?.glass ?? spec.glass } }),
    ...(garnish !== undefined && { supply: { "@type": "HowToSupply", name: garnish } }),
    ...(shown && {
      nutrition: {
        "@type": "NutritionInformation",
        servingSize: `${shown.finishedVolumeMl.value.toFixed(0)} mL`,
        calories: `${shown.energyKcal.toFixed(0)} kcal`,
        sugarContent: `${((shown.sugarGPer100Ml.value * shown.finishedVolumeMl.value) / 100).toFixed(1)} g`,
      },
    }),
    encoding: { "@type": "MediaObject", encodingFormat: CARD_MEDIA_TYPE, text: JSON.stringify(card) },
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function instructions({ spec, shown, garnish }: Card): string[] {
  const topped = spec.lines.some((line) => line.stage === "top");
  const glass = shown?.glass ?? spec.glass;
  const ice = shown?.servedOn ?? spec.servedOn;
  const into = [glass && ` into a ${glass.toLowerCase()}`, ice && ice !== "none" && ` over ${ICE_WORDS[ice]}`]
    .filter((part) => part)
    .join("");
  return [
    `${METHODS[spec.method].name}: ${METHODS[spec.method].meaning}.`,
    ...(into ? [`Serve${into}.`] : []),
    ...(topped ? ["Add what goes in after the ice."] : []),
    ...(garnish === undefined ? [] : [`Garnish: ${garnish}.`]),
  ];
}
