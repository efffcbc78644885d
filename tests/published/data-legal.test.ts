import { describe, expect, it } from "vitest";
import { ACIDS } from "../../engine/physics/acids.ts";
import { acidity, coefficients, data, ingredient, sugars } from "../reference-data/place-drinks.ts";

const CITRIC_G_PER_MEQ = ACIDS.citric.molarMassG / ACIDS.citric.protons / 1000;

const liqueurs = data.pantry.filter((i) => i.role === "liqueur");
/** Sugar as invert, g/L: sucrose takes up water when split, 342.30 g → 360.31 g. */
const invertGPerL = (id: string) => {
  const s = ingredient(id).sugarsGPer100Ml;
  const sucrose = s.sucrose?.value ?? 0;
  return 10 * (sugars(id) - sucrose + (sucrose * 360.31) / 342.3);
};
/** Spirit drinks that law knows by other names than those below. */
const BELOW_SPIRIT_STRENGTH = ["rum-spiced", "shochu-25", "soju-17"];
/** Sold as aperitif, cordial or plum wine below liqueur strength. */
const BELOW_LIQUEUR_STRENGTH = ["aperitif-orange-11", "falernum", "plum-liqueur"];

describe("European Union, Reg. (EC) 110/2008 Annex II cat. 32 (read), carried into Reg. (EU) 2019/787 Annex I cat. 33 (quoted)", () => {
  it.each(liqueurs.map((l) => [l.id, l] as const))(
    "%s: at least 100 g/L of sugar as invert and 15 %% vol",
    (id, l) => {
      expect(invertGPerL(id)).toBeGreaterThanOrEqual(100);
      if (BELOW_LIQUEUR_STRENGTH.includes(id)) expect(l.abvPercent.value).toBeLessThan(15);
      else expect(l.abvPercent.value).toBeGreaterThanOrEqual(15);
    },
  );

  it("crème de …: 250 g/L; cassis 400 g/L; maraschino 24 % vol and 250 g/L; sloe gin 25 % vol (from memory)", () => {
    for (const l of liqueurs.filter((x) => x.id.startsWith("creme-"))) {
      expect(invertGPerL(l.id), l.id).toBeGreaterThanOrEqual(250);
    }
    expect(invertGPerL("creme-de-cassis")).toBeGreaterThanOrEqual(400);
    expect(invertGPerL("maraschino")).toBeGreaterThanOrEqual(250);
    expect(ingredient("maraschino").abvPercent.value).toBeGreaterThanOrEqual(24);
    expect(ingredient("sloe-gin").abvPercent.value).toBeGreaterThanOrEqual(25);
  });

  it("spirits by category, minimum strength: gin, vodka, rum, brandy 37.5 or 36, whisky 40 % vol (from memory)", () => {
    for (const i of data.pantry.filter((x) => x.role === "spirit" && !BELOW_SPIRIT_STRENGTH.includes(x.id))) {
      const least = /whisk|scotch|bourbon|rye/.test(i.id) ? 40 : 37.5;
      expect(i.abvPercent.value, i.id).toBeGreaterThanOrEqual(least);
    }
  });
});

describe("United States", () => {
  it("cordials and liqueurs: at least 2.5 % sugar by weight (Industry Circular 70-10, read)", () => {
    for (const l of liqueurs) {
      const c = coefficients(l.id);
      expect(c.sugarG / c.massG, l.id).toBeGreaterThanOrEqual(0.025);
    }
  });
  it("neutral spirit is bottled at 40 % vol or more (27 CFR 5.142, read)", () => {
    expect(ingredient("vodka").abvPercent.value).toBeGreaterThanOrEqual(40);
  });
  it("label tolerance ± 0.3 % vol (27 CFR 19.356, read): its standard deviation if every value inside is as likely", () => {
    for (const i of data.pantry.filter((x) => x.abvPercent.source === "label-strength")) {
      expect(i.abvPercent.sd).toBeCloseTo(0.3 / Math.sqrt(3), 2);
    }
  });
});

describe("aromatised wines, Reg. (EU) 251/2014 (read): 14.5 to under 22 % vol; sweetness classes", () => {
  const vermouths = ["vermouth-sweet", "vermouth-dry", "vermouth-blanc", "quinquina-blanc"];
  it.each(vermouths)("%s strength", (id) => {
    expect(ingredient(id).abvPercent.value).toBeGreaterThanOrEqual(14.5);
    expect(ingredient(id).abvPercent.value).toBeLessThan(22);
  });
  it("sweet ≥ 130 g/L, dry < 50 g/L and ≥ 16 % vol", () => {
    expect(sugars("vermouth-sweet") * 10).toBeGreaterThanOrEqual(130);
    expect(sugars("vermouth-blanc") * 10).toBeGreaterThanOrEqual(130);
    expect(sugars("vermouth-dry") * 10).toBeLessThan(50);
    expect(ingredient("vermouth-dry").abvPercent.value).toBeGreaterThanOrEqual(16);
  });
  it("brut: under 12 g/L (EU wine labelling, from memory)", () => {
    expect(sugars("wine-sparkling-brut") * 10).toBeLessThan(12);
  });
  it("total acidity 4–6 g/L as tartaric in vermouths (from memory)", () => {
    for (const id of vermouths) {
      const asTartaric = (acidity(id) / CITRIC_G_PER_MEQ) * (150.087 / 2 / 1000) * 10;
      expect(asTartaric, id).toBeGreaterThan(4);
      expect(asTartaric, id).toBeLessThan(6);
    }
  });
});

describe("honey, Codex STAN 12-1981 (from memory)", () => {
  const honey = ingredient("honey");
  const per100G = (gPer100Ml: number) => gPer100Ml / honey.densityGPerMl!.value;
  it("moisture at most 20 %", () => {
    const c = coefficients("honey");
    expect(c.waterG / c.massG).toBeLessThanOrEqual(0.2);
  });
  it("fructose and glucose at least 60 g/100 g, sucrose at most 5", () => {
    const s = honey.sugarsGPer100Ml;
    expect(per100G(s.fructose!.value + s.glucose!.value)).toBeGreaterThanOrEqual(60);
    expect(per100G(s.sucrose!.value)).toBeLessThanOrEqual(5);
  });
  it("acidity at most 50 meq/kg", () => {
    const meqPerKg = (per100G(acidity("honey")) / CITRIC_G_PER_MEQ) * 10;
    expect(meqPerKg).toBeGreaterThan(15);
    expect(meqPerKg).toBeLessThanOrEqual(50);
  });
  it("the means of 490 American honeys (J. W. White Jr. et al., USDA Technical Bulletin 1261, 1962; means read in a text quoting them)", () => {
    const s = honey.sugarsGPer100Ml;
    expect(per100G(s.fructose!.value)).toBeCloseTo(38.19, 1);
    expect(per100G(s.glucose!.value)).toBeCloseTo(31.28, 1);
    expect(per100G(s.sucrose!.value)).toBeCloseTo(1.31, 1);
    expect(per100G(s.maltose!.value)).toBeCloseTo(7.31, 1);
    const c = coefficients("honey");
    expect((c.waterG / c.massG) * 100).toBeCloseTo(17.2, 0);
  });
});
