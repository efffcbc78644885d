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

export interface MethodDefinition {
  name: string;
  meaning: string;
  regression: DilutionQuadratic;
  /** Standard uncertainty of the ratio, absolute. */
  sd: number;
  /** "published" curves come from the citation; "estimate" is ours and wide; "exact" is no ice at all. */
  kind: "published" | "estimate" | "exact";
  source: string;
  /** Usual conditions for the energy balance; null where melting in a vessel is not what happens. */
  conditions: IceConditions | null;
}

const ARNOLD =
  "D. Arnold, Liquid Intelligence (W. W. Norton, 2014), p. 123: regression on measured drinks; equation recalled from memory";

const STIRRED: DilutionQuadratic = { a2: -1.21, a1: 1.246, a0: 0.145 };
const SHAKEN: DilutionQuadratic = { a2: -1.567, a1: 1.742, a0: 0.203 };

const times = (q: DilutionQuadratic, k: number): DilutionQuadratic => ({
  a2: q.a2 * k,
  a1: q.a1 * k,
  a0: q.a0 * k,
});

const between: DilutionQuadratic = {
  a2: (STIRRED.a2 + SHAKEN.a2) / 2,
  a1: (STIRRED.a1 + SHAKEN.a1) / 2,
  a0: (STIRRED.a0 + SHAKEN.a0) / 2,
};

/**
 * Usual conditions, for a drink of about 100 mL. Drained bar ice at 0 °C; a shake of 12–15 s is near
 * equilibrium and stirring falls short of it (D. Arnold's published experiments, 2009–2010). Spirits stand
 * at room temperature, juice and syrup in the cold. The vessel's mass is the part that follows the drink's
 * temperature: about the inner tin of a shaker, and the inner layer of a thick mixing glass. No published
 * measurement of ice wetness or of vessels was found: these are our estimates, chosen as plausible with
 * the regression in sight, so that the two models agree on a usual drink is no evidence for either.
 */
const SHAKER: IceConditions = {
  ingredientTempC: 18,
  iceTempC: 0,
  adherentWaterShare: 0.03,
  iceMassG: 180,
  vesselMassG: 180,
  vesselHeatCapacityJPerGK: 0.5,
  vesselTempC: 20,
  approach: 1,
};

const MIXING_GLASS: IceConditions = {
  ...SHAKER,
  ingredientTempC: 20,
  vesselMassG: 120,
  vesselHeatCapacityJPerGK: 0.8,
  approach: 0.75,
};

/** Every method: what it means, its water from ice, and how well that is known. */
export const METHODS: Readonly<Record<Method, MethodDefinition>> = {
  shaken: {
    name: "Shaken",
    meaning: "shaken hard with ice for 12–15 s and strained",
    regression: SHAKEN,
    sd: 0.05,
    kind: "published",
    source: `${ARNOLD}; uncertainty is our estimate`,
    conditions: SHAKER,
  },
  stirred: {
    name: "Stirred",
    meaning: "stirred with ice for about half a minute and strained",
    regression: STIRRED,
    sd: 0.05,
    kind: "published",
    source: `${ARNOLD}; uncertainty is our estimate`,
    conditions: MIXING_GLASS,
  },
  built: {
    name: "Built",
    meaning: "mixed in the glass on ice, at the first sip; the ice goes on melting",
    // 24 % for spirit-forward drinks is one author's figure (from memory); the stirred curve scaled to it.
    regression: times(STIRRED, 0.54),
    sd: 0.08,
    kind: "estimate",
    source:
      "estimate: the stirred curve scaled to 24 % for a spirit-forward drink (Arnold 2014 p. 125, from memory)",
    conditions: { ...MIXING_GLASS, iceMassG: 150, approach: 0.4 },
  },
  thrown: {
    name: "Thrown",
    meaning: "poured from height between two tins past ice",
    regression: between,
    sd: 0.09,
    kind: "estimate",
    source: "estimate: half way between stirred and shaken",
    conditions: { ...SHAKER, approach: 0.9 },
  },
  blended: {
    name: "Blended",
    meaning: "blended with ice, all of which ends in the glass",
    regression: times(SHAKEN, 1.6),
    sd: 0.2,
    kind: "estimate",
    source:
      "estimate: 1.6 times the shaken curve, as all the ice is drunk; measure or weigh the ice for a better figure",
    conditions: null,
  },
  crushed: {
    name: "On crushed ice",
    meaning: "churned in the glass with crushed ice and served on it",
    regression: times(SHAKEN, 1.1),
    sd: 0.15,
    kind: "estimate",
    source: "estimate: 1.1 times the shaken curve; crushed ice is wet and goes on melting",
    conditions: { ...SHAKER, adherentWaterShare: 0.1, vesselMassG: 120, vesselHeatCapacityJPerGK: 0.8 },
  },
  carbonated: {
    name: "Carbonated",
    meaning: "chilled, then gassed in the bottle; its water is a line of the spec",
    regression: { a2: 0, a1: 0, a0: 0.04 },
    sd: 0.04,
    kind: "estimate",
    source: "estimate: a little melt when poured over ice; no ice while mixing",
    conditions: null,
  },
  none: {
    name: "No ice",
    meaning: "no water from ice",
    regression: { a2: 0, a1: 0, a0: 0 },
    sd: 0,
    kind: "exact",
    source: "by definition",
    conditions: null,
  },
};
