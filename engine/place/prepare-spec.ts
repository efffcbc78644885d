import { DEFAULT_UNIT_SETTINGS, toVolumeMl, UNITS } from "../amounts/units.ts";
import { createMixModel, type Finished, type MixModel } from "../dilution/model.ts";
import { EngineError, type FieldIssue, fail } from "../errors.ts";
import { coefficientsOf, isDrySolid } from "../mix/coefficients.ts";
import { SMALLEST_POUR_ML } from "../mix/totals.ts";
import type { DoubtSource, Ingredient, Pantry, Spec, SpecLine, Stage, UnitSettings } from "../types.ts";

/** What amounts are read by. */
export interface PrepareOptions {
  unitSettings?: UnitSettings;
}

/** A spec in mL, with the model that places it. */
export interface PreparedSpec {
  model: MixModel;
  /** One per line, in order. */
  volumesMl: readonly number[];
  /** Standard uncertainty of each line's volume. */
  volumeSdsMl: readonly number[];
  /**
   * Whose doubt each line's volume carries: lines with the same source err together (all dashes are
   * too big at once), except "pour", the hand's own error, which is fresh for each line.
   */
  volumeDoubts: readonly DoubtSource[];
}

/**
 * Standard uncertainty of a poured measure (estimate): a quarter of a mL of drops and meniscus, and
 * 2 % of the amount for jigger and hand. Weighed lines: 0.1 g of scale. A powder's volume carries the doubt
 * of its packing; its weight does not.
 */
const POUR_SD_ML = 0.25;
const POUR_SD_SHARE = 0.02;
const SCALE_SD_G = 0.1;

/**
 * Read a spec against a pantry: amounts to mL, each line to its ingredient and stage.
 *
 * @throws EngineError naming every bad line at once: unknown ingredient, bad amount or unit
 */
export function prepareSpec(spec: Spec, pantry: Pantry, options: PrepareOptions = {}): PreparedSpec {
  if (spec.lines.length === 0) fail("/lines", "the spec has no lines", "give at least one ingredient");
  const settings = options.unitSettings ?? DEFAULT_UNIT_SETTINGS;
  const issues: FieldIssue[] = [];
  const items: { ingredient: Ingredient; stage: Stage }[] = [];
  const volumesMl: number[] = [];
  const volumeSdsMl: number[] = [];
  const volumeDoubts: DoubtSource[] = [];
  spec.lines.forEach((line, i) => {
    try {
      const ingredient = pantry.get(line.ingredient) ?? failUnknown(line, i);
      const volume = lineVolume(line, i, ingredient, settings);
      volumesMl.push(volume.ml);
      volumeSdsMl.push(volume.sdMl);
      volumeDoubts.push(volume.doubt);
      items.push({ ingredient, stage: line.stage ?? (ingredient.addAfterDilution ? "top" : "mix") });
    } catch (error) {
      if (!(error instanceof EngineError)) throw error;
      issues.push(...error.issues);
    }
  });
  if (issues.length > 0) throw new EngineError(issues);
  if (!volumesMl.some((v) => v >= SMALLEST_POUR_ML)) {
    fail("/lines", "nothing is poured", "give at least one line an amount above zero");
  }
  const model = createMixModel(items, spec.method, spec.dilution, volumesMl);
  return { model, volumesMl, volumeSdsMl, volumeDoubts };
}

/** The finished drink of a spec. Errors as `prepareSpec`. */
export function finishSpec(spec: Spec, pantry: Pantry, options?: PrepareOptions): Finished {
  const { model, volumesMl } = prepareSpec(spec, pantry, options);
  return model.finish(volumesMl);
}

function failUnknown(line: SpecLine, i: number): never {
  const remedy = "choose an ingredient of the pantry, or add it with its sugar, acid and ABV";
  fail(`/lines/${i}/ingredient`, `"${line.ingredient}" is not in the pantry`, remedy);
}

/** Volume of one line of a spec, mL, its standard uncertainty, and whose doubt that is. `i`: its place, for errors. */
export function lineVolume(
  line: SpecLine,
  i: number,
  ingredient: Ingredient,
  settings: UnitSettings = DEFAULT_UNIT_SETTINGS,
) {
  const pointer = `/lines/${i}/${Object.hasOwn(UNITS, line.unit) ? "amount" : "unit"}`;
  const volume = toVolumeMl(line.amount, line.unit, { settings, ingredient, pointer });
  const { sdMl: handSdMl, doubt } = handDoubt(line, volume, ingredient);
  const { ml } = volume;
  const { amountSdPercent = 0 } = line;
  const sdMl = amountSdPercent === 0 ? handSdMl : Math.hypot(handSdMl, (ml * amountSdPercent) / 100);
  /** `handSdMl`: without what the spec says of its present amount, which holds for that amount alone. */
  return { ml, sdMl, handSdMl, doubt };
}

/** The doubt of a line's volume as the unit and the hand have it. */
function handDoubt(
  line: SpecLine,
  { ml, sdMl }: { ml: number; sdMl: number },
  ingredient: Ingredient,
): { sdMl: number; doubt: DoubtSource } {
  switch (line.unit) {
    case "barspoon":
    case "dash":
    case "drop":
      return { sdMl, doubt: { kind: "unit", unit: line.unit } };
    case "piece":
      return { sdMl, doubt: { kind: "piece", ingredient: ingredient.id } };
    case "g": {
      const scaleMl = line.amount > 0 ? (SCALE_SD_G * ml) / line.amount : 0;
      return {
        sdMl: Math.hypot(sdMl, scaleMl),
        doubt: sdMl > scaleMl ? { kind: "density", ingredient: ingredient.id } : { kind: "pour" },
      };
    }
    default:
      return {
        sdMl: ml > 0 ? Math.hypot(POUR_SD_ML, POUR_SD_SHARE * ml, packingSdShare(ingredient) * ml) : 0,
        doubt: { kind: "pour" },
      };
  }
}

/** A powder by volume: how loosely it lies decides how much of it is there. 0 for liquids. */
function packingSdShare(ingredient: Ingredient): number {
  const density = ingredient.densityGPerMl;
  return density !== undefined && isDrySolid(coefficientsOf(ingredient)) ? density.sd / density.value : 0;
}
