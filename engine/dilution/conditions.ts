import { Issues } from "../errors.ts";
import { ICE_CONDITION_IDS } from "../ids.ts";
import { ICE_CONDITIONS } from "../limits.ts";
import type { IceConditions, Method, Role } from "../types.ts";
import { METHODS } from "./methods.ts";

/** The method's usual ice conditions with the user's own on top; null where the method has no heat balance. */
export function iceConditions(method: Method, own?: Partial<IceConditions>): Readonly<IceConditions> | null {
  const usual = METHODS[method].conditions;
  if (usual === null || own === undefined) return usual;
  const given = Object.fromEntries(Object.entries(own).filter(([, v]) => v !== undefined));
  return { ...usual, ...given };
}

/** Roles that are kept cold (common practice, no published source); the rest stands on the shelf. */
const KEPT_COLD: ReadonlySet<Role> = new Set<Role>([
  "fortified-wine",
  "wine",
  "sour-juice",
  "sweet-juice",
  "syrup",
  "egg",
  "dairy",
  "lengthener",
]);

/** Temperature at which an ingredient of this role is poured, °C. */
export function pouredTempC(role: Role, c: Pick<IceConditions, "shelfTempC" | "fridgeTempC">): number {
  return KEPT_COLD.has(role) ? c.fridgeTempC : c.shelfTempC;
}

/** Throw an EngineError naming each condition that is out of range. */
export function checkIceConditions(c: IceConditions): void {
  const issues = new Issues();
  for (const key of ICE_CONDITION_IDS) {
    const { min, max, unit } = ICE_CONDITIONS[key];
    if (!(c[key] >= min && c[key] <= max)) {
      issues.add(
        `/dilution/conditions/${key}`,
        `${c[key]} is not in ${min}..${max} ${unit}`.trim(),
        "give a value within that range, or leave it out for the usual one",
      );
    }
  }
  issues.throwAny();
}
