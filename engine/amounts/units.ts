import { fail, requireFinite } from "../errors.ts";
import { coefficientsOf, densityOf, isDrySolid } from "../mix/coefficients.ts";
import type { Ingredient, SpecLine, UnitId, UnitSettings } from "../types.ts";

/**
 * US fluid ounce: 231 in³ / 128, with 1 in = 2.54 cm (NIST Handbook 44, Appendix C). The US spoons are
 * its sixth and its half; the imperial ounce is 4.54609 L / 160. All four are exact by definition.
 */
export const US_OZ_ML = 29.5735295625;

/** Millilitres in one of each unit that a standard defines. Exact. */
export const ML_PER_UNIT = {
  ml: 1,
  cl: 10,
  oz: US_OZ_ML,
  "imperial-oz": 28.4130625,
  tsp: US_OZ_ML / 6,
  tbsp: US_OZ_ML / 2,
} as const satisfies Partial<Record<UnitId, number>>;

const STANDARD_UNITS: ReadonlySet<string | null> = new Set(Object.keys(ML_PER_UNIT));
/** Whether a standard defines the unit's size. */
export const isStandard = (unit: UnitId | null): unit is keyof typeof ML_PER_UNIT => STANDARD_UNITS.has(unit);

/**
 * Sizes no standard defines. Common practice, no published source (recalled): a bar spoon is sold as
 * 5 mL but 2.5 mL ones exist (a uniform doubt over 2.5–5 has sd 0.72); a dash runs 0.6–0.9 mL with the
 * bottle and its fill; 20 drops to the millilitre is the dispensing convention for water.
 */
export const DEFAULT_UNIT_SETTINGS: UnitSettings = {
  barspoonMl: 5,
  barspoonSdMl: 0.75,
  dashMl: 0.8,
  dashSdMl: 0.15,
  dropMl: 0.05,
  dropSdMl: 0.01,
  partMl: 30,
};

/** A unit in words. */
export interface UnitDefinition {
  label: string;
  plural: string;
  /** What one of it is, in words. */
  definition: string;
  source: string;
  /** True when a standard fixes its size; false when it is a convention that can be set. */
  exact: boolean;
}

const HB44 = "NIST Handbook 44, Appendix C";
const SI = "SI";
const CONVENTION = "common practice, no published source";

/** A unit that a standard defines; its label has no other plural. */
const standard = (label: string, definition: string, source: string): UnitDefinition => {
  return { label, plural: label, definition, source, exact: true };
};
/** A unit whose size anyone can set. */
const usual = (label: string, plural: string, definition: string, source = CONVENTION): UnitDefinition => {
  return { label, plural, definition, source, exact: false };
};

/** Every unit a spec line may use. */
export const UNITS: Readonly<Record<UnitId, UnitDefinition>> = {
  ml: standard("mL", "millilitre", SI),
  cl: standard("cl", "10 mL", SI),
  oz: standard("oz", "US fluid ounce, 29.5735295625 mL", HB44),
  "imperial-oz": standard(
    "imperial oz",
    "imperial fluid ounce, 28.4130625 mL (1/160 of the 4.54609 L gallon)",
    "UK Weights and Measures Act 1985 (from memory)",
  ),
  tsp: standard("tsp", "US teaspoon, 1/6 US fl oz = 4.92892159375 mL", HB44),
  tbsp: standard("tbsp", "US tablespoon, 1/2 US fl oz = 14.78676478125 mL", HB44),
  barspoon: usual("bar spoon", "bar spoons", "5 mL unless you set your own; some spoons hold 2.5 mL"),
  dash: usual("dash", "dashes", "0.8 mL unless you set your own; 0.6 to 0.9 mL with the bottle"),
  drop: usual("drop", "drops", "0.05 mL unless you set your own"),
  part: usual("part", "parts", "30 mL unless you set your own; only the proportions matter for balance"),
  g: standard("g", "gram, turned into mL through the ingredient's density at 20 °C", SI),
  piece: usual(
    "piece",
    "pieces",
    "one egg white, the juice of one lime: the size is the ingredient's own",
    "the ingredient's pantry entry",
  ),
};

