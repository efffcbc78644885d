import { AXES, AXIS_INDICES, showOnAxis } from "../axes.ts";
import type { Vec3 } from "../types.ts";
import { joinWords, upperFirst } from "../wording.ts";
import type { AlikePair } from "./alike.ts";
import type { Levels, MenuCorner, MenuDrink, MenuReport } from "./menu.ts";

/** By axis; the middle third has no word of its own. */
const LEVEL_WORDS = [
  { low: "dry", middle: null, high: "sweet" },
  { low: "soft", middle: null, high: "sharp" },
  { low: "light", middle: null, high: "strong" },
] as const;
const NAMES = ["of sugar", "of acid", "of alcohol"] as const;
const IN_THE_MIDDLE = "in the middle";

/** From this part of the pour in common two drinks are the same idea twice, below the second only the same balance. */
const SAME_IDEA = 0.8;
const SAME_BALANCE = 0.5;

/** "sharp and light"; a place without a word is "in the middle". */
function levelText(levels: Levels): string {
  const words = AXIS_INDICES.flatMap((k) => LEVEL_WORDS[k][levels[k]] ?? []);
  return words.length === 0 ? IN_THE_MIDDLE : joinWords(words);
}

/** A group's name without its letter: "Sour, sharp and light". */
export function groupText({
  family,
  levels,
}: Pick<MenuReport["groups"][number], "family" | "levels">): string {
  const where = levelText(levels);
  return family === null ? upperFirst(where) : `${family}, ${where}`;
}

/** How far the groups can be trusted. */
export function groupingText({ groups, silhouette }: Pick<MenuReport, "groups" | "silhouette">): string {
  if (silhouette === null) return "The drinks stand in one group: nothing sets some of them apart.";
  const how = silhouette > 0.5 ? "well apart" : "loosely apart";
  return `${groups.length} groups, ${how} (${silhouette.toFixed(2)} on a scale where 1 is the clearest).`;
}

/** What the two have in common, and what to do about it. */
export function alikeText({ a, b, sharedPour }: AlikePair, drinks: readonly MenuDrink[]): string {
  const share = `${Math.round(100 * sharedPour)} % of the pour is the same`;
  const two = `${drinks[a]!.name} and ${drinks[b]!.name}`;
  if (sharedPour >= SAME_IDEA) return `${two}: one drink twice. ${share}; a guest may not tell them apart.`;
  if (sharedPour >= SAME_BALANCE) return `${two}: near-duplicates. The same balance, and ${share}.`;
  return `${two}: the same balance from other bottles. Only ${share}; they differ by flavour alone.`;
}

/** Where nothing of the menu stands. */
export function cornerText(corner: MenuCorner, drinks: readonly MenuDrink[]): string {
  const { levels, sameWords, centre, radius, nearest, ranges, classic } = corner;
  const where = `about ${pointText(centre)}${ranges.length > 0 ? `, in the range of ${joinWords(ranges)}` : ""}`;
  const near = `the nearest here is ${drinks[nearest]!.name}, ${radius.toFixed(1)} steps away`;
  const filled = classic ? ` A classic near there: ${classic.name}.` : "";
  const little = sameWords.length === 0 ? "Nothing" : "Little";
  return `${little} ${levelText(levels)}: ${where}; ${near}.${filled}`;
}

/** From where to where the menu reaches, and how close its drinks stand. */
export function spreadText({ low, high, nearestMean }: MenuReport["spread"]): string {
  const reach = AXIS_INDICES.map(
    (k) => `${showOnAxis(k, low[k])} to ${showOnAxis(k, high[k])} ${AXES[k].unit} ${NAMES[k]}`,
  );
  if (nearestMean === null) return "One drink: a menu needs two to have a spread.";
  return `From ${joinWords(reach)}. A drink’s nearest neighbour is ${nearestMean.toFixed(1)} steps away on average.`;
}

/** What a step is. */
export const STEP_TEXT = `A step is ${joinWords(
  AXIS_INDICES.map((k) => `${AXES[k].scale} ${AXES[k].unit} ${NAMES[k]}`),
  "or",
)}.`;

/** Up to this, % vol, a drink counts as without; where the line lies is a matter of local law. */
const WITHOUT_ALCOHOL_ABV = 0.5;

/** For guests who do not drink; null where there is something for them. Common practice, no published source. */
export function withoutAlcoholText({ low }: MenuReport["spread"]): string | null {
  if (low[2] <= WITHOUT_ALCOHOL_ABV) return null;
  return "Nothing here is without alcohol: think of guests who drive, are pregnant, take medicines or do not drink.";
}
const pointText = (p: Vec3) =>
  `${showOnAxis(0, p[0])} sugar · ${showOnAxis(1, p[1])} acid · ${showOnAxis(2, p[2])} % vol`;
