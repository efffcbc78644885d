import { createCatalogue } from "../../../engine/catalogue.ts";
import { priorOfTarget } from "../../../engine/taste/prior.ts";
import type { TableRecord, Tasting } from "../../../engine/taste/types.ts";
import type { Point } from "../../../engine/types.ts";
import { loadReferenceData } from "../../../reference-data/load.ts";

// An invented table of three: nobody's real tasting.

const data = loadReferenceData();
export const catalogue = createCatalogue(data);
export const { pantry } = catalogue;
export const prior = priorOfTarget(catalogue.view().region("family:sour").target);

export const point = (sugarGPer100Ml: number, acidGPer100Ml: number, abvPercent: number): Point => ({
  sugarGPer100Ml,
  acidGPer100Ml,
  abvPercent,
});

const say = (round: string, taster: string, liking: number, sweet: number, sour: number, strong: number) =>
  ({ round, taster, liking, sweet, sour, strong }) as Tasting;

/** Two rounds, three tasters: first too sweet and flat, then nearly right. */
export const twoRounds: TableRecord = {
  prior,
  rounds: [
    { id: "r1", point: point(10.4, 0.55, 15.2) },
    { id: "r2", point: point(8.4, 0.74, 15.6) },
  ],
  tastings: [
    say("r1", "Invented A", 3, 2, -2, 0),
    say("r1", "Invented B", 4, 1, -1, 0),
    say("r1", "Invented C", 3, 2, -1, -1),
    say("r2", "Invented A", 6, 1, 0, 0),
    say("r2", "Invented B", 7, 0, 0, 0),
    say("r2", "Invented C", 6, 0, -1, -1),
  ],
  comparisons: [{ taster: "Invented B", preferred: "r2", other: "r1" }],
};
