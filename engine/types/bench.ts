import type { ROUND_STATE_IDS } from "../ids.ts";
import type { Spec } from "./spec.ts";

/** Where a round stands. `open`: still being judged. */
export type RoundState = (typeof ROUND_STATE_IDS)[number];

export interface Round {
  id: string;
  number: number;
  /** Round this one was changed from; null for the first. */
  parent: string | null;
  label: string;
  spec: Spec;
  notes?: string;
  /** What was wrong, in the taster's words: "thin", "fruit lost". */
  faults?: string[];
  abandoned?: boolean;
  /** Where it stands; absent: open. */
  state?: RoundState;
}

export interface Bench {
  id: string;
  name: string;
  rounds: Round[];
  /** Id of the round being worked on. */
  current: string;
  target: string;
  invented?: boolean;
  story?: string;
}
