import { DOSES, FLOAT, RINSE, SPRAY } from "./doses.ts";
import {
  COUNTED_UNITS,
  called,
  dosed,
  dropEdges,
  type Facts,
  instruction,
  notCounted,
  pour,
  type Said,
  telling,
  tidy,
} from "./facts.ts";
import { isWord, type Token, wordsOf } from "./tokens.ts";
import { NOT_COUNTED, RINSE_WORDS, SPRAY_WORDS, STEP_VERBS, TOP_FILLERS, TOP_VERBS } from "./vocabulary.ts";

const SERVED_IN = new Set(
  "glass coupe rock highball the in with a of chilled your each serving from an atomiser".split(" "),
);

/** "absinthe rinse", "rinse the glass with absinthe", "spray of peated scotch". */
export function readRinse(facts: Facts): Said | null {
  const word = facts.words.find((w) => RINSE_WORDS.has(w) || SPRAY_WORDS.has(w));
  if (word === undefined || facts.quantity?.unit) return null;
  const name = facts.tokens.filter(
    (t) => t.kind === "strength" || (t.kind === "word" && t.word !== word && !SERVED_IN.has(t.word)),
  );
  if (!called(name, facts.index)) return null;
  const said: Said = dosed(name, RINSE_WORDS.has(word) ? RINSE : SPRAY, word);
  return { ...said, stage: "top" };
}

const TO = new Set(["to", "on", "a", "as", "for"]);

/** Words of "to top", "top up", "floated" at the end of a name, taken off; null when there are none. */
function withoutTopEnding(tokens: readonly Token[]): Token[] | null {
  const at = tokens.findLastIndex((t) => isWord(t, TOP_VERBS) || isWord(t, TOPPING));
  if (at < 1 || tokens.slice(at + 1).some((t) => t.kind === "word" && !TOP_FILLERS.has(t.word))) return null;
  return dropEdges(tokens.slice(0, at), (t) => isWord(t, TO) || (t.kind === "mark" && t.mark !== ")"));
}
/** "topping", which is a verb only after a name. */
export const TOPPING = new Set(["topping"]);

/** "top with soda", "float ½ oz red wine", "ginger beer to top". */
export function readTop(facts: Facts): Said | null {
  const { tokens, index } = facts;
  const [first] = tokens;
  const leads = isWord(first, TOP_VERBS) || (isWord(first, MIT) && isWord(tokens.at(-1), TOP_VERBS));
  const ending = leads ? null : withoutTopEnding(facts.name.length > 0 ? facts.name : tokens);
  if (!leads && (!ending || facts.piece.step)) return null;
  const float = facts.words.some((w) => w.startsWith("float"));
  const trimmed = dropEdges(
    facts.quantity ? facts.name : tokens,
    (t) => isWord(t, TOP_VERBS) || isWord(t, TOP_FILLERS) || t.kind === "mark",
  );
  const name = beforeStep(tidy(ending ?? trimmed));
  if (!name.some(telling)) return leads ? instruction({ code: "step" }) : null;
  if (facts.quantity && !COUNTED_UNITS.includes(facts.quantity.unit))
    return { ...pour(facts), name, stage: "top" };
  const words = wordsOf(name);
  const [word = ""] = words;
  const dose = isWord(name[0], DOSES) ? DOSES.get(word) : undefined;
  if (dose) return { ...dosed(tidy(name.slice(1)), dose, word), stage: "top", only: "if-called" };
  if (words.some((w) => NOT_COUNTED.has(w)) && !called(name, index)) return notCounted({ ...facts, name });
  if (float) return { ...dosed(name, FLOAT, "float"), stage: "top", only: "if-called" };
  return { ...pour({ ...facts, quantity: null, name }), stage: "top", only: "if-called" };
}
const MIT = new Set(["mit"]);

/** "top with soda and garnish": what follows a joining word and a verb is another step. */
function beforeStep(tokens: readonly Token[]): Token[] {
  const at = tokens.findIndex((t, i) => i > 0 && isWord(t, STEP_VERBS) && !isWord(t, TOP_VERBS));
  return at < 0
    ? [...tokens]
    : tidy(tokens.slice(0, at).filter((t, i, all) => i < all.length - 1 || !isWord(t, AND)));
}
const AND = new Set(["and", "then"]);
