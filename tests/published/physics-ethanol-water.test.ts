import { describe, expect, test } from "vitest";
import {
  abvPercentToMassFraction,
  dilutionWaterMl,
  ETHANOL_DENSITY_20C_KG_PER_M3,
  ethanolWaterDensityKgPerM3,
  ethanolWaterVolumeMl,
  massFractionToAbvPercent,
  WATER_G_PER_ML,
} from "../../engine/physics/ethanol-water.ts";

describe("OIML R 22 (1973), density of ethanol–water", () => {
  /**
   * Grid computed once, outside this repository, from the published formula as given in three independent
   * transcriptions that agree in all 54 coefficients. The transcribers report 38 printed cells of OIML Table I
   * within 0.005 kg/m³. Off 20 °C and inside 0 < p < 1 on purpose: a slip in the C table (13.35 for 13.53 in
   * C(2,4)) passes every test at 20 °C and at the end points.
   */
  const temperatures = [-5, 0, 5, 10, 15.56, 20, 25, 30, 40];
  const grid: [percentMass: number, percentVolume: number, ...densities: number[]][] = [
    [5, 6.2679, 990.81, 991.27, 991.31, 990.98, 990.24, 989.38, 988.15, 986.68, 983.05],
    [10, 12.4404, 984.59, 984.75, 984.51, 983.93, 982.91, 981.85, 980.41, 978.73, 974.78],
    [15, 18.533, 980.22, 979.81, 979.06, 978.02, 976.54, 975.13, 973.33, 971.32, 966.73],
    [20, 24.5453, 976.74, 975.57, 974.16, 972.52, 970.45, 968.61, 966.35, 963.91, 958.51],
    [25, 30.4608, 972.92, 970.98, 968.88, 966.62, 963.93, 961.63, 958.91, 956.02, 949.83],
    [30, 36.2546, 967.84, 965.24, 962.54, 959.73, 956.48, 953.78, 950.63, 947.37, 940.5],
    [35, 41.9039, 961.07, 958.0, 954.85, 951.62, 947.94, 944.92, 941.44, 937.87, 930.5],
    [40, 47.3948, 952.73, 949.34, 945.89, 942.38, 938.39, 935.15, 931.42, 927.64, 919.89],
    [50, 57.8893, 932.89, 929.17, 925.41, 921.59, 917.27, 913.77, 909.77, 905.71, 897.44],
    [60, 67.7436, 911.05, 907.16, 903.22, 899.23, 894.74, 891.1, 886.94, 882.72, 874.11],
    [70, 76.951, 888.19, 884.17, 880.1, 875.99, 871.36, 867.61, 863.34, 859.02, 850.22],
    [80, 85.4885, 864.43, 860.3, 856.14, 851.93, 847.2, 843.39, 839.04, 834.65, 825.68],
    [90, 93.2664, 839.14, 834.95, 830.74, 826.49, 821.72, 817.88, 813.53, 809.13, 800.21],
    [95, 96.794, 825.38, 821.21, 816.99, 812.74, 807.97, 804.14, 799.81, 795.47, 786.72],
    [100, 100, 810.44, 806.22, 801.99, 797.76, 793.03, 789.24, 784.95, 780.65, 771.93],
  ];
  test.each(grid)("%s mass%: %s vol%, and its density from −5 to 40 °C", (mass, volume, ...densities) => {
    expect(massFractionToAbvPercent(mass / 100)).toBeCloseTo(volume, 4);
    densities.forEach((printed, i) => {
      expect(Math.abs(ethanolWaterDensityKgPerM3(mass / 100, temperatures[i]) - printed)).toBeLessThan(
        0.00501,
      );
    });
  });

  test("water: 999.84 at 0 °C, 998.20 at 20 °C, 992.21 at 40 °C, densest near 4 °C at 999.97", () => {
    expect(ethanolWaterDensityKgPerM3(0, 0)).toBeCloseTo(999.84, 2);
    expect(ethanolWaterDensityKgPerM3(0, 20)).toBeCloseTo(998.2, 2);
    expect(ethanolWaterDensityKgPerM3(0, 40)).toBeCloseTo(992.21, 2);
    const near4 = ethanolWaterDensityKgPerM3(0, 4);
    expect(near4).toBeCloseTo(999.97, 2);
    expect(near4).toBeGreaterThan(ethanolWaterDensityKgPerM3(0, 3));
    expect(near4).toBeGreaterThan(ethanolWaterDensityKgPerM3(0, 5));
  });

  test("pure ethanol: 789.24 kg/m³ at 20 °C (R 22), 771.93 at 40 °C", () => {
    expect(ETHANOL_DENSITY_20C_KG_PER_M3).toBeCloseTo(789.24, 2);
    expect(ethanolWaterDensityKgPerM3(1, 40)).toBeCloseTo(771.93, 2);
  });

  // US Bureau of Standards table by weight at 20 °C, g/mL, older than OIML: agrees within 0.00007.
  test.each([
    [0.5, 0.91384],
    [0.6, 0.89113],
    [0.7, 0.86766],
    [0.8, 0.84344],
  ])("US Bureau of Standards, mass fraction %s: %s g/mL", (p, gPerMl) => {
    expect(Math.abs(ethanolWaterDensityKgPerM3(p) / 1000 - gPerMl)).toBeLessThan(0.00007);
  });

  // CRC Handbook 102nd ed., Concentrative Properties: g/mL at 20 °C to four decimals.
  test.each([
    [0.05, 0.9893],
    [0.1, 0.9819],
    [0.15, 0.9752],
    [0.2, 0.9687],
    [0.24, 0.9632],
    [0.3, 0.9539],
    [0.4, 0.9352],
    [0.6, 0.8911],
    [0.8, 0.8436],
  ])("CRC, mass fraction %s: %s g/mL", (p, gPerMl) => {
    // CRC's printed last place departs from OIML by up to 0.0002 (0.8436 for OIML's 0.8434).
    expect(Math.abs(ethanolWaterDensityKgPerM3(p) / 1000 - gPerMl)).toBeLessThan(0.00022);
  });

  // USDA Standard Reference 26, item 14037: an 80-proof spirit holds 66.60 g of water in 100 g.
  test("USDA: 40 % vol is 33.4 % ethanol by mass, within the rounding of a food table", () => {
    expect(100 * abvPercentToMassFraction(40)).toBeCloseTo(33.3, 1);
    expect(Math.abs(100 * (1 - abvPercentToMassFraction(40)) - 66.6)).toBeLessThan(0.15);
  });

  test.each([
    [40, 33.2996, 948.0452],
    [43, 35.9865, 943.0565],
    [44.7, 37.5277, 940.0786],
    [57, 49.1282, 915.6993],
    [75.5, 68.3755, 871.4758],
    [96, 93.8384, 807.4196],
    [5, 3.9818, 991.0552],
  ])("%s vol% is %s mass%, %s kg/m³ (computed from R 22)", (volume, mass, density) => {
    const p = abvPercentToMassFraction(volume);
    expect(100 * p).toBeCloseTo(mass, 4);
    expect(ethanolWaterDensityKgPerM3(p)).toBeCloseTo(density, 3);
  });
});

