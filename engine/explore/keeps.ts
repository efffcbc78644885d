import { US_OZ_ML } from "../amounts/units.ts";
import type { SolveRequest } from "../solve/request.ts";
import { usualMostMl } from "../solve/usual-range.ts";
import { shortNames } from "../solve/words.ts";
import type { Bound, CharacterRule, Ingredient, KeepId, Role, SpecLine } from "../types.ts";
import { nameWords } from "../wording.ts";
import { preparedSpec } from "./asking.ts";
import { keepText } from "./words.ts";

/*
 * What a change of a drink keeps to unless it is told not to: the habits of the trade (common practice, no
 * published source). They become limits of an ordinary request, so that the answer stays proved within them.
 */

/** How sure a drink must be to count as holding: four real glasses in five. */
export const HOLDS_CHANCE = 0.8;
/** Without a glass, a drink stays this near to its size; and within the second share where nothing so near will do. */
const SIZE_SHARE = 0.15;
const LOOSE_SIZE_SHARE = 0.5;
/** What gives a drink its character, or its name, keeps this share of its amount; what else seasons it, the second. */
const MAIN_SHARE = 2 / 3;
const LEVER_SHARE = 1 / 3;
/** No pour grows beyond this, mL, but what lengthens. */
const MOST_POUR_ML = 3 * US_OZ_ML;
const MOST_TOUCHED = 3;
/** As little as this, mL, of what has a taste of its own is an accent. */
const ACCENT_ML = 5;

/** A habit, what it means for this drink, and whether it is kept. */
export interface Keep {
  id: KeepId;
  text: string;
  /** Kept; released by the request; or loosened here, because nothing would have kept it. */
  state: "kept" | "released" | "loosened";
}

/** Ids of the habits in one state. */
export const idsOf = (keeps: readonly Keep[], wanted: Keep["state"]): KeepId[] =>
  keeps.flatMap(({ id, state }) => (state === wanted ? [id] : []));

/** Roles that season: what a drink is balanced with. */
const LEVERS: ReadonlySet<Role> = new Set(["sour-juice", "syrup", "sugar", "acid", "lengthener"]);
/** Roles that can do one another's work. */
const SWEETENERS: ReadonlySet<Role> = new Set(["syrup", "sugar"]);

/** A spec's ingredient, its lines together. */
interface Part {
  ingredient: Ingredient;
  ml: number;
  leastLineMl: number;
  isAccent: boolean;
  /** The drink's name speaks of it. */
  isNamed: boolean;
}

/** What the habits say about one drink. */
interface Reading {
  /** The most of it first. */
  parts: readonly Part[];
  accents: readonly Part[];
  mains: readonly Part[];
  levers: readonly Part[];
  base: Part | null;
  /** Additions of a kind that the drink has. */
  doubles: readonly string[];
  finishedMl: number;
}

function read(request: SolveRequest): Reading {
  const { spec, additions = [], pantry } = request;
  const { model, volumesMl } = preparedSpec(request);
  const byId = new Map<string, Part>();
  spec.lines.forEach((line, i) => {
    const [ingredient, ml] = [model.ingredients[i]!, volumesMl[i]!];
    const known = byId.get(ingredient.id);
    const isAccent = isAccentLine(line, ingredient, ml) && known?.isAccent !== false;
    const leastLineMl = Math.min(known?.leastLineMl ?? ml, ml);
    const isNamed = isNamedFor(spec.name, ingredient, pantry);
    byId.set(ingredient.id, { ingredient, ml: ml + (known?.ml ?? 0), leastLineMl, isAccent, isNamed });
  });
  const parts = [...byId.values()].sort((a, b) => b.ml - a.ml);
  const poured = parts.filter((part) => !part.isAccent && part.ml > 0);
  const kinds = new Set(poured.map(({ ingredient }) => kindOf(ingredient.role)));
  return {
    parts,
    accents: parts.filter((part) => part.isAccent),
    mains: poured.filter(({ ingredient }) => !LEVERS.has(ingredient.role)),
    levers: poured.filter(({ ingredient }) => LEVERS.has(ingredient.role)),
    base: poured.find(({ ingredient }) => ingredient.role === "spirit") ?? null,
    doubles: additions.filter((id) => {
      const role = pantry.get(id)?.role;
      return role !== undefined && role !== "acid" && role !== "lengthener" && kinds.has(kindOf(role));
    }),
    finishedMl: model.finish(volumesMl).finishedVolumeMl,
  };
}

/** Whether a drink's name holds a word of an ingredient's that most others of its role do not share. */
function isNamedFor(drink: string | undefined, { name, role }: Ingredient, pantry: SolveRequest["pantry"]) {
  const said = new Set(nameWords(drink ?? ""));
  const shared = nameWords(name).filter((word) => said.has(word));
  if (shared.length === 0) return false;
  const alike = [...pantry.values()].filter((other) => other.role === role);
  return shared.some((word) => {
    return alike.filter((other) => nameWords(other.name).includes(word)).length < alike.length / 2;
  });
}

const kindOf = (role: Role): Role => (SWEETENERS.has(role) ? "syrup" : role);

/** Dashed, rinsed or foamed: no lever. */
function isAccentLine(line: SpecLine, { role }: Ingredient, ml: number): boolean {
  if (role === "bitters" || role === "egg" || line.unit === "dash" || line.unit === "drop") return true;
  return !LEVERS.has(role) && ml <= ACCENT_ML;
}

