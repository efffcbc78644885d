import { AXES, AXIS_INDEX } from "../axes.ts";
import { CHANGE_RULES } from "./change-rules.ts";
import { amountFirst, type Clause, type ClauseRule, form, withFound } from "./clause.ts";
import type { Finder } from "./find-ingredient.ts";
import { type Keep, LEAN_STEP_SCALES, LEANS, type Lean } from "./intent.ts";
import { cureOf, curesOf, keepsOf, leanBy, leanOf, leanToward, sized } from "./taster-words.ts";

/** Words for a range: "for sour range", "into the daisy range". */
const INTO =
  "(?:for|to (?:reach|hit|get (?:(?:it|this|me|us|the drink) )?(?:in|into|to)|be in|make (?:it|this)|bring (?:it|this) (?:in|into|to)|land in|fit)|(?:would |will )?(?:gets?|brings?|puts?|lands?) (?:it|this|me|the drink) (?:in|into|to)|until (?:it|this) is(?: in)?|before (?:it|this) is(?: in)?|in|as)";
/** No range by name: the one that is chosen. */
const ANY_RANGE =
  /^(?:it|this|that|range|the range|the target|target|balance|be balanced|balanced|in range|shape|line|here)$/;

/** The words of a range without what stands around them; null for the one that is chosen. */
export function targetWordsOf(said: string | undefined): string | null {
  if (said === undefined) return null;
  const bare = said
    .replace(/^(?:the|a|an|in|into) /, "")
    .replace(/ (?:range|territory|region|zone|target|family|class)$/, "")
    .trim();
  return ANY_RANGE.test(said) || ANY_RANGE.test(bare) || bare === "" ? null : bare;
}

/** Range words end here: what joins a second question on is no part of them. */
const joined = (said: string | undefined) => said !== undefined && /,|;| (?:and|but|then|or) /.test(said);

/** What is counted of a drink and not poured into it. */
const NOT_POURED =
  /^(?:standard drinks?|drinks?|units?|calories|carbs|people|serves|servings|glasses|rounds)$/;

function howMuch(said: string, target: string | undefined, find: Finder): Clause | null {
  if (joined(target)) return null;
  if (NOT_POURED.test(said)) return { code: "form" };
  // "how many dashes of bitters": the unit is no part of the name.
  const dosed = amountFirst(`2 ${said}`);
  const name = dosed && dosed.amount.unit !== "piece" ? dosed.rest : said;
  return withFound(name, find, (ingredient) => ({
    intent: { ask: "how-much", ingredient },
    targetWords: targetWordsOf(target),
  }));
}

/** Each of these ways, so many usual steps; null where there is no way. */
function leaning(ways: readonly Lean[] | null, steps = 1): Clause | null {
  const byOf = (lean: Lean) => steps * LEAN_STEP_SCALES * AXES[AXIS_INDEX[LEANS[lean].axis]].scale;
  const leans = ways?.map((lean) => (steps === 1 ? { lean } : { lean, by: byOf(lean) }));
  return leans ? { intent: { ask: "lean", leans, keep: [] }, targetWords: null } : null;
}

const lean = (way: Lean | null, steps?: number) => leaning(way && [way], steps);

/** "a touch drier", "not too sweet", "less sweet". */
function readWay(said: string): Clause | null {
  const { rest, steps } = sized(said);
  const fault = /^(?:not too|less too) (.+)$/.exec(rest)?.[1];
  return lean(fault === undefined ? leanOf(rest) : cureOf(fault), steps);
}

/** The drink in hand, as it is spoken of. */
const DRINK = "(?:this|it|the drink)";

/** "How could I", before what is to be done. */
const HOW = "how (?:do|can|could|would|should) (?:i|you|we)";

/** What comes before a way to lean: "what would make this drier", "I want it less sweet". */
const MAKE = `(?:(?:what|which change|what change) (?:would|will|could|might|can)? ?(?:makes?|gets?|turns?) ${DRINK}|how (?:do|can|could|would|should) (?:i|you|we|one) (?:make|get|turn) ${DRINK}|what (?:do|can|could|should|must) (?:i|you|we) (?:do|change) to (?:make|get) ${DRINK}|(?:could|can|would) (?:you|we|i) (?:make|get) ${DRINK}|(?:make|get|turn) ${DRINK}|(?:i|we)(?:'d| would)? (?:want|like|need|prefer) ${DRINK}(?: to be)?|${DRINK} (?:should|could|wants to|needs to|has to|must|ought to) be|(?:i|we)(?:'d| would) (?:want|like|prefer)(?: something)?|go|let's go)`;

const asksIn = (ask: "least" | "where", target?: string): Clause | null =>
  joined(target) ? null : { intent: { ask }, targetWords: targetWordsOf(target) };

