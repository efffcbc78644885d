import type { IceConditions, Method } from "../types.ts";

/**
 * Water from ice per mL poured into the mix, as a function of e = mL ethanol / mL poured:
 * a2 e² + a1 e + a0.
 */
export interface DilutionQuadratic {
  a2: number;
  a1: number;
  a0: number;
}

/** The ratio that a curve gives at e, mL per mL poured. */
export function ratioAt({ a2, a1, a0 }: DilutionQuadratic, e: number): number {
  return (a2 * e + a1) * e + a0;
}

/** The drink that a method's usual conditions are stated for, and that its curve was read on. */
export interface ReferenceMix {
  /** mL poured with the ice. */
  pouredMl: number;
  /** Part of its heat capacity that comes from the shelf (spirits), the rest from the cold. */
  shelfShare: number;
  /** Freezing point of the finished drink, °C. */
  freezingC: number;
}

/** One way of mixing and cooling: its curve of water from ice, and what its heat balance starts from. */
export interface MethodDefinition {
  name: string;
  meaning: string;
  regression: DilutionQuadratic;
  /** Standard uncertainty of the ratio, absolute, at 10–50 % vol before ice; see `curveRatioSd` beyond. */
  sd: number;
  /** "published" curves come from the citation; "estimate" is ours and wide; "exact" is no ice at all. */
  kind: "published" | "estimate" | "exact";
  source: string;
  /** Usual conditions; null where melting in a vessel is not what happens. */
  conditions: IceConditions | null;
  /** What the usual conditions are usual for. */
  reference: ReferenceMix;
  /** True when the drink stays on the ice it was mixed with. */
  staysOnIce: boolean;
}

const ARNOLD =
  "D. Arnold, Liquid Intelligence (W. W. Norton, 2014), p. 123: regression on measured drinks; equation recalled from memory";

/**
 * What the published curves have in common. `sd` is our estimate of what one bar's drink may differ from them by:
 * tins, ice wetness, temperatures and hands as they vary between bars move a heat balance by 0.085, and rounds of
 * one practised hand scatter by some 6 % (0.03).
 */
const PUBLISHED = {
  sd: 0.08,
  kind: "published",
  source: `${ARNOLD}; uncertainty is our estimate`,
} as const;

const STIRRED: DilutionQuadratic = { a2: -1.21, a1: 1.246, a0: 0.145 };
const SHAKEN: DilutionQuadratic = { a2: -1.567, a1: 1.742, a0: 0.203 };

/** A curve of k times the water. */
export function times({ a2, a1, a0 }: DilutionQuadratic, k: number): DilutionQuadratic {
  return { a2: a2 * k, a1: a1 * k, a0: a0 * k };
}

const between: DilutionQuadratic = {
  a2: (STIRRED.a2 + SHAKEN.a2) / 2,
  a1: (STIRRED.a1 + SHAKEN.a1) / 2,
  a0: (STIRRED.a0 + SHAKEN.a0) / 2,
};

/**
 * Usual conditions, for a drink of about 100 mL. Drained bar ice at 0 °C; a shake of 12–15 s is near
 * equilibrium and stirring falls short of it (D. Arnold's published experiments, 2009–2010). Spirits, liqueurs
 * and bitters stand on the shelf, the rest in the refrigerator. The vessel's mass is the part that follows the
 * drink's temperature: about the inner tin of a shaker, and the inner layer of a thick mixing glass. No
 * published measurement of ice wetness or of vessels was found: these are our estimates. Ice and vessel are
 * such that a full heat balance at these conditions gives the published curve's water for the usual classics
 * (on average; `tests/published/melt-water.test.ts`), so that the balance is no second witness to the curve
 * and is used only for what differs from the usual.
 */
const SHAKER: IceConditions = {
  shelfTempC: 20,
  fridgeTempC: 5,
  iceTempC: 0,
  adherentWaterShare: 0.03,
  iceMassG: 150,
  vesselMassG: 120,
  vesselHeatCapacityJPerGK: 0.5,
  vesselTempC: 20,
  approach: 1,
};

