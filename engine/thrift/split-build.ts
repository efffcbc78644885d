import { isOnLadder } from "../amounts/ladder.ts";
import { fail, under } from "../errors.ts";
import type { PlaceOptions } from "../place/place.ts";
import { prepareSpec } from "../place/prepare-spec.ts";
import { SAME_POUR_ML } from "../tolerances.ts";
import type { Pantry, PourLadder, Role, Spec } from "../types.ts";

/** Curdling, foam and fizz: these go into each glass alone, of a batch too. */
export const ALONE: ReadonlySet<Role> = new Set<Role>(["egg", "dairy"]);

/** One base for several variants of a drink, and what each adds to its part of it. */
export type SplitBuild = ReturnType<typeof splitBuild>;

/**
 * What variants have in common is poured once for all: of each ingredient that every one mixes with ice, the least
 * that any takes. Whatever a variant takes beyond that is its rest, so base and rest are its spec exactly.
 *
 * @throws EngineError for fewer than two variants; as `place`, under `/variants/<n>`
 */
export function splitBuild(
  specs: readonly Spec[],
  ladder: PourLadder,
  pantry: Pantry,
  options: PlaceOptions = {},
) {
  if (specs.length < 2)
    fail("/variants", `${specs.length} variants share nothing`, "give two or more, such as three");
  const variants = specs.map((spec, n) => under(`/variants/${n}`, () => poursOf(spec, pantry, options)));
  const pour = (ingredient: string, ml: number) => {
    const known = pantry.get(ingredient)!;
    // Whether the ladder measures it.
    const measured = isOnLadder(ml, ladder, known, options.unitSettings);
    return { ingredient, name: known.name, ml, measured };
  };
  const shared = new Map<string, number>();
  for (const [id, ml] of variants[0]!.mixed) {
    const least = Math.min(ml, ...variants.map(({ mixed }) => mixed.get(id) ?? 0));
    if (least > 0 && !ALONE.has(pantry.get(id)!.role)) shared.set(id, least);
  }
  return {
    /** For all variants together. */
    base: [...shared].map(([id, ml]) => pour(id, specs.length * ml)),
    /** Of the base as poured, into each glass (contraction on mixing left out: it is the same for all). */
    portionMl: [...shared.values()].reduce((sum, ml) => sum + ml, 0),
    variants: variants.map(({ all }, n) => ({
      name: specs[n]!.name,
      rest: [...all].flatMap(([id, ml]) => {
        const left = ml - (shared.get(id) ?? 0);
        return left > SAME_POUR_ML ? [pour(id, left)] : [];
      }),
    })),
  };
}

/** What a spec pours of each ingredient, mL: in all, and mixed with ice. */
function poursOf(spec: Spec, pantry: Pantry, options: PlaceOptions) {
  const { model, volumesMl } = prepareSpec(spec, pantry, options);
  const all = new Map<string, number>();
  const mixed = new Map<string, number>();
  model.ingredients.forEach(({ id }, i) => {
    const add = (to: Map<string, number>) => to.set(id, (to.get(id) ?? 0) + volumesMl[i]!);
    add(all);
    if (model.stages[i] === "mix") add(mixed);
  });
  return { all, mixed };
}
