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
import type { Kin, Misfit } from "../engine/kin/kin.ts";
import { place } from "../engine/place/place.ts";
import { echo } from "../engine/shapes/check.ts";
import { nearestKey } from "../engine/shapes/nearest-key.ts";
import type { Caution, Glass, Pantry, ReferenceData, Spec } from "../engine/types.ts";
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
  /** Regions of the families, of all eras together, from references diluted as `like` is. */
  families(like: LikeSpec): Region[];
  /** What a drink is like. */
  kin(spec: Spec, pantry: Pantry): Kin;
  /** Whether it is hardly a member of the family it is to be measured against. */
  misfit(spec: Spec, pantry: Pantry, chosen: string): Misfit | null;
  /** The target a request names or spells out, its references diluted as `spec` is, which may pour the pantry's own. */
  resolveTarget(input: TargetInput, pointer: string, spec: Spec, pantry: Pantry): FlatTarget;
  cautionsFor(ids: readonly string[]): Caution[];
}

/** Named as a target: the family the drink is likeliest of. */
export const LIKELIEST = "likeliest";

interface UnavailableTarget {
  id: string;
  name: string;
  n: number;
  reason: string;
}

/**
 * The engine's catalogue as the routes need it: by request, with problems that name the nearest id.
 *
 * @param regions see the engine's
 */
export function createCatalogue(
  data: ReferenceData,
  engineVersion: string,
  regions?: readonly Region[],
): Catalogue {
  const engine = createEngineCatalogue(data, regions);
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
        .filter(({ id }) => data.families.some((family) => id === `family:${family.id}`)),
    kin: (spec, pantry) => engine.view(spec).kin(spec, pantry),
    misfit: (spec, pantry, chosen) => engine.view(spec).misfit(spec, chosen, pantry),
    resolveTarget: (input, pointer, spec, pantry) => {
      // The same requirement twice costs once.
      if ("kind" in input) {
        if (input.kind !== "intersection") return input;
        const { name } = input;
        return { ...intersectionOf(input.parts), ...(name !== undefined && { name }) };
      }
      const asked = "id" in input ? [input.id] : input.ids;
      const named = asked.map((id) =>
        id === LIKELIEST ? engine.view(spec).kin(spec, pantry).families[0]!.id : id,
      );
      for (const [i, id] of named.entries()) {
        requireKnown(id, "id" in input ? `${pointer}/id` : `${pointer}/ids/${i}`);
      }
      return engine.view(spec).target(named, input.coverage, `${pointer}/ids`);
    },
    cautionsFor: (ids) => data.cautions.filter(({ id }) => ids.includes(id)),
  };
}
