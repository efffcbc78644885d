import { scaledDistance } from "../axes.ts";
import type { PlacedReference } from "../catalogue.ts";
import type { Family, Method, Pantry, ReferenceDrink, Spec } from "../types.ts";
import { type Portrait, portraitOf, unlikeness } from "./portrait.ts";
import { kinText, misfitText, type PartId } from "./words.ts";

/** A family the drink may belong to. */
export interface LikelyFamily {
  /** Id of its region, as targets take it: "family:sour". */
  id: string;
  family: string;
  name: string;
  /** Over all families these sum to 1. */
  probability: number;
}

/** A reference drink and how near it is. */
export interface NearClassic {
  id: string;
  name: string;
  /** By pours: 0 (nothing in common) to 1 (the same shares). By point: distance in axis-scale units. */
  measure: number;
}

/** What a drink is like. */
export interface Kin {
  /** Likeliest first; those under 1 % are left out. */
  families: LikelyFamily[];
  /** Nearest references by what is poured, and by where they land. */
  byPour: NearClassic[];
  byPoint: NearClassic[];
  text: string;
}

/** A drink measured against a family it is hardly a member of. */
export interface Misfit {
  chosen: LikelyFamily;
  likelier: LikelyFamily;
  /** The part that sets it most apart from the chosen family's drinks, with its share here and the usual there. */
  part: { id: PartId; share: number; usual: number };
  text: string;
}

/**
 * The weights of a kernel over reference drinks: how fast kinship fades with unlike shares (0–1), another way of
 * mixing, and distance of the points (axis-scale units squared). Chosen so that references left out one at a time
 * are likeliest in their own families; tests/engine/kin/kin.test.ts works out how often they are found and how
 * true the probabilities are.
 */
const FADING = { parts: 45, method: 4, point: 0.05 } as const;
/** Distance squared beyond which a point is simply elsewhere: a spoiled sour is still a sour. */
const FAR = 9;
/** Weight every family has before a drink is seen, so that nothing is ever certain. */
const LEAST_WEIGHT = 1e-6;

const LISTED_PROBABILITY = 0.01;
const LISTED_CLASSICS = 3;

/** Below this a family is not the drink's own, if another holds at least MISFIT_LIKELIER. */
const MISFIT_CHOSEN = 0.2;
const MISFIT_LIKELIER = 0.5;

/** Ways of mixing that make one kind of drink. */
const MIXED: Record<Method, string> = {
  shaken: "shaken",
  stirred: "stirred",
  thrown: "stirred",
  built: "built",
  none: "built",
  crushed: "crushed",
  blended: "blended",
  carbonated: "built",
};

/** What the references are, for kinship. Kept with the data, which never changes. */
export interface KinBook {
  families: readonly Family[];
  portraits: ReadonlyMap<ReferenceDrink, Portrait>;
}

/** Look at every reference once. */
export function kinBook(
  families: readonly Family[],
  drinks: readonly ReferenceDrink[],
  pantry: Pantry,
): KinBook {
  return { families, portraits: new Map(drinks.map((drink) => [drink, portraitOf(drink.spec, pantry)])) };
}

/**
 * What a drink is like: its families with their probabilities, and the nearest references.
 *
 * A reference counts as much as it is like the drink in shares of the pour, in method and, a little, in point; a
 * family's probability is the sum over its references, over the root of their number (a family with many
 * references is commoner, but not by as much as it is better documented).
 *
 * @param references placed as the drink is diluted
 * @throws EngineError naming each bad field of the spec and its remedy
 */