const MIXING_GLASS: IceConditions = {
  ...SHAKER,
  vesselMassG: 80,
  vesselHeatCapacityJPerGK: 0.8,
  approach: 0.68,
};

/** Means over the classics in reference-data of the method: a sour of about 60 mL spirit, 22 citrus, 22 syrup. */
const SOUR: ReferenceMix = { pouredMl: 100, shelfShare: 0.59, freezingC: -7 };
/** Spirit with a third of fortified wine or liqueur. */
const SPIRIT_FORWARD: ReferenceMix = { pouredMl: 90, shelfShare: 0.72, freezingC: -11.4 };
/** What a long drink starts from: spirit, juice and syrup before the lengthener. */
const LONG: ReferenceMix = { pouredMl: 90, shelfShare: 0.6, freezingC: -7.3 };

/** Methods by which no ice melts in a vessel. */
const NO_MELTING = { conditions: null, reference: SOUR, staysOnIce: false } as const;

/** Every method: what it means, its water from ice, and how well that is known. */
export const METHODS: Readonly<Record<Method, MethodDefinition>> = {
  shaken: {
    name: "Shaken",
    meaning: "shaken hard with ice for 12–15 s and strained",
    regression: SHAKEN,
    ...PUBLISHED,
    conditions: SHAKER,
    reference: SOUR,
    staysOnIce: false,
  },
  stirred: {
    name: "Stirred",
    meaning: "stirred with ice for about half a minute and strained",
    regression: STIRRED,
    ...PUBLISHED,
    conditions: MIXING_GLASS,
    reference: SPIRIT_FORWARD,
    staysOnIce: false,
  },
  built: {
    name: "Built",
    meaning: "mixed in the glass on ice, at the first sip; the ice goes on melting",
    // 24 % for spirit-forward drinks is one author's figure (from memory); the stirred curve scaled to it.
    regression: times(STIRRED, 0.54),
    sd: 0.1,
    kind: "estimate",
    source:
      "estimate: the stirred curve scaled to 24 % for a spirit-forward drink (Arnold 2014 p. 125, from memory)",
    conditions: { ...MIXING_GLASS, approach: 0.5 },
    reference: LONG,
    staysOnIce: true,
  },
  thrown: {
    name: "Thrown",
    meaning: "poured from height between two tins past ice",
    regression: between,
    sd: 0.12,
    kind: "estimate",
    source: "estimate: half way between stirred and shaken",
    conditions: { ...SHAKER, approach: 0.9 },
    reference: SOUR,
    staysOnIce: false,
  },
  blended: {
    name: "Blended",
    meaning: "blended with ice, all of which ends in the glass",
    regression: times(SHAKEN, 1.6),
    sd: 0.25,
    kind: "estimate",
    source:
      "estimate: 1.6 times the shaken curve, as all the ice is drunk; measure or weigh the ice for a better figure",
    ...NO_MELTING,
  },
  crushed: {
    name: "On crushed ice",
    meaning: "churned in the glass with crushed ice and served on it",
    regression: times(SHAKEN, 1.1),
    sd: 0.2,
    kind: "estimate",
    source: "estimate: 1.1 times the shaken curve; crushed ice is wet and goes on melting",
    conditions: { ...SHAKER, adherentWaterShare: 0.1, vesselMassG: 80, vesselHeatCapacityJPerGK: 0.8 },
    reference: SOUR,
    staysOnIce: true,
  },
  carbonated: {
    name: "Carbonated",
    meaning: "chilled, then gassed in the bottle; its water is a line of the spec",
    regression: { a2: 0, a1: 0, a0: 0.04 },
    sd: 0.04,
    kind: "estimate",
    source: "estimate: a little melt when poured over ice; no ice while mixing",
    ...NO_MELTING,
  },
  none: {
    name: "No ice",
    meaning: "no water from ice",
    regression: { a2: 0, a1: 0, a0: 0 },
    sd: 0,
    kind: "exact",
    source: "by definition",
    ...NO_MELTING,
  },
};
