/** Every sentence of the solver; nothing here decides anything. */
import { formatAmount, formatDelta } from "../amounts/format-amount.ts";
import type { AmountContext } from "../amounts/units.ts";
import { AXES, AXIS_INDEX, AXIS_INDICES, type AxisIndex, showOnAxis } from "../axes.ts";
import type {
  Ingredient,
  MeasureId,
  Membership,
  Move,
  Multiplier,
  PourLadder,
  Proposal,
  SolveCertificate,
} from "../types.ts";
import { joinWords, lowerFirst, shortName, upperFirst } from "../wording.ts";
import type { Subject } from "./constraint.ts";
import type { Limit } from "./effort.ts";
import type { Ruled } from "./levels.ts";
import type { Question } from "./question.ts";
import { isLexicographic } from "./request.ts";

/** Lower case at the start, except for acronyms. */
const withinSentence = (name: string) => (/^[A-Z][a-z]/.test(name) ? lowerFirst(name) : name);

/** Each ingredient's name without its qualifiers, or with them where another shares the short one. */
export function shortNames(ingredients: readonly Ingredient[]): string[] {
  const brief = ingredients.map((i) => withinSentence(shortName(i.name)));
  return ingredients.map((own, i) => {
    const isClear = ingredients.every((other, j) => other === own || brief[j] !== brief[i]);
    return (isClear && brief[i]) || withinSentence(own.name);
  });
}

/** What a constraint asks of a drink of these amounts, as it stands in a sentence. */
export function labelOf(subject: Subject, variables: Question["variables"]): string {
  const name = (id: string) => variables.find((v) => v.ingredient.id === id)?.shortName ?? id;
  switch (subject.role) {
    case "target":
    case "drift":
      return subject.face.label;
    case "glass":
      return subject.side === "most" ? "the glass" : "the size of the drink";
    case "share":
      return `${name(subject.ingredient)} at ${subject.percent} % of the glass`;
    case "order":
      return `${name(subject.ingredient)} at least as much as ${name(subject.other)}`;
    case "poured":
      return "something in the glass";
    case "strength":
      return `the mix's ${subject.side} strength in this cell`;
  }
}

/** "lime juice: ¾ oz → 1 oz (+¼ oz)". */
export function moveText(
  { kind, fromMl, toMl, deltaMl }: Pick<Move, "kind" | "fromMl" | "toMl" | "deltaMl">,
  name: string,
  ladder: PourLadder,
  context: AmountContext,
): string {
  const from = formatAmount(fromMl, ladder, context);
  const to = formatAmount(toMl, ladder, context);
  if (kind === "add") return `${name}: add ${to}`;
  if (kind === "drop") return `${name}: leave out (was ${from})`;
  return `${name}: ${from} → ${to} (${formatDelta(deltaMl, ladder, context)})`;
}

/** A move, and what its ingredient is called in this drink. */
export interface NamedMove {
  move: Move;
  name: string;
}

/** What moves do, in the order that a proposal's name has it, and the same before the name of what it is done to. */
const DOINGS = { "let in": "", more: "more ", less: "less ", no: "leaving out " };

function doingOf({ kind, deltaMl }: Move): keyof typeof DOINGS {
  if (kind === "add") return "let in";
  if (kind === "drop") return "no";
  return deltaMl > 0 ? "more" : "less";
}

/** "More lime juice", "More lime juice, less simple syrup", "Let in lemon juice". */
export function proposalName(moves: readonly NamedMove[]): string {
  const parts = Object.keys(DOINGS).flatMap((doing) => {
    const names = moves.filter(({ move }) => doingOf(move) === doing).map(({ name }) => name);
    return names.length > 0 ? [`${doing} ${joinWords(names)}`] : [];
  });
  return upperFirst(parts.join(", "));
}

/** One axis that moved, and by which move. */
export interface Shift {
  axis: AxisIndex;
  from: number;
  to: number;
  by: NamedMove;
}

