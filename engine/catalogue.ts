import { METHODS } from "./dilution/methods.ts";
import { fail, under } from "./errors.ts";
import { METHOD_IDS } from "./ids.ts";
import { prepareSpec } from "./place/prepare-spec.ts";
import { familyTarget, SMALLEST_FAMILY } from "./targets/family-target.ts";
import type {
  DilutionChoice,
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

/** A target with no intersection inside an intersection. */
export type FlatTarget = Exclude<TargetSpec, { kind: "intersection" }> | FlatIntersection;
interface FlatIntersection {
  kind: "intersection";
  name?: string;
  parts: Exclude<TargetSpec, { kind: "intersection" }>[];
}

/** A region one can aim for, and what is known of where it came from. */
export interface Region {
  /** "family:sour", or a band's own id. */
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

/** A family too small for a region. */
export interface UnavailableRegion {
  id: string;
  name: string;
  n: number;
  reason: string;
}

/** What decides where the references sit: how the user's own drink takes its water. */
export type LikeSpec = Pick<Spec, "method" | "dilution">;

/** The references and the regions made from them, all diluted in one way. */
export interface CatalogueView {
  readonly references: readonly PlacedReference[];
  /** Regions of every family with drinks enough, then the published bands. */
  regions(coverage?: number): Region[];
  /** One region. @throws EngineError at `pointer` for an id there is none of */
  region(id: string, coverage?: number, pointer?: string): Region;
  /** Inside every one of them: an id given twice counts once, a lone one stands for itself. */
  target(ids: readonly string[], coverage?: number, pointer?: string): FlatTarget;
}

export interface Catalogue {
  readonly pantry: Pantry;
  readonly unavailable: readonly UnavailableRegion[];
  /** Ids of every region there is. */
  readonly ids: readonly string[];
  /**
   * References diluted as the user's drink is: by the same model with the same calibration, and, where they
   * are mixed by the same method, on the same ice. So a change of model moves the drink and the regions
   * together. A measured glass is a fact about that glass: the references then keep the regression.
   */
  view(like?: LikeSpec): CatalogueView;
}

/** Views kept: a person compares a few ways of diluting, a server must not keep all that anyone sends. */
const KEPT_VIEWS = 8;

/** The reference drinks and the regions made from them; nothing is placed before it is asked for. */
export function createCatalogue(
  data: Pick<ReferenceData, "pantry" | "drinks" | "families" | "bands">,
): Catalogue {
  const pantry: Pantry = new Map(data.pantry.map((item) => [item.id, item]));
  const sizeOf = (family: Family) => data.drinks.filter((d) => d.families.includes(family.id)).length;
  const families = data.families.filter((family) => sizeOf(family) >= SMALLEST_FAMILY);
  const unavailable = data.families
    .filter((family) => !families.includes(family))
    .map((family) => ({
      id: `family:${family.id}`,
      name: family.name,
      n: sizeOf(family),
      reason: `${sizeOf(family)} reference drinks; a region needs at least ${SMALLEST_FAMILY}`,
    }));
  const ids = [...families.map((f) => `family:${f.id}`), ...data.bands.map((b) => b.id)];
  const views = new Map<string, CatalogueView>();

  return {
    pantry,
    unavailable,
    ids,
    view: (like) => {
      const dilutionOf = sharedDilution(like);
      const key = JSON.stringify(METHOD_IDS.map(dilutionOf));
      const kept = views.get(key);
      views.delete(key);
      const view = kept ?? createView(data, pantry, families, dilutionOf);
      views.set(key, view);
      if (views.size > KEPT_VIEWS) views.delete(views.keys().next().value!);
      return view;
    },
  };
}

/** How a reference of each method is diluted when the user's drink is diluted like this. */
function sharedDilution(like: LikeSpec | undefined): (method: Spec["method"]) => DilutionChoice | undefined {
  const choice = like?.dilution;
  if (choice === undefined || choice.model === "measured") return () => undefined;
  const { calibration } = choice;
  const shared = calibration ? { calibration } : {};
  if (choice.model === "regression")
    return () => (calibration ? { model: "regression", ...shared } : undefined);
  return (method) => {
    if (METHODS[method].conditions === null) return { model: "regression", ...shared };
    return method === like?.method ? choice : { model: "energy", ...shared };
  };
}

function createView(
  data: Pick<ReferenceData, "drinks" | "bands">,
  pantry: Pantry,
  families: readonly Family[],
  dilutionOf: (method: Spec["method"]) => DilutionChoice | undefined,
): CatalogueView {
  let placed: PlacedReference[] | null = null;
  const references = () =>
    (placed ??= data.drinks.map((drink, i) => {
      const spec: Spec = { ...drink.spec, dilution: dilutionOf(drink.spec.method) };
      return under(`/drinks/${i}/spec`, () => {
        const { model, volumesMl } = prepareSpec(spec, pantry);
        return { drink, point: model.finish(volumesMl).point };
      });
    }));

  const kept = new Map<string, Region>();
  const familyRegion = (family: Family, coverage: number): Region => {
    const key = `${family.id} ${coverage}`;
    const region = kept.get(key) ?? regionOfFamily(family, coverage, references());
    kept.set(key, region);
    return region;
  };

  const region = (id: string, coverage = USUAL_COVERAGE, pointer = "/id"): Region => {
    const band = data.bands.find((b) => b.id === id);
    if (band) return regionOfBand(band);
    const family = families.find((f) => `family:${f.id}` === id);
    if (family) return familyRegion(family, coverage);
    return fail(pointer, `no target has the id ${id}`, "choose one of the families or bands");
  };

  return {
    get references() {
      return references();
    },
    regions: (coverage = USUAL_COVERAGE) => [
      ...families.map((family) => familyRegion(family, coverage)),
      ...data.bands.map(regionOfBand),
    ],
    region,
    target: (wanted, coverage, pointer = "") =>
      intersectionOf(wanted.map((id, i) => region(id, coverage, `${pointer}/${i}`).target)),
  };
}

function regionOfFamily(family: Family, coverage: number, references: readonly PlacedReference[]): Region {
  const members = references.filter(({ drink }) => drink.families.includes(family.id));
  const made = familyTarget(
    members.map(({ point }) => point),
    coverage,
  );
  const percent = coverage === USUAL_COVERAGE ? "" : ` (${Math.round(coverage * 100)} %)`;
  return {
    id: `family:${family.id}`,
    name: family.name,
    origin: "reference-drinks",
    meaning: family.meaning,
    target: flatten({ ...made.target, name: `${family.name}${percent}` }),
    coverage,
    n: made.n,
    members: members.map(({ drink }) => drink.id),
    mean: made.mean,
    covariance: made.covariance,
    method: made.method,
    source: null,
    note: made.note,
  };
}

function regionOfBand(band: PublishedBand): Region {
  return {
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
    ...(band.memory ? { memory: true } : {}),
    note: band.note ?? null,
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