describe("mixing spirit and water, by mass balance and R 22", () => {
  const massOf = (ml: number, abv: number) => {
    const p = abvPercentToMassFraction(abv);
    const g = (ml * ethanolWaterDensityKgPerM3(p)) / 1000;
    return { ethanol: g * p, water: g * (1 - p) };
  };
  test.each([
    [60, 40, 20, 79.8698, 30.0489],
    [60, 40, 40, 99.889, 24.0267],
    [50, 40, 50, 99.9564, 20.0087],
    [50, 96, 50, 96.9607, 49.5046],
    [50, 100, 50, 96.4627, 51.8335],
  ])("%s mL of %s vol% and %s mL water contract to %s mL at %s vol%", (ml, abv, water, volume, mixed) => {
    const m = massOf(ml, abv);
    const v = ethanolWaterVolumeMl(m.ethanol, m.water + water * WATER_G_PER_ML);
    expect(v).toBeCloseTo(volume, 4);
    expect(v).toBeLessThan(ml + water);
    expect((ml * abv) / v).toBeCloseTo(mixed, 4);
  });

  test("100 mL of 30 % vol and 50 mL of water expand, to 150.0980 mL at 19.9869 % vol", () => {
    const m = massOf(100, 30);
    const v = ethanolWaterVolumeMl(m.ethanol, m.water + 50 * WATER_G_PER_ML);
    expect(v).toBeGreaterThan(150);
    expect(v).toBeCloseTo(150.098, 4);
    expect(3000 / v).toBeCloseTo(19.9869, 4);
  });

  test.each([
    [60, 40, 513.88],
    [50, 40, 255.37],
    [55, 40, 384.29],
    [70, 40, 774.91],
    [80, 45, 812.49],
    [95, 40, 1442.82],
    [96, 40, 1470.53],
    [96, 50, 980.22],
  ])("1000 mL from %s to %s vol% takes %s mL of water", (from, to, water) => {
    expect(dilutionWaterMl(1000, from, to)).toBeCloseTo(water, 2);
  });
});
