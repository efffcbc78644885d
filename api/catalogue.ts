import { createHash } from "node:crypto";
import { setImmediate } from "node:timers/promises";
import type { z } from "@hono/zod-openapi";
import { toVec } from "../engine/axes.ts";
import { under } from "../engine/errors.ts";
import { place } from "../engine/place/place.ts";
import { familyTarget, SMALLEST_FAMILY } from "../engine/targets/family-target.ts";
import type {
  Caution,
  Family,
  Glass,
  Ingredient,
  Pantry,
  ReferenceData,
  TargetSpec,
} from "../engine/types.ts";
import { nearestKey } from "./nearest.ts";
import { ProblemError } from "./problems.ts";
import type { PlacedDrinkSchema, ProvenanceSchema } from "./schemas/reference.ts";
import { echo } from "./schemas/strict.ts";
import type { TargetEntrySchema, TargetInput } from "./schemas/target.ts";

type PlacedDrink = z.infer<typeof PlacedDrinkSchema>;
type TargetEntry = z.infer<typeof TargetEntrySchema>;
type FlatTarget = z.infer<typeof TargetEntrySchema>["target"];

/** Share of such drinks a family region is meant to hold, when the caller names none. */
export const DEFAULT_COVERAGE = 0.9;

export interface Catalogue {
  pantry: Pantry;
  glasses: Glass[];
  provenance: z.infer<typeof ProvenanceSchema>;
  drinks: PlacedDrink[];
  targets(coverage: number): { targets: TargetEntry[]; unavailable: UnavailableTarget[] };
  /** Compute the family regions before anyone asks, letting requests in between one and the next. */
  warm(): Promise<void>;
  /** The target a request names or spells out. */
  resolveTarget(input: TargetInput, pointer: string): FlatTarget;
  cautionsFor(ids: readonly string[]): Caution[];
}

interface UnavailableTarget {
  id: string;
  name: string;
  n: number;
  reason: string;
}

/** Nested intersections are the same region written flat, which is how the API writes them. */
export function flatten(target: TargetSpec): FlatTarget {
  if (target.kind !== "intersection") return target;
  const parts = target.parts.flatMap((part) => {
    const flat = flatten(part);
    return flat.kind === "intersection" ? flat.parts : [flat];
  });
  return { ...target, parts };
}

/** What the server knows before any request: reference drinks placed once, regions from them. */
export function createCatalogue(data: ReferenceData, engineVersion: string): Catalogue {
  const pantry: Pantry = new Map(data.pantry.map((item: Ingredient) => [item.id, item]));
  const drinks: PlacedDrink[] = data.drinks.map((drink, i) => {
    const placed = under(`/drinks/${i}/spec`, () => place(drink.spec, pantry, { doubts: false }));
    return {
      ...drink,
      point: placed.point,
      sd: placed.sd,
      covariance: placed.covariance,
      finishedVolumeMl: placed.finishedVolumeMl,
    };
  });
  const membersOf = (family: string) => drinks.filter((drink) => drink.families.includes(family));

  const kept = new Map<string, TargetEntry>();
  const familyEntry = (family: Family, coverage: number): TargetEntry => {
    const key = `${family.id} ${coverage.toFixed(2)}`;
    const entry = kept.get(key) ?? computeFamilyEntry(family, coverage);
    kept.set(key, entry);
    return entry;
  };

  const computeFamilyEntry = (family: Family, coverage: number): TargetEntry => {
    const members = membersOf(family.id);
    const region = familyTarget(
      members.map((drink) => toVec(drink.point)),
      coverage,
    );
    return {
      id: `family:${family.id}`,
      name: family.name,
      origin: "reference-drinks",
      meaning: family.meaning,
      target: flatten({ ...region.target, name: family.name }),
      coverage,
      n: region.n,
      members: members.map((drink) => drink.id),
      mean: region.mean,
      covariance: region.covariance,
      method: region.method,
      source: null,
      note: region.note,
    };
  };

  const families = data.families.filter((family) => membersOf(family.id).length >= SMALLEST_FAMILY);
  const unavailable = data.families
    .filter((family) => !families.includes(family))
    .map((family) => {
      const n = membersOf(family.id).length;
      return {
        id: `family:${family.id}`,
        name: family.name,
        n,
        reason: `${n} reference drinks; a region needs at least ${SMALLEST_FAMILY}`,
      };
    });
  const bands: TargetEntry[] = data.bands.map((band) => ({
    id: band.id,
    name: band.name,
    origin: "published",
    meaning: "One author's published band.",
    target: flatten({ ...band.target, name: band.name }),
    coverage: null,
    n: null,
    members: [],
    mean: null,
    covariance: null,
    method: null,
    source: band.source,
    ...(band.memory !== undefined && { memory: band.memory }),
    note: band.note ?? null,
  }));

  const ids = [...families.map((f) => `family:${f.id}`), ...bands.map((b) => b.id)];

  const byId = (id: string, coverage: number, pointer: string): FlatTarget => {
    const band = bands.find((b) => b.id === id);
    if (band) return band.target;
    const family = families.find((f) => `family:${f.id}` === id);
    if (family) return familyEntry(family, coverage).target;
    const short = unavailable.find((u) => u.id === id);
    const nearest = nearestKey(id, ids);
    throw new ProblemError("invalid-request", "unknown target", [
      {
        in: "body",
        pointer: `#${pointer}`,
        detail: short ? `${id} has no region: ${short.reason}` : `no target has the id ${echo(id)}`,
        remedy: nearest && !short ? `did you mean ${nearest}? See GET /v1/targets` : "see GET /v1/targets",
      },
    ]);
  };

  return {
    pantry,
    glasses: data.glasses,
    provenance: {
      engine: engineVersion,
      data: createHash("sha256").update(JSON.stringify(data)).digest("hex").slice(0, 16),
    },
    drinks,
    targets: (coverage) => ({
      targets: [...families.map((family) => familyEntry(family, coverage)), ...bands],
      unavailable,
    }),
    warm: async () => {
      for (const family of families) {
        await setImmediate();
        familyEntry(family, DEFAULT_COVERAGE);
      }
    },
    resolveTarget: (input, pointer) => {
      if ("kind" in input) return input;
      const coverage = input.coverage ?? DEFAULT_COVERAGE;
      if ("id" in input) return byId(input.id, coverage, `${pointer}/id`);
      return flatten({
        kind: "intersection",
        parts: input.ids.map((id, i) => byId(id, coverage, `${pointer}/ids/${i}`)),
      });
    },
    cautionsFor: (ids) => data.cautions.filter((caution) => ids.includes(caution.id)),
  };
}