export function kinOf(
  spec: Spec,
  pantry: Pantry,
  references: readonly PlacedReference[],
  book: KinBook,
): Kin {
  const drink = portraitOf(spec, pantry);
  const families = likelyFamilies(drink, references, book);
  const near = references
    .map(({ drink: of, point }) => ({
      likeness: { id: of.id, name: of.name, measure: pourLikeness(drink, book.portraits.get(of)!) },
      distance: { id: of.id, name: of.name, measure: scaledDistance(point, drink.point) },
    }))
    .sort((a, b) => a.distance.measure - b.distance.measure);
  const byPoint = near.slice(0, LISTED_CLASSICS).map(({ distance }) => distance);
  // One pour mixed in two ways is alike by amounts: then the point decides.
  const byPour = near
    .map(({ likeness }) => likeness)
    .sort((a, b) => b.measure - a.measure)
    .slice(0, LISTED_CLASSICS);
  const listed = families.filter((f, i) => i === 0 || f.probability >= LISTED_PROBABILITY);
  return { families: listed, byPour, byPoint, text: kinText(listed, byPour[0] ?? null) };
}

/** Every family with its probability, likeliest first. */
export function likelyFamilies(
  drink: Portrait,
  references: readonly PlacedReference[],
  { families, portraits }: KinBook,
): LikelyFamily[] {
  const tally = new Map(families.map((family) => [family.id, { family, weight: 0, count: 0 }]));
  for (const { drink: reference, point } of references) {
    const own = tally.get(reference.families[0] ?? "");
    const other = portraits.get(reference);
    if (!own || !other) continue;
    const apart =
      FADING.parts * unlikeness(drink.parts, other.parts) +
      FADING.method * Number(MIXED[drink.method] !== MIXED[other.method]) +
      FADING.point * Math.min(scaledDistance(point, drink.point) ** 2, FAR);
    own.weight += Math.exp(-apart);
    own.count += 1;
  }
  const likely = [...tally.values()].map(({ family: { id, name }, weight, count }) => ({
    id: `family:${id}`,
    family: id,
    name,
    probability: LEAST_WEIGHT + weight / Math.sqrt(Math.max(count, 1)),
  }));
  const total = likely.reduce((sum, { probability }) => sum + probability, 0);
  for (const family of likely) family.probability /= total;
  return likely.sort((a, b) => b.probability - a.probability);
}

/** How alike two pours are, 0–1: half by what the parts are, half by the very ingredients. */
function pourLikeness(a: Portrait, b: Portrait): number {
  return 1 - 0.5 * (unlikeness(a.parts, b.parts) + unlikeness(a.pours, b.pours));
}

/**
 * Whether a drink is about to be measured against a family it is hardly a member of, and what tells. Null when it
 * fits, or when nothing fits it much better.
 *
 * @param chosen id of the family's region, "family:sour"; other ids never misfit
 */
export function misfitOf(
  spec: Spec,
  pantry: Pantry,
  references: readonly PlacedReference[],
  book: KinBook,
  chosen: string,
): Misfit | null {
  const drink = portraitOf(spec, pantry);
  const families = likelyFamilies(drink, references, book);
  const own = families.find((f) => f.id === chosen);
  const likelier = families[0];
  if (!own || !likelier || own === likelier) return null;
  if (own.probability > MISFIT_CHOSEN || likelier.probability < MISFIT_LIKELIER) return null;
  const part = strangestPart(drink, own.family, book);
  return { chosen: own, likelier, part, text: misfitText(own, likelier, part) };
}

function strangestPart(drink: Portrait, family: string, { portraits }: KinBook): Misfit["part"] {
  const members = [...portraits].filter(([d]) => d.families[0] === family).map(([, portrait]) => portrait);
  const usualOf = (id: PartId) =>
    members.reduce((sum, m) => sum + (m.parts.get(id) ?? 0), 0) / members.length;
  const ids = new Set([...drink.parts.keys(), ...members.flatMap((m) => [...m.parts.keys()])]);
  const told = [...ids].map((id) => {
    const [share, usual] = [drink.parts.get(id) ?? 0, usualOf(id)];
    return { id, share, usual, apart: Math.abs(Math.sqrt(share) - Math.sqrt(usual)) };
  });
  const { apart: _, ...part } = told.reduce((a, b) => (b.apart > a.apart ? b : a));
  return part;
}
