import type { z } from "zod";
import type { Ingredient, Pantry, SourcedValue } from "../../engine/types.ts";
import type { OwnIngredientSchema } from "../schemas/ingredient.ts";

type OwnIngredient = z.infer<typeof OwnIngredientSchema>;
type OwnValue = NonNullable<OwnIngredient["abvPercent"]>;

/** Source id of a figure the caller sent. */
const USER_SOURCE = "user";

function sourced(value: OwnValue): SourcedValue {
  return typeof value === "number"
    ? { value, sd: 0, source: USER_SOURCE }
    : { ...value, sd: value.sd ?? 0, source: value.source ?? USER_SOURCE };
}

function sourcedAll<K extends string>(values: Partial<Record<K, OwnValue>> = {}) {
  return Object.fromEntries(
    Object.entries(values).flatMap(([key, value]) =>
      value === undefined ? [] : [[key, sourced(value as OwnValue)]],
    ),
  ) as Partial<Record<K, SourcedValue>>;
}

function toIngredient(own: OwnIngredient): Ingredient {
  return {
    id: own.id,
    name: own.name,
    role: own.role ?? "other",
    aliases: (own.aliases ?? []).map((alias) => alias.toLowerCase()),
    abvPercent: sourced(own.abvPercent ?? 0),
    sugarsGPer100Ml: sourcedAll(own.sugarsGPer100Ml),
    acidsGPer100Ml: sourcedAll(own.acidsGPer100Ml),
    ...(own.densityGPerMl !== undefined && { densityGPerMl: sourced(own.densityGPerMl) }),
    ...(own.otherSolidsGPer100Ml !== undefined && {
      otherSolidsGPer100Ml: sourced(own.otherSolidsGPer100Ml),
    }),
    ...(own.pieceMl !== undefined && { pieceMl: sourced(own.pieceMl) }),
    ...(own.addAfterDilution !== undefined && { addAfterDilution: own.addAfterDilution }),
    ...(own.curdles !== undefined && { curdles: own.curdles }),
    ...(own.cautions && { cautions: own.cautions }),
    ...(own.note !== undefined && { note: own.note }),
    own: true,
  };
}

/** A figure without the flag that only the reference data carry. */
const bare = ({ memory: _, ...value }: SourcedValue): OwnValue => value;
const bareAll = <K extends string>(values: Partial<Record<K, SourcedValue>>) =>
  Object.fromEntries(
    Object.entries(values).map(([key, value]) => [key, bare(value as SourcedValue)]),
  ) as Partial<Record<K, OwnValue>>;

/** An ingredient as it may be sent back with the next request. */
export function asOwn(ingredient: Ingredient): OwnIngredient {
  const { id, name, role, aliases, addAfterDilution, curdles, cautions, note } = ingredient;
  const { densityGPerMl, otherSolidsGPer100Ml, pieceMl } = ingredient;
  return {
    ...{ id, name, role, aliases: [...aliases], abvPercent: bare(ingredient.abvPercent) },
    sugarsGPer100Ml: bareAll(ingredient.sugarsGPer100Ml),
    acidsGPer100Ml: bareAll(ingredient.acidsGPer100Ml),
    ...(densityGPerMl && { densityGPerMl: bare(densityGPerMl) }),
    ...(otherSolidsGPer100Ml && { otherSolidsGPer100Ml: bare(otherSolidsGPer100Ml) }),
    ...(pieceMl && { pieceMl: bare(pieceMl) }),
    ...(addAfterDilution !== undefined && { addAfterDilution }),
    ...(curdles !== undefined && { curdles }),
    ...(cautions && { cautions: [...cautions] }),
    ...(note !== undefined && { note }),
  };
}

/** True when some figure came without a standard uncertainty. */
function hasBareNumber(own: OwnIngredient): boolean {
  const values = [
    own.abvPercent,
    own.densityGPerMl,
    own.otherSolidsGPer100Ml,
    own.pieceMl,
    ...Object.values(own.sugarsGPer100Ml ?? {}),
    ...Object.values(own.acidsGPer100Ml ?? {}),
  ];
  return values.some((v) => v !== undefined && (typeof v === "number" || v.sd === undefined));
}

/** The pantry for one request: the caller's ingredients over the reference ones, and what was assumed. */
export function withOwnIngredients(
  pantry: Pantry,
  own: readonly OwnIngredient[] | undefined,
): { pantry: Pantry; assumptions: string[] } {
  if (!own || own.length === 0) return { pantry, assumptions: [] };
  const assumptions = own.flatMap((item) => [
    ...(pantry.has(item.id) ? [`${item.name}: your figures replace the pantry's for this request`] : []),
    ...(item.abvPercent === undefined ? [`${item.name}: no abvPercent given, taken as 0`] : []),
    ...(hasBareNumber(item) ? [`${item.name}: figures without sd are taken as exact`] : []),
  ]);
  return {
    pantry: new Map([...pantry, ...own.map((item) => [item.id, toIngredient(item)] as const)]),
    assumptions,
  };
}