/** One sentence: what was out, and which move brings it in, from where to where. */
export function whyText(target: string, shifts: readonly Shift[], wasOutside: boolean): string {
  if (!wasOutside) return `The drink was inside ${target} already, and stays inside.`;
  if (shifts.length === 0) return "The drink was a trace outside, and this is just enough to bring it in.";
  const phrases = shifts.map(({ axis, from, to, by }, i) => {
    const subject = shifts[i - 1]?.by === by ? "" : `${DOINGS[doingOf(by.move)]}${by.name} `;
    const verb = to >= from ? "lifts" : "brings down";
    const span = `from ${showOnAxis(axis, from)} to ${showOnAxis(axis, to)} ${AXES[axis].unit}`;
    return `${subject}${verb} ${AXES[axis].name} ${span}`;
  });
  const rest = AXIS_INDICES.filter((k) => shifts.every((s) => s.axis !== k)).map((k) => AXES[k].name);
  const tail = rest.length > 0 ? `; ${joinWords(rest)} ${rest.length > 1 ? "end" : "ends"} in range` : "";
  return `${upperFirst(joinWords(phrases))}${tail}.`;
}

const BY_MEASURE: Record<MeasureId, string> = {
  "fewest-then-volume": "with less poured or taken away",
  volume: "with less poured or taken away in total",
  relative: "with smaller changes relative to the amounts",
  drift: "closer to the first round, to a quarter of a step",
  cost: "with less money moved",
};

const limitWord = (limit: Limit) => (limit === "time" ? "time" : "allowance of search nodes");

/** The answer in words: what was wrong, what to change, and how good that is known to be. */
export function answerText(
  { measure, before }: Question,
  first: Proposal,
  { gap }: SolveCertificate,
  limit: Limit | null,
): string {
  const moves = first.moves.map((m) => m.text).join("; ");
  const fewer =
    isLexicographic(measure) && first.touched > 1
      ? `Fewer than ${first.touched} changes cannot do it, and no`
      : "No";
  const claim =
    limit === null
      ? `${fewer} other pour does it ${BY_MEASURE[measure]}.`
      : `The ${limitWord(limit)} ran out: this is the best found; an answer up to ${gap.toFixed(1)} better${isLexicographic(measure) ? ", or one that touches fewer," : ""} is not ruled out.`;
  return `${before.membership.text} ${moves}. ${claim}`;
}

/** When a limit struck before anything was found. */
export function nothingFoundText(limit: Limit): string {
  return `No answer was found before the ${limitWord(limit)} ran out; none was ruled out either.`;
}

/** Nearer than this, axis scales, no gap is large enough to be written. */
const AT_THE_EDGE = 0.02;

/** Why nothing is inside. */
export function infeasibleText(
  { target: { name }, maxTouched, movable }: Question,
  nearest: Membership,
  { inBetweenWouldDo, keepsRules }: { inBetweenWouldDo: boolean; keepsRules: boolean },
): string {
  if (inBetweenWouldDo) {
    return maxTouched < movable.length
      ? `In-between amounts of more ingredients would do, but no pour on this ladder with at most ${maxTouched} changed does.`
      : "In-between amounts would do, but no pour on this ladder lands inside: a finer ladder would help.";
  }
  if (!keepsRules) {
    return "No drink was found within these limits that keeps every rule at once (glass, character, drift), whatever the target.";
  }
  const reach = `No amounts within these limits reach ${name}; the nearest drink they pour`;
  return nearest.signedDistance < AT_THE_EDGE
    ? `${reach} only comes to its edge.`
    : `${reach} is still out (${nearest.text})`;
}

/** Whom a refutation rules out: a few sets by name, or every set of that size. */
function whoText({ variables, movable }: Question, { sets, touched }: Ruled): string {
  if (sets === "all") {
    if (touched >= movable.length) return "Everything that may change, together";
    return `Any ${touched === 1 ? "one ingredient" : `${touched} ingredients`}`;
  }
  const names = sets.map((set) => set.map((i) => variables[i]?.shortName).join(" with "));
  return names.length <= 3 ? joinWords(names) : `${names[0]} and ${names.length - 1} other sets`;
}

