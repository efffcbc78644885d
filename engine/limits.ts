/*
 * What is let in, and no more: the sizes beyond which input is a slip of the pen or an attack, each written
 * once for whoever checks it (the engine, the API, links, files, the data loader). A limit that belongs to an
 * algorithm stays beside that algorithm.
 */

/** Closed range of a number, with its unit for people. */
export interface Range {
  min: number;
  max: number;
  unit: string;
}

/**
 * What 100 mL of an ingredient can hold. Sugar and acid end just above the densest crystals poured behind a
 * bar: fructose 1.69 g/mL, tartaric acid 1.76 g/mL (handbook densities, from memory); powders by volume
 * included. Density: foam to a dry salt; a heavy syrup is near 1.45.
 */
export const COMPOSITION = {
  abvPercent: { min: 0, max: 100, unit: "% vol" },
  sugarGPer100Ml: { min: 0, max: 170, unit: "g/100 mL" },
  acidGPer100Ml: { min: 0, max: 200, unit: "g/100 mL" },
  otherSolidsGPer100Ml: { min: 0, max: 200, unit: "g/100 mL" },
  densityGPerMl: { min: 0.3, max: 3, unit: "g/mL" },
  pieceMl: { min: 0, max: 10_000, unit: "mL" },
} as const satisfies Record<string, Range>;

/** What the ice balance rests on; each can be set by the user. */
export const ICE_CONDITIONS = {
  /** What stands on the shelf: spirits, liqueurs, bitters, sugar. */
  shelfTempC: { min: -30, max: 80, unit: "°C" },
  /** What is kept cold: juice, syrup, wine, egg, dairy, lengtheners. */
  fridgeTempC: { min: -30, max: 80, unit: "°C" },
  iceTempC: { min: -40, max: 0, unit: "°C" },
  /** Water already on the ice. */
  adherentWaterShare: { min: 0, max: 0.3, unit: "of the ice's mass" },
  iceMassG: { min: 0, max: 100_000, unit: "g" },
  vesselMassG: { min: 0, max: 100_000, unit: "g" },
  vesselHeatCapacityJPerGK: { min: 0, max: 5, unit: "J/(g·K)" },
  vesselTempC: { min: -40, max: 60, unit: "°C" },
  /** 1 = full equilibrium (shaking 12–15 s); stirring reaches less. */
  approach: { min: 0, max: 1, unit: "" },
} as const satisfies Record<string, Range>;

/** Largest amount of one line, in whatever unit it is written: twenty litres in mL. */
export const MOST_AMOUNT = 20_000;
/** A ten-thousandth of a drop is no pour, and below it a drink's percentages lose their meaning. */
export const LEAST_AMOUNT = 0.0001;
/** Largest standard uncertainty of an amount that words gave, percent of it. */
export const MOST_AMOUNT_SD_PERCENT = 200;
/** Any volume or mass of a whole drink, or of a batch of them: mL or g. */
export const MOST_VOLUME_ML = 100_000;

/** Size of a unit no standard defines, mL. */
export const MOST_UNIT_ML = 1000;
/** What such a size may be out by, mL. */
export const MOST_UNIT_SD_ML = 100;

/** Below this step a search over a ladder has no practical meaning and no practical end. */
export const LEAST_STEP_ML = 0.05;
/** Largest step of a ladder, mL. */
export const MOST_STEP_ML = 500;

/** Sugar, acid or ABV named in a target; anything a drink can have lies well inside. */
export const MOST_AXIS_VALUE = 1000;
/** Sugar to acid. */
export const MOST_RATIO = 1000;
/** Share of such drinks that a family's region may be asked to hold; the engine vouches for no more. */
export const COVERAGE = { min: 0.05, max: 0.99 } as const;

/** Drift budget, axis-scale units, below which no pour can be told from none. */
export const LEAST_DRIFT = 0.001;
/** Drift budget, axis-scale units, which all drinks keep. */
export const MOST_DRIFT = 1000;

/** Price of a litre, in any currency. */
export const MOST_PRICE = 1e9;

/** How many of a thing one request, link or file may bring. */
export const MOST = {
  /** Lines of a spec: more than any drink holds. */
  lines: 40,
  /** Rounds of a bench. */
  rounds: 60,
  /** Faults noted of a round. */
  faults: 20,
  /** Parts of a target: more than anyone can read on a map. */
  targetParts: 12,
  /** Additions, locks, bounds or character rules of one question. */
  rules: 24,
  /** Different proposals wanted. */
  proposals: 8,
  /** Ingredients of one's own; more than one drink and its options need. */
  ownIngredients: 40,
  /** Ingredients, or preps, of one's own that come along with a bench. */
  along: 200,
  /** Prices, by ingredient. */
  prices: 200,
  /** Other names of an ingredient. */
  aliases: 20,
  /** Changes in one what-if. */
  changes: 12,
  /** Blind-coded glasses in one flight: the largest of our serving orders. */
  glasses: 8,
  /** Words of one tasting. */
  tastingWords: 30,
  /** Drinks of a menu read together: more than a house pours. */
  menuDrinks: 120,
  /** Records one request may bring to the store. */
  records: 500,
} as const;

/** How long a text may be, in characters. */
export const LONGEST = {
  id: 80,
  name: 120,
  label: 200,
  alias: 80,
  fault: 200,
  source: 200,
  note: 2000,
  question: 300,
  /** A pasted spec. */
  recipe: 4000,
} as const;
