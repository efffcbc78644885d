import { fail } from "../errors.ts";
import { MOST } from "../limits.ts";
import { normalQuantile } from "../stats.ts";
import type { Pantry, Placement, Role } from "../types.ts";

/** What the next rounds need of one ingredient. */
export interface Need {
  ingredient: string;
  name: string;
  ml: number;
  /** Bottles' worth, unrounded; null for what is not bought by the bottle. */
  bottles: number | null;
  /** Fruit or eggs: as many as usual yields ask, and as poor ones do; null where no yield is known. */
  pieces: { usual: number; poor: number | null } | null;
}

/** What is bought by the bottle. */
export const BOTTLED: ReadonlySet<Role> = new Set(["spirit", "liqueur", "fortified-wine", "wine", "bitters"]);

/** Size of a bottle bought, mL, unless another is said. */
export const BOTTLE_ML = 700;

/** `poor` is enough in this share of all boxes. Fruit of one box is alike, so its yields err together. */
const ENOUGH = 0.9;

/** A count that floating point puts just above a whole number is that number. */
export const wholeUp = (x: number) => Math.ceil(x - 1e-9);

/**
 * What `rounds` more glasses like this one need, from the pantry's yields and their spread.
 *
 * @throws EngineError for a number of rounds or a bottle that cannot be
 */
export function needsOf(
  glass: Pick<Placement, "lines">,
  rounds: number,
  pantry: Pantry,
  bottleMl = BOTTLE_ML,
): Need[] {
  if (!(Number.isInteger(rounds) && rounds >= 1 && rounds <= MOST.rounds))
    fail(
      "/rounds",
      `${rounds} is not a whole number in 1..${MOST.rounds}`,
      "give how many rounds are to come",
    );
  if (!(bottleMl >= 1 && Number.isFinite(bottleMl)))
    fail("/bottleMl", `${bottleMl} is no size of a bottle`, "give the mL it holds, such as 700");
  const poorest = normalQuantile(1 - ENOUGH);
  const poured = new Map<string, { name: string; ml: number }>();
  for (const { ingredient, name, volumeMl } of glass.lines) {
    const ml = (poured.get(ingredient)?.ml ?? 0) + rounds * volumeMl;
    if (ml > 0) poured.set(ingredient, { name, ml });
  }
  return [...poured].map(([ingredient, { name, ml }]): Need => {
    const { role, pieceMl } = pantry.get(ingredient) ?? {};
    const poorMl = pieceMl ? pieceMl.value + poorest * pieceMl.sd : 0;
    return {
      ingredient,
      name,
      ml,
      bottles: role !== undefined && BOTTLED.has(role) ? ml / bottleMl : null,
      pieces:
        pieceMl && pieceMl.value > 0
          ? { usual: wholeUp(ml / pieceMl.value), poor: poorMl > 0 ? wholeUp(ml / poorMl) : null }
          : null,
    };
  });
}