/** An amount in its unit. */
export type Amount = Pick<SpecLine, "amount" | "unit">;

export interface AmountContext {
  settings?: UnitSettings;
  /** Needed for `g` (density) and `piece` (size). */
  ingredient?: Ingredient | undefined;
  /** JSON pointer of the amount, for errors. */
  pointer?: string;
}

interface UnitSize {
  ml: number;
  /** Standard uncertainty of the size of one unit; a spoon's error is the same in every spoonful. */
  sdMl: number;
}

function sizeOf(unit: UnitId, ctx: AmountContext): UnitSize {
  const settings = ctx.settings ?? DEFAULT_UNIT_SETTINGS;
  const pointer = ctx.pointer ?? "/unit";
  const { ingredient } = ctx;
  if (isStandard(unit)) return { ml: ML_PER_UNIT[unit], sdMl: 0 };
  switch (unit) {
    case "barspoon":
      return { ml: settings.barspoonMl, sdMl: settings.barspoonSdMl };
    case "dash":
      return { ml: settings.dashMl, sdMl: settings.dashSdMl };
    case "drop":
      return { ml: settings.dropMl, sdMl: settings.dropSdMl };
    case "part":
      return { ml: settings.partMl, sdMl: 0 };
    case "g": {
      if (!ingredient) fail(pointer, "grams need an ingredient's density", "name the ingredient, or use mL");
      const density = densityOf(ingredient);
      // A powder's grams are its sugar or acid whatever air lies between the grains: nothing is lost on the way.
      const densitySd = isDrySolid(coefficientsOf(ingredient)) ? 0 : (ingredient.densityGPerMl?.sd ?? 0);
      return { ml: 1 / density, sdMl: densitySd / density ** 2 };
    }
    case "piece": {
      const size = ingredient?.pieceMl;
      if (!size) {
        const name = ingredient?.name ?? "this ingredient";
        fail(pointer, `the pantry has no size for one piece of ${name}`, "give the amount in mL, oz or g");
      }
      return { ml: size.value, sdMl: size.sd };
    }
    default:
      return fail(pointer, `unknown unit "${String(unit)}"`, `use one of ${Object.keys(UNITS).join(", ")}`);
  }
}

/** Size of one unit in mL; throws EngineError when the size is unknown, zero or not finite. */
function usableSize(unit: UnitId, ctx: AmountContext): UnitSize {
  const size = sizeOf(unit, ctx);
  if (!(size.ml > 0 && Number.isFinite(size.ml) && size.sdMl >= 0 && Number.isFinite(size.sdMl))) {
    fail(
      ctx.pointer ?? "/unit",
      `the size of one ${UNITS[unit].label} is ${size.ml} mL ± ${size.sdMl} mL`,
      "set a size above zero and an uncertainty of zero or more",
    );
  }
  return size;
}

/**
 * Volume in mL at 20 °C of `amount` of `unit`, and the standard uncertainty that comes from the unit
 * itself (0 for units a standard defines; the hand's own pouring error is not included).
 * Throws EngineError on a negative or non-finite amount and on a unit whose size is not known.
 */
export function toVolumeMl(amount: number, unit: UnitId, ctx: AmountContext = {}): UnitSize {
  const pointer = ctx.pointer ?? "/amount";
  requireFinite(amount, pointer);
  if (amount < 0) fail(pointer, `the amount is negative (${amount})`, "give zero or more");
  const size = usableSize(unit, ctx);
  return {
    ml: requireFinite(amount * size.ml, pointer),
    sdMl: requireFinite(amount * size.sdMl, pointer),
  };
}

/** Amount in `unit` that makes `ml` mL; the inverse of `toVolumeMl`. Negative volumes (changes) pass through. */
export function fromVolumeMl(ml: number, unit: UnitId, ctx: AmountContext = {}): number {
  const pointer = ctx.pointer ?? "/volumeMl";
  return requireFinite(requireFinite(ml, pointer) / usableSize(unit, ctx).ml, pointer);
}
