import type { Bench } from "../bench/types.ts";
import type { ERA_IDS, EVIDENCE_IDS } from "../ids.ts";
import type { CautionId, Ingredient } from "./pantry.ts";
import type { Method, Spec } from "./spec.ts";
import type { TargetSpec } from "./targets.ts";

/** Where a number comes from. `evidence` says how good it is. */
export interface Source {
  id: string;
  /** Its short form, for beside a number. */
  title: string;
  citation: string;
  /** read = we read the number there; quoted = read in a text quoting it; computed = from read formulas; memory = recalled; definition = what the entry is; convention = common practice; estimate = ours. */
  evidence: (typeof EVIDENCE_IDS)[number];
  note?: string;
}

/** Where a spec's proportions come from: an official list, bars of today, or older books. */
export type EraId = (typeof ERA_IDS)[number];

/** What was read somewhere under a name. */
interface Found {
  id: string;
  name: string;
  source: string;
  memory?: boolean;
  note?: string;
}

export interface ReferenceDrink extends Found {
  /** The first is what the drink is; others it may stand for as well. */
  families: string[];
  era: EraId;
  spec: Spec;
}

export interface Family {
  id: string;
  name: string;
  /** One plain sentence. */
  meaning: string;
  /** Sugar and acid go together here, so that the family's region keeps their ratio too. */
  ratio: boolean;
}

/** A drink that common practice calls balanced: what regions are judged by, never made from. */
export interface BalancedDrink {
  id: string;
  family: string;
  spec: Spec;
}

export interface PublishedBand extends Found {
  /** Whose drinks it speaks of: those of a method, or more closely of a family. */
  method: Method;
  family?: string;
  target: TargetSpec;
}

export interface Glass extends Pick<Found, "id" | "name" | "source"> {
  /** To the wash line: the height a finished drink should reach, below the rim. */
  washLineMl: number;
  brimMl: number;
  /** Ice it usually holds when a drink is served on it, mL of ice; 0 for glasses served without. */
  iceMl: number;
}

export interface Caution {
  id: CautionId;
  title: string;
  text: string;
  source: string;
}

export interface ReferenceData {
  pantry: Ingredient[];
  drinks: ReferenceDrink[];
  families: Family[];
  balanced: BalancedDrink[];
  bands: PublishedBand[];
  glasses: Glass[];
  sources: Source[];
  cautions: Caution[];
  demo: Bench;
}
