import { z } from "zod";
import { INCLUDE_IDS, type IncludeId } from "../answer/lean.ts";

const SAYS: Record<IncludeId, string> = {
  doubts: "doubts: each uncertainty behind a placed drink, and its share",
  kin: "kin: the families it may belong to with their odds, and the nearest classics",
  models: "models: both figures for the melt water, besides the one used",
  paths: "paths: the way of each proposal over the map, move by move",
  placements: "placements: every round placed in full",
  proof: "proof: what the certificate rests on, so that it can be checked without the solver",
};

/** What a request may ask for beyond the lean answer. */
export function includeOf<const I extends IncludeId>(...ids: I[]) {
  const said = ids.map((id) => SAYS[id]).join("; ");
  return z
    .array(z.enum(ids))
    .max(INCLUDE_IDS.length)
    .optional()
    .meta({ description: `More than the lean answer. ${said}.` });
}
