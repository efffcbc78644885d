import { describe, expect, it } from "vitest";
import { abvPercentToMassFraction } from "../../engine/physics/ethanol-water.ts";
import { acidity, coefficients, ingredient, sugars, sugarsSd } from "../reference-data/place-drinks.ts";

/**
 * National food composition tables, read in public copies (see sources.csv): Japan 2020 (MEXT), France 2020
 * (Ciqual), Switzerland v5.3. Figures are g/100 g.
 */

/** Volume of 100 g: ethanol and water by OIML R 22's densities (g/mL by % mass), 0.62 mL for each gram of carbohydrate. */
function perVolume(ethanolG: number, waterG: number, carbohydrateG: number) {
  const share = (100 * ethanolG) / (ethanolG + waterG);
  const [low, high] = DENSITY.filter(([m]) => Math.abs(m - share) <= 5).slice(0, 2) as [
    [number, number],
    [number, number],
  ];
  const density = low[1] + ((share - low[0]) / (high[0] - low[0])) * (high[1] - low[1]);
  const ml = (ethanolG + waterG) / density + 0.62 * carbohydrateG;
  return { abv: (100 * (ethanolG / 0.78924)) / ml, carbohydrate: (100 * carbohydrateG) / ml };
}
/** OIML R 22 at 20 °C, read: % mass and g/mL. */
const DENSITY: [number, number][] = [
  [0, 0.9982],
  [5, 0.98938],
  [10, 0.98185],
  [15, 0.97513],
  [20, 0.96861],
  [25, 0.96163],
  [30, 0.95378],
  [35, 0.94492],
  [40, 0.93515],
  [45, 0.9247],
  [50, 0.91377],
];

describe("the sum of ethanol, water and carbohydrate gives back what labels say", () => {
  it.each([
    ["80-proof spirit (USDA 14037)", 33.4, 66.6, 0, 40],
    ["100-proof spirit (USDA 14533)", 42.5, 57.5, 0, 50],
    ["sherry labelled 18.5 (Swiss)", 14.8, 80.7, 3.6, 18.5],
  ])("%s", (_name, ethanol, water, carbohydrate, label) => {
    expect(Math.abs(perVolume(ethanol, water, carbohydrate).abv - label)).toBeLessThan(0.4);
  });
  it("40 % vol is 33.3 % of mass, by OIML", () => expect(abvPercentToMassFraction(40)).toBeCloseTo(0.333, 3));
});

describe("sweet liqueurs and aromatised wines against the tables", () => {
  it.each([
    ["vermouth-sweet", "JP 16031", 12.1, 71.3, 16.4],
    ["vermouth-dry", "JP 16032", 14.4, 81.7, 3.7],
    ["curacao-dry", "JP 16028", 30.5, 43.1, 26.4],
    ["creme-de-menthe", "JP 16030", 21.4, 41.0, 37.6],
    ["plum-liqueur", "JP 16022", 10.2, 68.9, 20.7],
    ["creme-de-cassis", "FR 1021", 11.6, 47.1, 41.0],
    ["marsala-sweet", "FR 1015", 14.2, 57.7, 27.9],
  ])("%s, %s: strength and sugar within two of our standard deviations", (id, _row, ethanol, water, carb) => {
    const table = perVolume(ethanol, water, carb);
    const { value, sd } = ingredient(id).abvPercent;
    expect(Math.abs(table.abv - value) / sd).toBeLessThan(2);
    expect(Math.abs(table.carbohydrate - sugars(id)) / sugarsSd(id)).toBeLessThan(2);
  });
  it("sake: 12.3–12.5 g of ethanol, 2.3–2.5 of sugars (JP 16001, 16002, 16004)", () => {
    for (const [ethanol, water, carb] of [
      [12.3, 82.4, 4.9],
      [12.3, 83.7, 3.6],
    ] as const) {
      expect(
        Math.abs(perVolume(ethanol, water, carb).abv - ingredient("sake").abvPercent.value),
      ).toBeLessThan(0.5);
    }
    expect(sugars("sake")).toBeCloseTo(2.3, 1);
  });
});

describe("organic acids, total, g/100 g", () => {
  const acidSd = (id: string) => Math.hypot(...Object.values(ingredient(id).acidsGPer100Ml).map((v) => v.sd));
  it.each([
    ["juice-orange", 1.0, 1.1],
    ["juice-grapefruit-white", 1.3, 1.36],
    ["juice-pineapple", 0.6, 0.6],
    ["juice-apple", 0.6, 0.6],
    ["juice-grape", 0.8, 0.8],
    ["juice-tomato", 0.4, 0.4],
    ["juice-passion-fruit", 2.8, 3.0],
    ["puree-raspberry", 1.9, 1.9],
    ["puree-strawberry", 0.8, 0.85],
    ["puree-kiwi", 2.0, 2.0],
    ["wine-white", 0.6, 0.6],
    ["wine-red", 0.5, 0.5],
    ["vinegar-white", 4.2, 5.9],
    ["vinegar-cider", 4.7, 4.7],
    ["vinegar-balsamic", 5.16, 5.6],
  ])("%s: %f–%f, within two and a half standard deviations", (id, low, high) => {
    // As citric, malic, tartaric and acetic acid differ by up to 7 %, and acetic counts 1.07: 8 % of room.
    const ours = acidity(id) / coefficients(id).massG;
    const room = (2.5 * acidSd(id)) / coefficients(id).massG + 0.08 * ours;
    expect(ours).toBeGreaterThan(low - room);
    expect(ours).toBeLessThan(high + room);
  });
  it("lemon: the tables run from 4.1 to 6.7; ours lies inside and shows both ends", () => {
    expect(acidity("juice-lemon")).toBeGreaterThan(4.1);
    expect(acidity("juice-lemon")).toBeLessThan(6.9);
    const others = ingredient("juice-lemon").disagreements!.map((d) => d.source);
    expect(others).toEqual(expect.arrayContaining(["mext-2020", "ciqual-2020"]));
  });
});