/** The habits that mean something for a request, in the order of listing. */
export function keepsOf(request: SolveRequest): Keep[] {
  const reading = read(request);
  const { parts, accents, mains, levers, base, doubles } = reading;
  const extra = doubles.flatMap((id) => request.pantry.get(id) ?? []);
  const listed = [...parts.map(({ ingredient }) => ingredient), ...extra];
  const names = shortNames(listed);
  const nameOf = (ingredient: Ingredient) => names[listed.indexOf(ingredient)] ?? ingredient.name;
  const namesOf = (some: readonly Part[]) => some.map(({ ingredient }) => nameOf(ingredient));
  const facts = {
    base: base && nameOf(base.ingredient),
    accents: namesOf(accents),
    mains: namesOf(mains),
    keptWhole: namesOf([...mains, ...levers.filter((part) => part.isNamed)]),
    levers: namesOf(levers.filter((part) => !part.isNamed)),
    doubles: extra.map(nameOf),
  };
  const applies: [KeepId, boolean][] = [
    ["holds", request.minProbability === undefined],
    ["size", request.maxFinishedMl === undefined],
    ["accents", accents.length > 0],
    ["mains", mains.length + levers.length > 0],
    ["order", orderOf(reading).length > 0],
    ["base", base !== null],
    ["own-kind", doubles.length > 0],
    ["few", true],
  ];
  return applies.flatMap(([id, does]): Keep[] => {
    const state = request.release?.includes(id) ? "released" : "kept";
    return does ? [{ id, text: keepText(id, facts), state }] : [];
  });
}

/** Ids of what no swap may take out of a drink: what gives it its character or its name, and its accents. */
export function notSwapped(request: SolveRequest): Set<string> {
  const { parts, accents, mains } = read(request);
  const keeps = (id: KeepId) => !request.release?.includes(id);
  const held = [
    ...(keeps("mains") ? [...mains, ...parts.filter((part) => part.isNamed)] : []),
    ...(keeps("accents") ? accents : []),
  ];
  return new Set(held.map(({ ingredient }) => ingredient.id));
}

const fewTouched = ({ maxTouched = MOST_TOUCHED }: SolveRequest) => Math.min(maxTouched, MOST_TOUCHED);

/** The request with at most as many ingredients touched as the habits allow: for whoever counts some of them. */
export function keepingFew(request: SolveRequest): SolveRequest {
  return request.release?.includes("few") ? request : { ...request, maxTouched: fewTouched(request) };
}

/** The request with the limits of the habits that `kept` names, beside its own; its own come first where both speak. */
export function keeping(request: SolveRequest, kept: ReadonlySet<KeepId>): SolveRequest {
  const reading = read(request);
  const { accents, base, doubles, finishedMl } = reading;
  const held = [...(kept.has("accents") ? accents : []), ...(kept.has("base") && base ? [base] : [])];
  const locks = new Set([...(request.locks ?? []), ...held.map(({ ingredient }) => ingredient.id)]);
  const isSized = request.maxFinishedMl === undefined && !request.release?.includes("size");
  const sizeShare = kept.has("size") ? SIZE_SHARE : LOOSE_SIZE_SHARE;
  const isLeftOut = (id: string) => kept.has("own-kind") && doubles.includes(id);
  return {
    ...request,
    ...(kept.has("holds") && { minProbability: request.minProbability ?? HOLDS_CHANCE }),
    ...(isSized && {
      minFinishedMl: (1 - sizeShare) * finishedMl,
      maxFinishedMl: (1 + sizeShare) * finishedMl,
    }),
    ...(kept.has("few") && { maxTouched: fewTouched(request) }),
    locks: [...locks],
    bounds: [...(request.bounds ?? []), ...boundsOf(request, reading, kept)],
    character: [...(request.character ?? []), ...(kept.has("order") ? orderOf(reading) : [])],
    additions: request.additions?.filter((id) => !isLeftOut(id)),
  };
}

/** How little of what is there, and how much, a change may leave. */
function boundsOf(request: SolveRequest, { parts }: Reading, kept: ReadonlySet<KeepId>): Bound[] {
  const own = new Set(request.bounds?.map(({ ingredient }) => ingredient));
  return parts.flatMap(({ ingredient, ml, leastLineMl, isAccent, isNamed }): Bound[] => {
    if (isAccent || own.has(ingredient.id) || ml === 0) return [];
    const share = LEVERS.has(ingredient.role) && !isNamed ? LEVER_SHARE : MAIN_SHARE;
    const usual = usualMostMl(ingredient, ml);
    const most = Math.max(ml, MOST_POUR_ML);
    return [
      {
        ingredient: ingredient.id,
        ...(kept.has("mains") && { minMl: share * leastLineMl }),
        ...(kept.has("few") && ingredient.role !== "lengthener" && most < usual && { maxMl: most }),
      },
    ].filter((bound) => "minMl" in bound || "maxMl" in bound);
  });
}

/** The order of what gives the drink its character; and what the base spirit is the most of, it stays the most of. */
function orderOf({ mains, levers, base }: Reading): CharacterRule[] {
  const rule = (more: Part, less: Part): CharacterRule[] =>
    more.ml > less.ml ? [{ ingredient: more.ingredient.id, atLeastAsMuchAs: less.ingredient.id }] : [];
  return [
    ...mains.slice(1).flatMap((part, i) => rule(mains[i]!, part)),
    ...(base ? levers.filter((l) => l.ingredient.role !== "lengthener").flatMap((l) => rule(base, l)) : []),
  ];
}