/** How drinks and ingredients are asked about, in the order tried. */
export const ASK_RULES: readonly ClauseRule[] = [
  {
    id: "figures",
    example: "how much sugar is in it",
    pattern: form`how much (?:sugar|acid|alcohol|sweetness|acidity) (?:(?:is|'s)(?: there)? in ${DRINK}(?: now)?|in ${DRINK}|(?:does|has) ${DRINK}(?: have| hold| contain| got)?)|(?:is|was) ${DRINK} (?:too |very |really )?(?:sweet|sour|tart|sharp|strong|boozy|weak|dry|acidic)(?: enough)?(?: or not)?|what (?:abv|strength|proof)|what (?:abv|strength|proof|acidity|sugar|sweetness) (?:is ${DRINK}|(?:does|has) ${DRINK}(?: have| got)?)`,
    read: () => asksIn("where"),
  },
  {
    id: "least",
    example: "how do I fix it",
    pattern: form`(?:(?:${HOW}|what would|(?:can|could) (?:i|you|we)) )?(?:fix|mend|save|balance|rescue|correct|repair) ${DRINK}|what (?:do|should|must|can|could|would) (?:i|you|we) (?:change|do|fix|alter)(?: first| next| about ${DRINK})?|what (?:should|could) (?:change|be changed)|what does ${DRINK} (?:need|want|lack)`,
    read: () => asksIn("least"),
  },
  {
    id: "least-into",
    example: "what would bring this into sour range",
    pattern: form`(?:(?:${HOW}|(?:what|which change|what change) (?:would|will|could|can)|(?:can|could) (?:i|you|we)) )?(?:gets?|brings?|puts?|moves?|pushe?s?|turns?) ${DRINK} (?:back )?(?:in|into|inside) (.+)`,
    read: ([target]) => asksIn("least", target),
  },
  {
    id: "least-like",
    example: "more like a daisy",
    pattern: form`(?:(?:get|make|bring|move|take|push) ${DRINK} )?(?:more like|closer to|nearer(?: to)?|toward|towards) (?:a |an |the )?(.+)`,
    read: ([target]) => asksIn("least", target),
  },
  {
    id: "least-change",
    example: "the least change for a daisy",
    pattern: form`(?:what(?:'s| is| would be) )?the (?:least|smallest|minimum|minimal|easiest) (?:change|fix|move|tweak)(?: (?:for|into|to (?:get|bring|put|make|turn) ${DRINK}(?: in| into)?|that (?:gets|brings|puts|makes) ${DRINK}(?: in| into)?) (.+))?`,
    read: ([target]) => asksIn("least", target),
  },
  {
    id: "how-much-for",
    example: "how much lime do I need for sour range",
    pattern: form`(?:how (?:much|many|little)|what (?:amount|dose|quantity) of|the (?:right |best )?(?:amount|dose) of)(?: more| less)? (.+?)(?: (?:do|does|should|would|must|can|could|will|shall) (?:i|we|you|it|one|this)(?: (?:need|add|use|want|take|pour|put in|have|drop|cut|go))?(?: to add| to use)?| is needed| is right| is best)? ${INTO} (.+)`,
    read: ([said = "", target], find) => howMuch(said, target, find),
  },
  {
    id: "how-much",
    example: "how much lime",
    pattern: form`(?:how (?:much|many|little)|what (?:amount|dose|quantity) of|(?:what is |what's )?the (?:right |best |perfect )?(?:amount|dose) of|every dose of|all doses of)(?: more| less)? (.+?)(?: (?:do|does|should|would|must|can|could|will|shall|might) (?:i|we|you|it|one|this|the drink)(?: (?:need|add|use|want|take|pour|put in|have|drop|cut|get away with|go))?(?: to add| to use)?| is needed| is right| is best| is enough| would fix (?:it|this)| fixes (?:it|this)| works?| to (?:add|use|pour|balance(?: (?:it|this))?|fix(?: (?:it|this))?))?`,
    read: ([said = ""], find) => howMuch(said, undefined, find),
  },
  {
    id: "fix-with",
    example: "can I fix it with lime",
    pattern: form`(?:(?:can|could|would|will) (?:i |we |you )?)?(?:fix|save|balance|rescue|correct) ${DRINK} (?:with|by|using)(?: just| only| more)? (.+)|(?:will|would|can|could|does) (.+?) (?:fix|save|balance|rescue|help|correct)(?: ${DRINK})?`,
    read: ([a, b], find) => howMuch(a ?? b ?? "", undefined, find),
  },
  {
    id: "lean",
    example: "what would make this a bit drier",
    pattern: form`${MAKE} (.+)`,
    read: ([said = ""]) => readWay(said),
  },
  {
    id: "too",
    example: "it's too tart",
    pattern: form`(?:why (?:is|does) ${DRINK}(?: taste| seem| feel| come out)? |(?:this|it|the drink|that|mine)(?:'s| is| tastes| seems| feels| comes out| came out| was) )?(?:(?:a bit|a little|a touch|slightly|way|much|far|still|just|rather|a little bit) )*too (.+?)(?: for me| now| here)?`,
    read: ([said = ""]) => leaning(curesOf(said, true)),
  },
  {
    id: "not-enough",
    example: "not sweet enough",
    pattern: form`(?:${DRINK}(?:'s| is| tastes| has)? )?(?:not|isn't|hasn't got|hasn't|doesn't have|doesn't taste|nowhere near|hardly)(?: quite| nearly)? (?:(.+) enough|enough (.+))`,
    read: ([a, b]) => lean(leanToward((a ?? b ?? "").replace(/^not /, ""), true)),
  },
  {
    id: "lacks",
    example: "it needs more acid",
    pattern: form`(?:(?:this|it|the drink|i|we) )?(?:(?:needs?|wants?|could use|could do with|would like|'d like|should have|has|have) )?(a bit |a little |a touch |slightly |some |much |a lot )?(more|less|too much|too little|not enough) (.+)`,
    read: ([size = "", way = "", what = ""]) => {
      const more = way === "more" || way === "too little" || way === "not enough";
      return lean(leanToward(what, more), sized(`${size}x`).steps);
    },
  },
  {
    id: "lacks-it",
    example: "it lacks acid",
    pattern: form`${DRINK} (?:lacks|is lacking|is missing|is short of|is short on) (.+)`,
    read: ([what = ""]) => lean(leanToward(what, true)),
  },
  {
    id: "bare-lean",
    example: "less sweet",
    pattern: form`(.+)`,
    read: ([said = ""]) => readWay(said),
  },
  {
    id: "flat",
    example: "it's a bit flat",
    pattern: form`(?:why (?:is|does) ${DRINK}(?: taste| seem| feel)?|(?:this|it|the drink|that|mine)(?:'s| is| tastes| seems| feels)) (?:(?:a bit|a little|a touch|slightly|rather|very|really|quite|so) )*(.+)`,
    read: ([said = ""]) => leaning(curesOf(said, false)),
  },
  {
    id: "verb",
    example: "sweeten it a touch",
    pattern: form`(?:(?:${HOW}|can (?:i|you|we)) )?([a-z]+)(?: ${DRINK})(?: (?:up|out|off|down))?( (?:just )?a (?:bit|little|little bit|touch|hair|tad))?`,
    read: ([verb = "", size = ""]) => lean(leanBy(verb), sized(`${size.trim()} x`).steps),
  },
  {
    id: "can-take",
    example: "can it take more lime",
    pattern: form`(?:(?:can|could|would|will|might|does) ${DRINK} (?:take|use|stand|bear|handle|need|want)|(?:should|must|do|could|can) (?:i|we) (?:need|have|want|use|add|pour|put in)(?: to (?:use|add|pour))?)(?: some| any| a bit| a little| a touch)?(?: more| less| extra)? (.+)|(?:would|will|might|could) (?:some |more |a little |a bit of )?(.+) (?:work|do it|do the job)`,
    read: ([a, b], find) => howMuch(a ?? b ?? "", undefined, find),
  },
  {
    id: "needs-more",
    example: "it needs more lime",
    pattern: form`(?:(?:${DRINK} )?(?:needs?|wants?|could use|could do with) |(?:use|add|put in|pour|try) )?(?:some |a bit |a little |a touch )?(?:more|less) (.+)`,
    read: ([said = ""], find) => howMuch(said, undefined, find),
  },
  {
    id: "where-of",
    example: "how far is this from sour range",
    pattern: form`(?:how far (?:is|am|off is|away is) (?:this|it|i|the drink)(?: off)? from|how close is ${DRINK} to|how (?:far from|close to|near(?: to)?)(?= .+ (?:is|am) (?:this|it|i|the drink)$)|(?:is|am|are) (?:this|it|i|we|the drink) (?:in|inside|within|near|close to|a|an)|(?:does|will|would) (?:this|it) (?:count as|sit in|land in|fall in|fit)) (.+?)(?: yet| now| (?:is|am) (?:this|it|i|the drink))?`,
    read: ([target]) => asksIn("where", target),
  },
  {
    id: "where",
    example: "where does it sit",
    pattern: form`where (?:is|does|am|are|'s) (?:this|it|i|we|the drink)(?: sit| stand| land| now)?|how far off (?:is|am|are) (?:this|it|i|we|the drink)|how close (?:is|am) (?:this|it|i|the drink)|is ${DRINK} (?:balanced|ok|right|good balance)|what(?:'s| is) wrong(?: with ${DRINK})?|how (?:sweet|sour|strong|tart|sharp|boozy|acidic) is ${DRINK}|what(?:'s| is) (?:the|its) (?:abv|strength|balance|sugar|acid|acidity|sweetness)(?: of (?:this|it))?|what have i got|where are we`,
    read: () => asksIn("where"),
  },
];

