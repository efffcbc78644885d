import { fail, requireAtLeast0 } from "../errors.ts";
import { addWater, type Totals } from "../mix/totals.ts";
import { mixedVolumeMl } from "../mix/volume.ts";
import { WATER_G_PER_ML } from "../physics/ethanol-water.ts";
import { findRoot } from "../physics/find-root.ts";
import type { DilutionChoice } from "../types.ts";

type Measured = Extract<DilutionChoice, { model: "measured" }>;

/**
 * Standard uncertainty of a measured drink when the user gives none: a jug or jigger reads within
 * 2.5 mL, a kitchen scale within 1 g, and a few drops stay on the ice (estimates).
 */
const USUAL_SD_ML = { finishedVolumeMl: 2.5, finishedMassG: 1, waterMl: 2.5 } as const;

/** A way of measuring. */
type Kind = keyof typeof USUAL_SD_ML;
const KINDS = Object.keys(USUAL_SD_ML) as Kind[];

/** A measurement a little under the undiluted drink is read as no water, up to this share of it. */
const UNDER_SHARE = 0.02;

/**
 * Water that was added, in mL, from a measurement of the finished drink, and its standard uncertainty.
 *
 * @param undiluted everything poured, topped lines included (they are in the measured glass)
 * @throws EngineError unless exactly one measurement is given, or if it is less than what was poured
 */
export function measuredWater(undiluted: Totals, choice: Measured): { waterMl: number; sdMl: number } {
  const given = KINDS.flatMap((kind) => {
    const value = choice[kind];
    return value === undefined ? [] : [{ kind, value }];
  });
  const [first, ...more] = given;
  if (!first || more.length > 0) {
    fail("/dilution", `${given.length} measurements were given`, `give exactly one of ${KINDS.join(", ")}`);
  }
  const { kind, value } = first;
  requireAtLeast0(value, `/dilution/${kind}`, "give what you measured");
  const sdMl = choice.sdMl ?? USUAL_SD_ML[kind];
  requireAtLeast0(sdMl, "/dilution/sdMl", "give the uncertainty of the measurement in mL");
  return { waterMl: waterFor(kind, value, undiluted), sdMl };
}

function waterFor(kind: Kind, value: number, undiluted: Totals): number {
  if (kind === "waterMl") return value;
  const poured = kind === "finishedMassG" ? undiluted.massG : mixedVolumeMl(undiluted);
  if (value < poured * (1 - UNDER_SHARE)) {
    const unit = kind === "finishedMassG" ? "g" : "mL";
    fail(
      `/dilution/${kind}`,
      `${value} ${unit} is less than the ${poured.toFixed(1)} ${unit} poured`,
      "check the pours, or measure the whole drink without its ice",
    );
  }
  if (value <= poured) return 0;
  if (kind === "finishedMassG") return (value - poured) / WATER_G_PER_ML;
  const excess = (waterG: number) => {
    const sum = { ...undiluted };
    addWater(sum, waterG);
    return mixedVolumeMl(sum) - value;
  };
  // Water mixed in takes at least nine tenths of its own volume, whatever it meets.
  return findRoot(excess, 0, (value - poured) * 1.5 + 1, 1e-12) / WATER_G_PER_ML;
}
