import { METHODS } from "./dilution/methods.ts";
import { fail, under } from "./errors.ts";
import { ERA_IDS, METHOD_IDS } from "./ids.ts";
import { type KinBook, kinBook, kinOf, misfitOf } from "./kin/kin.ts";
import { addScaledMat3, rescale3 } from "./linalg.ts";
import { once, onceFor } from "./once.ts";
import { finishSpec } from "./place/prepare-spec.ts";
import { specDoubt } from "./place/spec-doubt.ts";
import { chiSquareQuantile } from "./stats.ts";
import { compileTarget } from "./targets/compile-target.ts";
import {
  type FamilyMember,
  familyTarget,
  SMALLEST_FAMILY,
  usualCovariance,
} from "./targets/family-target.ts";
import {
  BAND_MEANING,
  bandNote,
  familyName,
  NEAR_METHOD,
  nearMeaning,
  nearName,
  tooFew,
} from "./targets/words.ts";
import type {
  DilutionChoice,
  EraId,
  Family,
  Mat3,
  Pantry,
  PublishedBand,
  ReferenceData,
  ReferenceDrink,
  Spec,
  TargetSpec,
  Vec3,
} from "./types.ts";

/** Share of such drinks a family region is meant to hold, unless the caller names another. */
export const USUAL_COVERAGE = 0.9;

/** A reference drink where the model puts it: (sugar, acid, ABV), axis units. */
export interface PlacedReference {
  drink: ReferenceDrink;
  point: Vec3;
}

/** The same, with what its own spec leaves open. */
type Member = PlacedReference & FamilyMember;

type Intersection = Extract<TargetSpec, { kind: "intersection" }>;
type Single = Exclude<TargetSpec, Intersection>;

/** A target with no intersection inside an intersection. */
export type FlatTarget = Single | (Omit<Intersection, "parts"> & { parts: Single[] });

/** A region one can aim for, and what is known of where it came from. */
export interface Region {
  /** "family:sour", "family:sour:modern", "near:daiquiri", or a band's own id. */
  id: string;
  name: string;
  origin: "reference-drinks" | "published";
  meaning: string;
  target: FlatTarget;
  coverage: number | null;
  n: number | null;
  /** Ids of the drinks it was made from. */
  members: string[];
  mean: Vec3 | null;
  covariance: Mat3 | null;
  method: string | null;
  /** Id of the source; null where it was computed here. */
  source: string | null;
  memory?: boolean;
  note: string | null;
}

/** What decides where the references sit: how the user's own drink takes its water. */
export type LikeSpec = Pick<Spec, "method" | "dilution">;

/** The references and the regions made from them, all diluted in one way. */
export type CatalogueView = Readonly<ReturnType<typeof createView>>;

export type Catalogue = Readonly<ReturnType<typeof createCatalogue>>;

/** "near:daiquiri": a region about one reference drink. */
const NEAR = "near:";

/** Views kept: a person compares a few ways of diluting, a server must not keep all that anyone sends. */
const KEPT_VIEWS = 8;

/** A family, in all or of one era: whose drinks a region is made from. */
interface Kind {
  id: string;
  family: Family;
  era: EraId | null;
}

/**
 * The reference drinks and the regions made from them; nothing is placed before it is asked for.
 *
 * @param regions those of the usual view, made before from the same data, so as not to make them again
 */
