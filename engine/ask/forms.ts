import { foldWord, trigramLikeness, trigrams } from "../recipe/fold.ts";
import type { Ingredient, Role } from "../types.ts";
import { shortName } from "../wording.ts";
import type { Trouble } from "./clause.ts";
import type { Finder } from "./find-ingredient.ts";

/** The forms a question may have, each with every other word a person may know it by. */
const FORMS: readonly ((cast: Cast) => string)[] = [
  ({ sour }) => `how much ${sour} for sour range`,
  ({ sour }) => `how much ${sour}`,
  ({ sweet }) => `can I fix it with ${sweet}`,
  ({ sweet }) => `what if I take the ${sweet} down a bar spoon`,
  ({ sour }) => `what if I add 1/4 oz ${sour}`,
  ({ sour }) => `what if I use 3/4 oz ${sour}`,
  ({ sour }) => `a bar spoon more ${sour}`,
  ({ sweet }) => `a bar spoon less ${sweet}`,
  ({ other }) => `what if I leave out the ${other}`,
  ({ spirit }) => `what if I swap the ${spirit} for gin`,
  ({ sweet }) => `use agave syrup instead of ${sweet}`,
  ({ sweet }) => `make the ${sweet} thinner`,
  () => "make it a double",
  () => "stir it instead",
  () => "less sweet",
  () => "it's too tart",
  () => "a touch stronger",
  () => "what would make this drier without losing acid",
  () => "less sweet and sharper",
  () => "what would bring this into sour range",
  () => "how do I fix it",
  () => "how far is this from sour range",
  () => "where does it sit",
];

/** Forms given where a question was not read. */
const MOST_FORMS = 4;

/** An ingredient's name as it can be typed again. */
export const plainName = ({ name }: Ingredient) => name.toLowerCase();

/** The name without its strength or other brackets, where that still means it alone. */
function spokenName(ingredient: Ingredient, find: Finder): string {
  const short = shortName(plainName(ingredient));
  const found = find(short);
  return "id" in found && found.id === ingredient.id ? short : plainName(ingredient);
}

type Cast = ReturnType<typeof castOf>;

/** What stands in a form: the drink's own where it holds one of the kind. */
function castOf(find: Finder) {
  const of = (roles: readonly Role[], fallback: string) => {
    const one = find.own.find((i) => roles.includes(i.role));
    return one ? spokenName(one, find) : fallback;
  };
  return {
    sour: of(["sour-juice", "acid"], "lemon juice"),
    sweet: of(["syrup", "sugar", "liqueur"], "simple syrup"),
    spirit: of(["spirit"], "rum"),
    other: of(["bitters", "egg", "sweet-juice", "lengthener", "fortified-wine", "liqueur"], "bitters"),
  };
}

/** Every form, told with the drink's own ingredients. */
export function allForms(find: Finder): string[] {
  const cast = castOf(find);
  return FORMS.map((form) => form(cast));
}

const wordsOf = (text: string) =>
  new Set(
    text
      .split(/[^\p{L}\p{N}/']+/u)
      .filter(Boolean)
      .map(foldWord),
  );

/** The forms likest to what was said, by shared words and then letters. */
function likest(said: string, find: Finder): string[] {
  const words = wordsOf(said);
  const runs = trigrams(said);
  const scored = allForms(find).map((form) => {
    const own = wordsOf(form.toLowerCase());
    const common = [...own].filter((w) => words.has(w)).length;
    const shared = (2 * common) / (own.size + words.size || 1);
    return { form, score: shared + trigramLikeness(runs, trigrams(form)) };
  });
  return scored.sort((a, b) => b.score - a.score).map(({ form }) => form);
}

/** The question again with what was unclear made plain: one for each thing it could mean. */
function again(said: string, trouble: Trouble, find: Finder): string[] {
  const withOwn = (before: string) => find.own.map((own) => `${before} ${spokenName(own, find)}`);
  switch (trouble.code) {
    case "which":
    case "unknown": {
      if (trouble.said === "" || !said.includes(trouble.said)) return [];
      const meant = trouble.ids.flatMap((id) => find.pantry.get(id) ?? []);
      return meant.map((ingredient) => said.replace(trouble.said, spokenName(ingredient, find)));
    }
    case "several":
      return trouble.parts;
    case "of-what":
      return withOwn(said.replace(/ of$/, ""));
    case "instead-of-what":
      return withOwn(`${said} of`);
    default:
      return [];
  }
}

/**
 * Questions near the one that was not read, nearest first: itself made plain, then forms like it. Only such as
 * `reads` says can be asked of this drink.
 */
export function nearestForms(
  said: string,
  trouble: Trouble,
  find: Finder,
  reads: (form: string) => boolean,
): string[] {
  const forms: string[] = [];
  for (const form of new Set([...again(said, trouble, find), ...likest(said, find)])) {
    if (forms.length < MOST_FORMS && reads(form)) forms.push(form);
  }
  return forms;
}
