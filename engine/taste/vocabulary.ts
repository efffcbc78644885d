import type { AxisIndex } from "../axes.ts";
import type { Role, Vec3 } from "../types.ts";

/**
 * What a tasting word says. `direction`: what there is too much of, in spreads on sugar, acid and ABV
 * (negative: too little); the map can answer with a move. Null: the map cannot see it; what may answer is a
 * swap among ingredients of these roles. `praise`: nothing is wrong.
 */
export type WordMeaning =
  | { kind: "move"; direction: Vec3 }
  | { kind: "swap"; roles: readonly Role[] }
  | { kind: "praise" };

export interface TastingWord {
  id: string;
  /** Other ways it is written, lower case. */
  aliases: readonly string[];
  meaning: WordMeaning;
}

function move(id: string, sugar: number, acid: number, abv: number, ...aliases: string[]): TastingWord {
  const length = Math.hypot(sugar, acid, abv);
  const direction: Vec3 = [sugar / length, acid / length, abv / length];
  return { id, aliases, meaning: { kind: "move", direction } };
}

function swap(id: string, roles: readonly Role[], ...aliases: string[]): TastingWord {
  return { id, aliases, meaning: { kind: "swap", roles } };
}

function praise(id: string, ...aliases: string[]): TastingWord {
  return { id, aliases, meaning: { kind: "praise" } };
}

const FRUIT: readonly Role[] = ["sweet-juice", "sour-juice", "liqueur", "syrup"];
const BASE: readonly Role[] = ["spirit", "fortified-wine", "wine"];

/**
 * Words of the bar for what is wrong or right with a drink, and where on the map they point. The words and
 * what they mean are common practice, no published source; the sizes along each axis are ours.
 */
export const TASTING_WORDS: readonly TastingWord[] = [
  move("sweet", 1, 0, 0, "too sweet", "sugary"),
  move("cloying", 1, -0.5, 0, "sickly", "syrupy", "sticky"),
  move("dry", -1, 0, 0, "too dry", "not sweet enough"),
  move("thin", -1, 0, -0.5, "no body", "lacks body", "hollow"),
  move("sharp", -0.5, 1, 0, "tart", "sour", "too sour", "biting"),
  move("flat", 0, -1, 0, "needs acid", "flabby", "not sour enough"),
  move("hot", 0, 0, 1, "boozy", "too strong", "burning"),
  move("weak", 0, 0, -1, "not strong enough", "no backbone"),
  move("watery", -0.6, -0.6, -1, "diluted", "overdiluted", "washed out"),
  move("heavy", 1, 0, 0.5, "thick", "dense"),
  swap("fruit-lost", FRUIT, "fruit lost", "no fruit", "muted"),
  swap("bitter", ["bitters", "liqueur", "fortified-wine", "sour-juice"], "too bitter", "pithy"),
  swap("harsh", BASE, "rough", "raw"),
  swap("dull", ["sour-juice", "bitters", "liqueur"], "muddy", "boring", "lifeless"),
  swap("cooked", ["sour-juice", "sweet-juice", "syrup"], "stale", "oxidised"),
  swap("smoky", BASE, "too smoky"),
  swap("medicinal", ["liqueur", "bitters", "spirit"], "soapy", "perfumed"),
  swap("astringent", ["tea-coffee", "wine", "fortified-wine", "sweet-juice"], "drying", "tannic"),
  swap("one-note", ["bitters", "liqueur", "syrup"], "simple", "plain"),
  swap("short", ["spirit", "bitters", "fortified-wine"], "no finish"),
  praise("balanced"),
  praise("bright", "lively", "fresh"),
  praise("long", "long finish"),
  praise("round", "smooth", "silky"),
  praise("deep", "complex", "layered"),
];

const BY_NAME = new Map(
  TASTING_WORDS.flatMap((word) => [word.id, ...word.aliases].map((name) => [name, word])),
);

/** The word somebody ticked or wrote, or null for one we do not know. */
export function tastingWord(written: string): TastingWord | null {
  return BY_NAME.get(written.trim().toLowerCase()) ?? null;
}

/** Share of a word's direction along an axis above which the word is about that axis. */
const ABOUT = 0.4;

/** Whether a word's direction is about an axis. */
export function isAbout(direction: Vec3, axis: AxisIndex): boolean {
  return Math.abs(direction[axis]) > ABOUT;
}