export function createCatalogue(
  data: Pick<ReferenceData, "pantry" | "drinks" | "families" | "bands">,
  regions: readonly Region[] = [],
) {
  const pantry: Pantry = new Map(data.pantry.map((item) => [item.id, item]));
  const sizeOf = (kind: Kind) => data.drinks.filter((drink) => isOf(kind, drink)).length;
  const all = data.families.map((family): Kind => ({ id: `family:${family.id}`, family, era: null }));
  const ofEras = data.families.flatMap((family) =>
    ERA_IDS.map((era): Kind => ({ id: `family:${family.id}:${era}`, family, era })),
  );
  const kinds = [...all, ...ofEras].filter((kind) => sizeOf(kind) >= SMALLEST_FAMILY);
  const unavailable = all
    .filter((kind) => !kinds.includes(kind))
    .map((kind) => {
      const n = sizeOf(kind);
      return { id: kind.id, name: kind.family.name, n, reason: tooFew(n, SMALLEST_FAMILY) };
    });
  const ids = [...kinds.map((kind) => kind.id), ...data.bands.map((band) => band.id)];
  const known = new Set([...ids, ...data.drinks.map((drink) => `${NEAR}${drink.id}`)]);
  const views = new Map<string, CatalogueView>();
  const keyOf = (dilutionOf: DilutionOf) => JSON.stringify(METHOD_IDS.map(dilutionOf));
  const usual = keyOf(sharedDilution(undefined));
  const book = once(() => kinBook(data.families, data.drinks, pantry));

  return {
    pantry,
    unavailable,
    /** Ids of every listed region; beside them "near:" and the id of any reference drink stands for one. */
    ids,
    has: (id: string) => known.has(id),
    /**
     * References diluted as the user's drink is: by the same model with the same calibration, and, where they
     * are mixed by the same method, on the same ice. So a change of model moves the drink and the regions
     * together. A measured glass is a fact about that glass: the references then keep the regression.
     */
    view: (like?: LikeSpec): CatalogueView => {
      const dilutionOf = sharedDilution(like);
      const key = keyOf(dilutionOf);
      const kept = views.get(key);
      views.delete(key);
      const made = key === usual ? regions : [];
      const view = kept ?? createView(data, pantry, kinds, book, dilutionOf, made);
      views.set(key, view);
      if (views.size > KEPT_VIEWS) views.delete(views.keys().next().value!);
      return view;
    },
  };
}

function isOf({ family, era }: Kind, drink: ReferenceDrink): boolean {
  return drink.families.includes(family.id) && (era === null || drink.era === era);
}

type DilutionOf = (method: Spec["method"]) => DilutionChoice | undefined;

/** How a reference of each method is diluted when the user's drink is diluted like this. */
function sharedDilution(like: LikeSpec | undefined): DilutionOf {
  const choice = like?.dilution;
  if (choice === undefined || choice.model === "measured") return () => undefined;
  const { calibration } = choice;
  const shared = calibration ? { calibration } : {};
  if (choice.model === "regression") return () => calibration && { model: "regression", calibration };
  return (method) => {
    if (METHODS[method].conditions === null) return { model: "regression", ...shared };
    return method === like?.method ? choice : { model: "energy", ...shared };
  };
}

function createView(
  data: Pick<ReferenceData, "drinks" | "bands">,
  pantry: Pantry,
  kinds: readonly Kind[],
  book: () => KinBook,
  dilutionOf: DilutionOf,
  made: readonly Region[],
) {
  const dilutedSpec = ({ spec }: ReferenceDrink): Spec => ({ ...spec, dilution: dilutionOf(spec.method) });
  const references = once(() =>
    data.drinks.map((drink, i) =>
      under(`/drinks/${i}/spec`, () => ({ drink, point: finishSpec(dilutedSpec(drink), pantry).point })),
    ),
  );
  const doubtOf = onceFor((drink: ReferenceDrink) => ({ doubt: specDoubt(dilutedSpec(drink), pantry) }));
  const asMember = (reference: PlacedReference): Member => ({ ...reference, ...doubtOf(reference.drink) });
  const membersOf = (kind: Kind) =>
    references()
      .filter(({ drink }) => isOf(kind, drink))
      .map(asMember);

  const keyOf = (id: string, coverage: number | null) => `${id} ${coverage}`;
  const kept = new Map(made.map((region) => [keyOf(region.id, region.coverage), region]));
  const kindRegion = (kind: Kind, coverage: number): Region => {
    const key = keyOf(kind.id, coverage);
    const region = kept.get(key) ?? regionOfKind(kind, coverage, membersOf(kind));
    kept.set(key, region);
    return region;
  };
  const bandRegion = (band: PublishedBand) => regionOfBand(band, references());

  const region = (id: string, coverage = USUAL_COVERAGE, pointer = "/id"): Region => {
    const band = data.bands.find((b) => b.id === id);
    if (band) return bandRegion(band);
    const kind = kinds.find((k) => k.id === id);
    if (kind) return kindRegion(kind, coverage);
    const near = references().find(({ drink }) => id === `${NEAR}${drink.id}`);
    if (!near) fail(pointer, `no target has the id ${id}`, "choose one of the families, bands or classics");
    const family = kinds.find((k) => k.era === null && k.family.id === near.drink.families[0]);
    return regionNear(asMember(near), family ? kindRegion(family, coverage) : null, coverage);
  };

  return {
    get references(): readonly PlacedReference[] {
      return references();
    },
    /** The drinks a family's region is made from ("family:sour", "family:sour:modern"); none for other ids. */
    members: (id: string) => kinds.filter((kind) => kind.id === id).flatMap(membersOf),
    /** Regions of every family with drinks enough, in all and by era, then the published bands. */
    regions: (coverage = USUAL_COVERAGE) => [
      ...kinds.map((kind) => kindRegion(kind, coverage)),
      ...data.bands.map(bandRegion),
    ],
    /** One region, "near:…" included. @throws EngineError at `pointer` for an id there is none of */
    region,
    /** What a drink is like. `own` where it pours the user's own. @throws EngineError for a spec that cannot be placed */
    kin: (spec: Spec, own = pantry) => kinOf(spec, own, references(), book()),
    /** Whether it is hardly a member of the family whose region is named, and what tells; null when it fits. */
    misfit: (spec: Spec, chosen: string, own = pantry) => misfitOf(spec, own, references(), book(), chosen),
    /** Inside every one of them: an id given twice counts once, a lone one stands for itself. */
    target: (wanted: readonly string[], coverage?: number, pointer = "") =>
      intersectionOf(wanted.map((id, i) => region(id, coverage, `${pointer}/${i}`).target)),
  };
}