/** What leads in to a change and says nothing of it. */
const LEAD =
  /^(?:(?:please|ok|okay|so|hey|well|now|then|also|and|but|plus|maybe|perhaps) )*(?:what (?:if|happens (?:if|when|to it if)|would happen if|about (?:if )?)|how about(?: if)?|suppose|supposing|say|imagine|if|try|let's|let us|can|could|should|shall|would it help (?:if|to)|does it help (?:if|to)|what does it do (?:if|to)|(?:where|how) (?:does it|would it|do i|will it) (?:go|end up|land|taste|be|sit|look)(?: if| when)?|show me(?: it)?|i(?:'d| would) like to|i(?:'ll| will)|i want to|want to|i'm thinking of|thinking of|and if)? ?(?:(?:i|we|you|one|they|it had|it has|there (?:was|were|is)) )?(?:(?:were to|was to|to|just|try to|tried to|try|now|then|could|can|would) )*/;

/** Verbs as rules have them, each before its other forms. */
const VERB_FORMS = `
  swap swapped swapping swaps; replace replaced replacing; change changed changing; switch switched switching;
  substitute substituted substituting; use used using; add added adding; take took taking; leave left leaving;
  drop dropped dropping; skip skipped skipping; remove removed removing; cut cutting; omit omitted omitting;
  double doubled doubling; halve halved halving; thin thinned thinning; make made making; bring brought bringing;
  pour poured pouring; raise raised raising; lower lowered lowering; reduce reduced reducing; dilute diluted diluting`;

