import type { AcidId, EraId, Role, Source, SugarId } from "../../engine/types.ts";

/** How well a number is known, for a person. */
export const EVIDENCE: Record<Source["evidence"], string> = {
  read: "read at the source",
  quoted: "read where another text quotes it",
  computed: "computed from a formula we read",
  memory: "from memory",
  definition: "what the entry means",
  convention: "common practice, no published source",
  estimate: "our estimate",
};

export const ROLES: Record<Role, string> = {
  spirit: "Spirit",
  liqueur: "Liqueur",
  "fortified-wine": "Fortified and aromatised wine",
  wine: "Wine, beer, cider",
  bitters: "Bitters",
  "sour-juice": "Sour juice",
  "sweet-juice": "Sweet juice and purée",
  syrup: "Syrup and cordial",
  sugar: "Dry sugar",
  acid: "Acid",
  egg: "Egg and foam",
  dairy: "Milk, cream and stand-ins",
  "tea-coffee": "Tea and coffee",
  lengthener: "Soda and other lengtheners",
  other: "Other",
};

export const SUGARS: Record<SugarId, string> = {
  sucrose: "Sucrose",
  glucose: "Glucose",
  fructose: "Fructose",
  maltose: "Maltose",
  lactose: "Lactose",
};

export const ACIDS: Record<AcidId, string> = {
  citric: "Citric acid",
  malic: "Malic acid",
  tartaric: "Tartaric acid",
  lactic: "Lactic acid",
  acetic: "Acetic acid",
  phosphoric: "Phosphoric acid",
  other: "Acids, kind not known, as citric",
};

export const ERAS: Record<EraId, string> = {
  list: "official list",
  modern: "bars of today",
  early: "older books",
};

/** A figure with as many digits as it has meaning. */
export const figure = (x: number): string => String(Number(x.toPrecision(4)));

export const percent = (part: number, whole: number): string =>
  whole === 0 ? "–" : `${Math.round((100 * part) / whole)} %`;
