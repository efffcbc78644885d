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

/** What a constraint asks, as it stands in a sentence. */
export function labelOf(subject: Subject, name: (ingredient: string) => string): string {
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

/** "More lime juice", "More lime juice, less simple syrup", "Let in lemon juice". `names` in the moves' order. */
export function proposalName(moves: readonly Move[], names: readonly string[]): string {
  const groups: [string, (m: Move) => boolean][] = [
    ["let in", (m) => m.kind === "add"],
    ["more", (m) => m.kind === "pour" && m.deltaMl > 0],
    ["less", (m) => m.kind === "pour" && m.deltaMl < 0],
    ["no", (m) => m.kind === "drop"],
  ];
  const parts = groups.flatMap(([word, test]) => {
    const named = names.filter((_, k) => moves.some((m, j) => j === k && test(m)));
    return named.length > 0 ? [`${word} ${joinWords(named)}`] : [];
  });
  return upperFirst(parts.join(", "));
}

/** One axis that moved, and by which move. */
export interface Shift {
  axis: AxisIndex;
  from: number;
  to: number;
  by: { move: Move; name: string } | null;
}

/** A move as the subject of a sentence: "less lime juice". */
function doing({ move, name }: NonNullable<Shift["by"]>): string {
  if (move.kind === "add") return name;
  if (move.kind === "drop") return `leaving out ${name}`;
  return `${move.deltaMl > 0 ? "more" : "less"} ${name}`;
}

/** One sentence: what was out, and which move brings it in, from where to where. */
export function whyText(target: string, shifts: readonly Shift[], wasOutside: boolean): string {
  if (!wasOutside) return `The drink was inside ${target} already, and stays inside.`;
  if (shifts.length === 0) return "The drink was a trace outside, and this is just enough to bring it in.";
  const phrases = shifts.map(({ axis, from, to, by }, i) => {
    const subject = i > 0 && shifts[i - 1]?.by?.move === by?.move ? "" : `${by ? doing(by) : "the change"} `;
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
  measure: MeasureId,
  before: Membership,
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
  return `${before.text} ${moves}. ${claim}`;
}

/** When a limit struck before anything was found. */
export function nothingFoundText(limit: Limit): string {
  return `No answer was found before the ${limitWord(limit)} ran out; none was ruled out either.`;
}

/** Nearer than this, axis scales, no gap is large enough to be written. */
const AT_THE_EDGE = 0.02;

/** Why nothing is inside. */
export function infeasibleText(
  target: string,
  nearest: Membership,
  facts: { inBetweenWouldDo: boolean; keepsRules: boolean; maxTouched: number; movable: number },
): string {
  if (facts.inBetweenWouldDo) {
    return facts.maxTouched < facts.movable
      ? `In-between amounts of more ingredients would do, but no pour on this ladder with at most ${facts.maxTouched} changed does.`
      : "In-between amounts would do, but no pour on this ladder lands inside: a finer ladder would help.";
  }
  if (facts.keepsRules && nearest.signedDistance < AT_THE_EDGE) {
    return `No amounts within these limits reach ${target}; the nearest drink they pour only comes to its edge.`;
  }
  return facts.keepsRules
    ? `No amounts within these limits reach ${target}; the nearest drink they pour is still out (${nearest.text})`
    : "No drink was found within these limits that keeps every rule at once (glass, character, drift), whatever the target.";
}

/** What a refutation is about, for its sentence. */
export interface RefutationFacts {
  /** Short names of each set's ingredients; "all" for every set of `touched`. */
  sets: "all" | readonly string[][];
  touched: number;
  movable: number;
  /** Labels of the limits that weigh most; null when every pour was tried instead. */
  limits: readonly string[] | null;
  /** The cell's strengths, where there are several cells. */
  strength: { from: number; to: number } | null;
}

/** In words: who cannot do it, and which limits pull against each other. */
export function refutationText({ sets, touched, movable, limits, strength }: RefutationFacts): string {
  const first = sets === "all" ? [] : (sets[0] ?? []);
  const who =
    sets === "all"
      ? touched >= movable
        ? "Everything that may change, together"
        : `Any ${touched === 1 ? "one ingredient" : `${touched} ingredients`}`
      : sets.length <= 3
        ? joinWords(sets.map((set) => set.join(" with ")))
        : `${first.join(" with ")} and ${sets.length - 1} other sets`;
  if (limits === null) return `${who}: between the rungs only; every pour was tried.`;
  const percent = (e: number) => Math.round(100 * e);
  const where = strength ? ` (mix between ${percent(strength.from)} and ${percent(strength.to)} % vol)` : "";
  if (limits.length === 0) return `${who}: no such mix can be poured${where}.`;
  return limits.length === 1
    ? `${who}: cannot reach ${limits[0]}${where}.`
    : `${who}: cannot meet ${joinWords(limits)} together${where}.`;
}

/** What the proof rests on besides arithmetic. */
export function assumptionTexts(facts: {
  measure: MeasureId;
  hasFurtherTest: boolean;
  unlisted: number;
  unlistedBoxes: number;
}): string[] {
  return [
    "Finished volume is enclosed by lines that hold for every pour, by bounds on its second derivatives; the sums are in double precision, and every limit is loosened by more than they round.",
    ...(facts.measure === "relative" || facts.measure === "cost"
      ? [`bound.volumeMl and gap are in the units of the "${facts.measure}" measure, not mL.`]
      : []),
    ...(facts.measure === "drift"
      ? ["Least drift is proved in quarters of a step; the refutations and the bound hold within that drift."]
      : []),
    ...(facts.hasFurtherTest ? ["A further test of each drink was supplied with the request."] : []),
    ...(facts.unlisted > 0
      ? [`${facts.unlisted} refuted sets of ingredients were too many to list here.`]
      : []),
    ...(facts.unlistedBoxes > 0
      ? [`${facts.unlistedBoxes} boxes of the search were too many to list here.`]
      : []),
  ];
}

const SAVED: Record<MeasureId, { unit: string; amount: string }> = {
  "fewest-then-volume": { unit: "mL", amount: "mL" },
  volume: { unit: "mL", amount: "mL" },
  drift: { unit: "mL", amount: "mL" },
  relative: { unit: "share of an amount", amount: "of one amount" },
  cost: { unit: "money", amount: "of money moved" },
};

/** The price of one limit, from its numbers: "Sugar at most 9 g/100 mL is what costs you: …". */
export function priceInWords(
  measure: MeasureId,
  price: Omit<Multiplier, "unit" | "text">,
  labels: { limit: string; target: string },
): Multiplier {
  const { value } = price;
  const { unit: saved, amount } = SAVED[measure];
  const saves = (x: number) => `${x >= 100 ? Math.round(x) : Number(x.toPrecision(2))} ${amount}`;
  const label = upperFirst(labels.limit);
  switch (price.role) {
    case "amount":
      return {
        ...price,
        unit: `${saved} per mL`,
        text: `The ${labels.limit} stands at its ${price.side}: each mL of room would save ${saves(value)}.`,
      };
    case "glass":
      return {
        ...price,
        unit: `${saved} per mL of glass`,
        text: `${label} is what costs you: each 10 mL more room would save ${saves(10 * value)}.`,
      };
    case "target":
    case "drift": {
      if (price.axis !== undefined) {
        const { unit, decimals } = AXES[AXIS_INDEX[price.axis]];
        const step = decimals > 1 ? 0.1 : 1;
        return {
          ...price,
          unit: `${saved} per ${unit}`,
          text: `${label} is what costs you: each ${step} ${unit} of slack would save ${saves(value * step)}.`,
        };
      }
      return {
        ...price,
        unit: `${saved} per unit of the face`,
        text: price.isCurved
          ? `The edge of ${labels.target} is what costs you: the change ends exactly on it.`
          : `${label} is what costs you.`,
      };
    }
    default:
      return { ...price, unit: `${saved} per unit of the rule`, text: `${label} is what costs you.` };
  }
}