const PLAIN_VERBS: ReadonlyMap<string, string> = new Map(
  VERB_FORMS.split(";").flatMap((forms) => {
    const [plain = "", ...others] = forms.trim().split(/\s+/);
    return others.map((form) => [form, plain] as const);
  }),
);

/** Said after a change and no part of it. */
const TAIL =
  /(?:,? (?:please|though|then|now|for me|in there|in it|in this|to it|to this|to the (?:drink|mix|glass)|in the (?:drink|mix|glass)|from it|from this|from the drink|out of it|a go))+$/;

function firstThat(rules: readonly ClauseRule[], said: string, find: Finder): Clause | null {
  let refused: Clause | null = null;
  for (const rule of rules) {
    const match = rule.pattern.exec(said);
    const read = match && rule.read(match.slice(1), find);
    if (read && "intent" in read) return read;
    // A later rule may still read it; else the first that knew the form says why it could not.
    refused ??= read;
  }
  return refused;
}

/** "less sweet without losing acid": the clauses that keep, taken off. */
const KEEP_SPLIT =
  / (?:without|while|but|and|yet|,)?,? ?(?=(?:keep|keeping|holding|leaving) )| without | (?:at|with) (?=the same )|,? (?:but|and) (?:don't|do not|dont) |,? (?:but|and) (?:not|no) |, not /;

function withKeeps(said: string, find: Finder): Clause | null {
  const [first = "", ...clauses] = said.split(KEEP_SPLIT);
  const asked = clauses.length > 0 ? readBare(first.replace(/,$/, ""), find) : null;
  if (!asked || "code" in asked || asked.intent.ask !== "lean") return null;
  const keep: Keep[] = [];
  for (const clause of clauses) {
    const read = keepsOf(clause.trim());
    if (read === null) return { code: "no-axis", said: clause.trim() };
    keep.push(...read);
  }
  return { ...asked, intent: { ...asked.intent, keep } };
}

function readBare(said: string, find: Finder): Clause | null {
  const asked = firstThat(ASK_RULES, said, find);
  if (asked && "intent" in asked) return asked;
  let bare = said.replace(LEAD, "").replace(TAIL, "");
  bare = bare.replace(/^(?:it|this|the drink) (?=(?:without|with|over|on) )/, "");
  bare = bare.replace(/^(?:went|going) with\b/, "go with");
  bare = bare.replace(/^\w+/, (verb) => PLAIN_VERBS.get(verb) ?? verb);
  const change = firstThat(CHANGE_RULES, bare, find);
  if (change && "intent" in change) return change;
  const again = bare !== said ? firstThat(ASK_RULES, bare, find) : null;
  return again && "intent" in again ? again : (asked ?? change ?? again);
}

/** What one clause asks, or null when no form fits it. `said` is lower case, in single spaces. */
export function readClause(said: string, find: Finder): Clause | null {
  const whole = readBare(said, find);
  if (whole && "intent" in whole) return whole;
  return withKeeps(said.replace(LEAD, ""), find) ?? withKeeps(said, find) ?? whole;
}
