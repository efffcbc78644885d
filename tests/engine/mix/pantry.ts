import type { Ingredient, Pantry } from "../../../engine/types.ts";

/** An ingredient of our own making for tests: composition in %, g/100 mL, with relative doubts. */
export function ingredient(
  id: string,
  parts: {
    abv?: number;
    sucrose?: number;
    glucose?: number;
    citric?: number;
    malic?: number;
    solids?: number;
  } = {},
  more: Partial<Ingredient> = {},
): Ingredient {
  const v = (value: number, sd: number) => ({ value, sd, source: "test" });
  return {
    id,
    name: id,
    role: "other",
    aliases: [],
    abvPercent: v(parts.abv ?? 0, parts.abv ? 0.2 : 0),
    sugarsGPer100Ml: {
      ...(parts.sucrose !== undefined && { sucrose: v(parts.sucrose, parts.sucrose * 0.03) }),
      ...(parts.glucose !== undefined && { glucose: v(parts.glucose, parts.glucose * 0.05) }),
    },
    acidsGPer100Ml: {
      ...(parts.citric !== undefined && { citric: v(parts.citric, parts.citric * 0.08) }),
      ...(parts.malic !== undefined && { malic: v(parts.malic, parts.malic * 0.2) }),
    },
    ...(parts.solids !== undefined && { otherSolidsGPer100Ml: v(parts.solids, parts.solids * 0.1) }),
    ...more,
  };
}

export const rum = ingredient("rum", { abv: 40 });
export const lime = ingredient("lime", { sucrose: 0.6, glucose: 1, citric: 4.5, malic: 1.5 });
export const syrup = ingredient("syrup", { sucrose: 61.483 });
export const liqueur = ingredient("liqueur", { abv: 32, sucrose: 35 });
export const bitters = ingredient("bitters", { abv: 44.7, sucrose: 5 });
export const soda = ingredient("soda", {}, { addAfterDilution: true });
export const egg = ingredient(
  "egg",
  { sucrose: 0.7, solids: 12 },
  {
    densityGPerMl: { value: 1.027, sd: 0.01, source: "test" },
    pieceMl: { value: 32, sd: 3, source: "test" },
    cautions: ["raw-egg"],
  },
);
export const sugar = ingredient(
  "sugar",
  { sucrose: 84.5 },
  { densityGPerMl: { value: 0.845, sd: 0.02, source: "test" } },
);

export const pantry: Pantry = new Map(
  [rum, lime, syrup, liqueur, bitters, soda, egg, sugar].map((i) => [i.id, i]),
);
