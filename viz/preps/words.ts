import type { MeltAction } from "../../engine/dilution/melt.ts";
import type { SteepedId, StorageId } from "../../engine/prep/types.ts";
import type { AllergenId, Role, SourcedValue } from "../../engine/types.ts";

export const LEAD =
  "Half of a drink is made before the shake. What you weigh, steep and measure here becomes an ingredient like any other, with figures of its own and how sure they are.";

export const EMPTY =
  "Nothing on the shelf yet. Make a syrup, bring a juice to an acidity, or mix parts of your own.";

export const STEEPED: readonly { value: SteepedId; label: string }[] = [
  { value: "spice-or-herb", label: "Spice or herb" },
  { value: "fruit-or-peel", label: "Fruit or peel" },
  { value: "cassia", label: "Cassia cinnamon" },
  { value: "tonka", label: "Tonka bean" },
  { value: "cinchona", label: "Cinchona bark" },
  { value: "activated-charcoal", label: "Activated charcoal" },
  { value: "nuts", label: "Nuts" },
  { value: "low-acid-plants", label: "Garlic, chilli or other low-acid plants" },
  { value: "fat-or-oil", label: "Fat or oil" },
  { value: "milk", label: "Milk" },
  { value: "raw-egg", label: "Raw egg" },
];

export const STORAGE: readonly { value: StorageId; label: string }[] = [
  { value: "fridge", label: "Refrigerator" },
  { value: "freezer", label: "Freezer" },
  { value: "shelf", label: "Shelf" },
];

export const ROLES: readonly { value: Role; label: string }[] = [
  { value: "syrup", label: "Syrup or cordial" },
  { value: "sour-juice", label: "Sour juice" },
  { value: "sweet-juice", label: "Sweet juice" },
  { value: "spirit", label: "Spirit" },
  { value: "liqueur", label: "Liqueur" },
  { value: "acid", label: "Acid solution" },
  { value: "other", label: "Something else" },
];

export const ACTIONS: Readonly<Record<MeltAction, string>> = {
  shaking: "shaking",
  stirring: "stirring",
  throwing: "throwing",
  standing: "in the glass",
};

export const ALLERGENS: Readonly<Record<AllergenId, string>> = {
  egg: "egg",
  milk: "milk",
  nuts: "nuts",
  sulphites: "sulphites",
  gluten: "gluten",
  soy: "soy",
  celery: "celery",
  fish: "fish",
};

/** "61.4 ± 0.8". */
export const figure = ({ value, sd }: Pick<SourcedValue, "value" | "sd">, digits: number): string =>
  `${value.toFixed(digits)} ± ${sd.toFixed(digits)}`;

export const ICE_NOTE =
  "A model of our own: heat from the liquid, vessel, room and water on the ice, against time. The band is one standard uncertainty. It agrees with the published experiments we found, within two and a half times its doubt and theirs; your ice and hand differ, so weigh one drink and fit it.";

export const READING_NOTE =
  "Each reading replaces the table's figure with its own uncertainty, everywhere this ingredient is poured, until you go back. The next fruit or bottle is another batch: measure again.";
