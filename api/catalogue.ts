import { createHash } from "node:crypto";
import { setImmediate } from "node:timers/promises";
import type { z } from "zod";
import {
  createCatalogue as createEngineCatalogue,
  type FlatTarget,
  intersectionOf,
  type LikeSpec,
  type Region,
} from "../engine/catalogue.ts";
import { fail, under } from "../engine/errors.ts";
import { place } from "../engine/place/place.ts";
import { echo } from "../engine/shapes/check.ts";
import { nearestKey } from "../engine/shapes/nearest-key.ts";
import type { Caution, Glass, Pantry, ReferenceData } from "../engine/types.ts";
import type { PlacedDrinkSchema, ProvenanceSchema } from "./schemas/reference.ts";
import type { TargetInput } from "./schemas/target.ts";

type PlacedDrink = z.infer<typeof PlacedDrinkSchema>;

export interface Catalogue {
  pantry: Pantry;
  glasses: Glass[];
  provenance: z.infer<typeof ProvenanceSchema>;
  /** The reference drinks, placed by the regression. */
  drinks(): PlacedDrink[];
  targets(coverage: number): { targets: Region[]; unavailable: UnavailableTarget[] };
  /** Compute the family regions before anyone asks, letting requests in between one and the next. */
  warm(): Promise<void>;
  /** Regions computed from the reference drinks, diluted as `like` is. */
  families(like: LikeSpec): Region[];
  /** The target a request names or spells out, its references diluted as `like` is. */
  resolveTarget(input: TargetInput, pointer: string, like: LikeSpec): FlatTarget;
  cautionsFor(ids: readonly string[]): Caution[];
}

interface UnavailableTarget {
  id: string;
  name: string;
  n: number;
  reason: string;
}

/** The engine's catalogue as the routes need it: by request, with problems that name the nearest id. */
export function createCatalogue(data: ReferenceData, engineVersion: string): Catalogue {
  const engine = createEngineCatalogue(data);
  let drinks: PlacedDrink[] | null = null;

  const requireKnown = (id: string, pointer: string) => {
    if (engine.has(id)) return;
    const short = engine.unavailable.find((u) => u.id === id);
    const nearest = nearestKey(id, engine.ids);
    fail(
      pointer,
      short ? `${id} has no region: ${short.reason}` : `no target has the id ${echo(id)}`,
      nearest && !short ? `did you mean ${nearest}? See GET /v1/targets` : "see GET /v1/targets",
    );
  };

  return {
    pantry: engine.pantry,
    glasses: data.glasses,
    provenance: {
      engine: engineVersion,
      data: createHash("sha256").update(JSON.stringify(data)).digest("hex").slice(0, 16),
    },
    drinks: () =>
      (drinks ??= data.drinks.map((drink, i) => {
        const placed = under(`/drinks/${i}/spec`, () => place(drink.spec, engine.pantry, { doubts: false }));
        const { point, sd, covariance, finishedVolumeMl } = placed;
        return { ...drink, point, sd, covariance, finishedVolumeMl };
      })),
    targets: (coverage) => ({
      targets: engine.view().regions(coverage),
      unavailable: [...engine.unavailable],
    }),
    warm: async () => {
      for (const id of engine.ids) {
        await setImmediate();
        engine.view().region(id);
      }
    },
    families: (like) =>
      engine
        .view(like)
        .regions()
        .filter((region) => region.origin === "reference-drinks"),
    resolveTarget: (input, pointer, like) => {
      // The same requirement twice costs once.
      if ("kind" in input) {
        if (input.kind !== "intersection") return input;
        const { name } = input;
        return { ...intersectionOf(input.parts), ...(name !== undefined && { name }) };
      }
      const named = "id" in input ? [input.id] : input.ids;
      for (const [i, id] of named.entries()) {
        requireKnown(id, "id" in input ? `${pointer}/id` : `${pointer}/ids/${i}`);
      }
      return engine.view(like).target(named, input.coverage, `${pointer}/ids`);
    },
    cautionsFor: (ids) => data.cautions.filter((caution) => ids.includes(caution.id)),
  };
}