/**
 * In words: who cannot do it, and which limits pull against each other.
 *
 * @param limits those that weigh most; null when every pour was tried instead
 * @param strength the cell's, where there are several cells
 */
export function refutationText(
  question: Question,
  ruled: Ruled,
  limits: readonly string[] | null,
  strength: { from: number; to: number } | null,
): string {
  const who = whoText(question, ruled);
  if (limits === null) return `${who}: between the rungs only; every pour was tried.`;
  const percent = (e: number) => Math.round(100 * e);
  const where = strength ? ` (mix between ${percent(strength.from)} and ${percent(strength.to)} % vol)` : "";
  if (limits.length === 0) return `${who}: no such mix can be poured${where}.`;
  return limits.length === 1
    ? `${who}: cannot reach ${limits[0]}${where}.`
    : `${who}: cannot meet ${joinWords(limits)} together${where}.`;
}

/** What the proof rests on besides arithmetic; `unlisted` sets and boxes were too many for the certificate. */
export function assumptionTexts(
  { measure, request: { extraAccept } }: Question,
  unlisted: { sets: number; boxes: number },
): string[] {
  const texts = [
    "Finished volume is enclosed by lines that hold for every pour, by bounds on its second derivatives; the sums are in double precision, and every limit is loosened by more than they round.",
    (measure === "relative" || measure === "cost") &&
      `bound.volumeMl and gap are in the units of the "${measure}" measure, not mL.`,
    measure === "drift" &&
      "Least drift is proved in quarters of a step; the refutations and the bound hold within that drift.",
    extraAccept && "A further test of each drink was supplied with the request.",
    unlisted.sets > 0 && `${unlisted.sets} refuted sets of ingredients were too many to list here.`,
    unlisted.boxes > 0 && `${unlisted.boxes} boxes of the search were too many to list here.`,
  ];
  return texts.filter((text) => typeof text === "string");
}

/** What a limit's price is in, by measure, and how an amount of it is said. */
const SAVED: Record<MeasureId, { unit: string; amount: string }> = {
  "fewest-then-volume": { unit: "mL", amount: "mL" },
  volume: { unit: "mL", amount: "mL" },
  drift: { unit: "mL", amount: "mL" },
  relative: { unit: "share of an amount", amount: "of one amount" },
  cost: { unit: "money", amount: "of money moved" },
};

/** The price of one limit, from its numbers: "Sugar at most 9 g/100 mL is what costs you: …". */
export function priceInWords(
  { measure, target }: Question,
  limit: string,
  price: Omit<Multiplier, "unit" | "text">,
): Multiplier {
  const { unit: saved, amount } = SAVED[measure];
  const inWords = (per: string, text: string) => ({ ...price, unit: `${saved} per ${per}`, text });
  const saves = (room: number) => {
    const x = price.value * room;
    return `would save ${x >= 100 ? Math.round(x) : Number(x.toPrecision(2))} ${amount}`;
  };
  const costs = `${upperFirst(limit)} is what costs you`;
  switch (price.role) {
    case "amount":
      return inWords("mL", `The ${limit} stands at its ${price.side}: each mL of room ${saves(1)}.`);
    case "glass":
      return inWords("mL of glass", `${costs}: each 10 mL more room ${saves(10)}.`);
    case "target":
    case "drift": {
      if (price.axis !== undefined) {
        const { unit, decimals } = AXES[AXIS_INDEX[price.axis]];
        const step = decimals > 1 ? 0.1 : 1;
        return inWords(unit, `${costs}: each ${step} ${unit} of slack ${saves(step)}.`);
      }
      const onEdge = `The edge of ${target.name} is what costs you: the change ends exactly on it.`;
      return inWords("unit of the face", price.isCurved ? onEdge : `${costs}.`);
    }
    default:
      return inWords("unit of the rule", `${costs}.`);
  }
}