function regionOfKind({ id, family, era }: Kind, coverage: number, members: readonly Member[]): Region {
  const made = familyTarget(members, coverage, { ratio: family.ratio });
  const name = familyName(family.name, era);
  return {
    ...computed(id, name, made.target, coverage),
    meaning: family.meaning,
    n: made.n,
    members: members.map(({ drink }) => drink.id),
    mean: made.mean,
    covariance: made.covariance,
    method: made.method,
    note: made.note,
  };
}

/** Share of its family's spread within which a drink is near one classic: a stricter thing than being its kin. */
const NEAR_SHARE = 0.5;

function regionNear({ drink, point, doubt }: Member, family: Region | null, coverage: number): Region {
  const spread = rescale3(family?.covariance ?? usualCovariance(point), [NEAR_SHARE, NEAR_SHARE, NEAR_SHARE]);
  const covariance = doubt ? addScaledMat3(spread, 1, doubt) : spread;
  const radius = Math.sqrt(chiSquareQuantile(coverage, 3));
  const target = { kind: "ellipsoid", mean: point, covariance, radius } as const;
  return {
    ...computed(`${NEAR}${drink.id}`, nearName(drink.name), target, coverage),
    meaning: nearMeaning(drink.name),
    n: 1,
    members: [drink.id],
    mean: point,
    covariance,
    method: NEAR_METHOD,
    note: null,
  };
}

function computed(id: string, name: string, target: TargetSpec, coverage: number) {
  const percent = coverage === USUAL_COVERAGE ? "" : ` (${Math.round(coverage * 100)} %)`;
  // Each part carries the name, so that the region keeps it inside an intersection with others.
  const named = (part: TargetSpec): TargetSpec => ({
    ...part,
    name: `${name}${percent}`,
    ...(part.kind === "intersection" ? { parts: part.parts.map(named) } : {}),
  });
  return {
    id,
    name,
    origin: "reference-drinks" as const,
    target: flatten(named(target)),
    coverage,
    source: null,
  };
}

function regionOfBand(band: PublishedBand, references: readonly PlacedReference[]): Region {
  const target = flatten({ ...band.target, name: band.name });
  const { contains } = compileTarget(target);
  const ofItsKind = references.filter(({ drink }) =>
    band.family === undefined ? drink.spec.method === band.method : drink.families.includes(band.family),
  );
  const inside = ofItsKind.filter(({ point }) => contains(point)).length;
  return {
    id: band.id,
    name: band.name,
    origin: "published",
    meaning: BAND_MEANING,
    target,
    coverage: null,
    n: null,
    members: [],
    mean: null,
    covariance: null,
    method: null,
    source: band.source,
    ...(band.memory ? { memory: true } : {}),
    note: bandNote(band.note, inside, ofItsKind.length),
  };
}

/** Inside every one of them, written flat: what is asked twice counts once, a lone target stands for itself. */
export function intersectionOf(targets: readonly TargetSpec[]): FlatTarget {
  const distinct = [...new Map(targets.map((t) => [JSON.stringify(t), t])).values()];
  return distinct.length === 1 ? flatten(distinct[0]!) : flatten({ kind: "intersection", parts: distinct });
}

/** Nested intersections are the same region written flat. */
export function flatten(target: TargetSpec): FlatTarget {
  if (target.kind !== "intersection") return target;
  const parts = target.parts.flatMap((part) => {
    const flat = flatten(part);
    return flat.kind === "intersection" ? flat.parts : [flat];
  });
  return { ...target, parts };
}
