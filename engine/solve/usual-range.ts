import type { Ingredient, Role } from "../types.ts";

/** Without a bound an amount may grow to twice itself plus this many mL, by role. */
const DEFAULT_ROOM_ML: Partial<Record<Role, number>> = { bitters: 5, acid: 10, sugar: 20 };
const DEFAULT_ROOM_OTHER_ML = 60;

/** The most, mL, that an amount may grow to where no bound says so. */
export function usualMostMl({ role }: Pick<Ingredient, "role">, fromMl: number): number {
  return 2 * fromMl + (DEFAULT_ROOM_ML[role] ?? DEFAULT_ROOM_OTHER_ML);
}
