import { formatAmount, formatDelta, formatQuantity } from "../amounts/format-amount.ts";
import { AXES, AXIS_INDEX, AXIS_INDICES, showOnAxis, toVec } from "../axes.ts";
import { METHODS } from "../dilution/methods.ts";
import type { PlacedSpec } from "../explore/changed-spec.ts";
import { firstOfEach } from "../explore/first-of-each.ts";
import { HOLDS_CHANCE } from "../explore/keeps.ts";
import type { SolveRequest } from "../solve/request.ts";
import type { FaceViolation, Membership, Pantry, Proposal, Vec3 } from "../types.ts";
import { joinWords, lowerFirst, type Sentences, sentenceOf, shortName, upperFirst } from "../wording.ts";
import type { Trouble } from "./clause.ts";
import type { Companion } from "./companion.ts";
import type { DoseRung, DoseStrip } from "./dose-strip.ts";
import type { Intent, Keep, LeanIntent, SaidAmount, WhatIfChange } from "./intent.ts";

/*
 * Every sentence of the questions and their answers, made at the edge from facts.
 */

const quoted = (said: string) => `“${said}”`;

/** Why a question was not read. */
export function troubleText(trouble: Trouble, pantry: Pantry): string {
  const name = (id: string) => pantry.get(id)?.name ?? id;
  const sentences: Sentences<Trouble> = {
    which: ({ said, ids }) => `${quoted(said)} could be ${joinWords(ids.map(name), "or")}: say which`,
    unknown: ({ said, ids }) =>
      said === ""
        ? "The question names no ingredient"
        : `${quoted(said)} is not in the pantry${ids.length > 0 ? `; near it are ${joinWords(ids.map(name))}` : ""}`,
    form: () => "This form of question is not one I know",
    "no-amount": ({ said }) => `${quoted(said)} has no amount with a unit: say how much, for example ¼ oz`,
    "of-what": () => "It does not say of what: name the ingredient",
    "instead-of-what": ({ id }) => `It does not say what ${name(id)} takes the place of: name it`,
    "too-strong": ({ id }) =>
      `${name(id)} is too strong to take anything's place pour for pour: say how much, in grams`,
    "no-such-syrup": ({ id, wanted }) =>
      `The pantry has no ${wanted} syrup of the kind of ${name(id)}: let in some water, or enter your own`,
    "no-syrup": ({ id }) => `${name(id)} is no syrup that comes in strengths: say its amount instead`,
    "not-in-drink": ({ id }) => `${name(id)} is not in this drink: name one of its own, or add some`,
    "no-axis": ({ said }) => `${quoted(said)} is not something to keep: sugar, acid or alcohol are`,
    contrary: () => "It asks one axis to go two ways, or to move and stay: ask for one of them",
    several: ({ parts }) =>
      `These are ${parts.length === 2 ? "two" : "several"} questions, and one answer cannot hold them: ask one at a time`,
  };
  return sentenceOf(sentences, trouble);
}

const said = ({ amount, unit }: SaidAmount) => formatQuantity(Math.abs(amount), unit);

function changeText(change: WhatIfChange, name: (id: string) => string): string {
  if ("scale" in change) return `every amount is taken × ${Number(change.scale.toPrecision(3))}`;
  if ("method" in change) return `it is ${METHODS[change.method].name.toLowerCase()}`;
  const of = name(change.ingredient);
  if ("swapFor" in change) return `${of} becomes ${name(change.swapFor)}, same amount`;
  if ("times" in change) return `${of} is taken × ${Number(change.times.toPrecision(3))}`;
  if ("to" in change) return change.to.amount === 0 ? `${of} is left out` : `${of} is ${said(change.to)}`;
  return `${of} goes ${change.by.amount < 0 ? "down" : "up"} ${said(change.by)}`;
}

const KEPT: Record<Keep["how"], string> = {
  same: "kept the same",
  "not-less": "not falling",
  "not-more": "not rising",
};
const axisName = (axis: Keep["axis"]) => AXES[AXIS_INDEX[axis]].name;

/** A question as it was understood. */
export function intentText(intent: Intent, pantry: Pantry, targetWords: string | null): string {
  const name = (id: string) => pantry.get(id)?.name ?? id;
  const range = targetWords === null ? "range" : `${targetWords} range`;
  switch (intent.ask) {
    case "how-much":
      return `How much ${name(intent.ingredient)}, alone, brings this drink into ${range}`;
    case "what-if":
      return `What if ${joinWords(intent.changes.map((change) => changeText(change, name)))}`;
    case "lean": {
      const ways = intent.leans.map(({ lean, by }) =>
        by === undefined ? lean : `${lean} by ${Number(by.toPrecision(3))}`,
      );
      const kept = intent.keep.map(({ axis, how }) => `, ${axisName(axis)} ${KEPT[how]}`);
      return `The least change that makes this ${joinWords(ways)}${kept.join("")}`;
    }
    case "least":
      return `The least change that brings this drink into ${range}`;
    case "where":
      return targetWords === null ? "Where this drink sits" : `How far this drink is from ${range}`;
  }
}

const figures = (v: Vec3) =>
  `${v[0].toFixed(1)} g sugar, ${v[1].toFixed(2)} g acid per 100 mL, ${v[2].toFixed(1)} % vol`;

/** A chance as bartenders count it, never more than it is: "8 glasses of 10". */
export function glassesText(chance: number): string {
  if (chance >= 0.995) return "practically every glass";
  if (chance < 0.05) return "hardly any glass";
  const tenths = Math.min(9, Math.max(1, Math.floor(chance * 10 + 1e-9)));
  return `${tenths} glass${tenths === 1 ? "" : "es"} of 10`;
}

/** How each measure is called and written, and the gap that counts as one when unlike gaps are compared. */
const MEASURES: Record<FaceViolation["measure"], { name: string; decimals: number; scale: number }> = {
  sugar: AXES[0],
  acid: AXES[1],
  abv: { ...AXES[2], name: "alcohol" },
  ratio: { name: "sugar to acid", decimals: 1, scale: 1 },
  face: { name: "the rest", decimals: 2, scale: 1 },
};
/** A gap below this, of one, nobody would notice beside a larger. */
const SMALL_GAP = 0.15;

type Gap = DoseRung["out"][number];

function outText({ measure, side }: Gap): string {
  if (measure === "ratio")
    return side === "over" ? "it is too sweet for its acid" : "it is too sour for its sugar";
  return `${MEASURES[measure].name} is ${side}`;
}

/** "acid is 0.21 short". */
function gapText({ measure, by, side }: Gap): string {
  return `${MEASURES[measure].name} is ${by.toFixed(MEASURES[measure].decimals)} ${side}`;
}

/** What is out with a dose: for each measure the largest gap, without those nobody would notice. */
function toldOut({ out, ml }: DoseRung, strip: DoseStrip): Gap[] {
  const largest = firstOfEach(out, ({ measure }) => measure);
  const told = largest.filter(
    (v) => v.by >= SMALL_GAP * MEASURES[v.measure].scale && !isIn(strip, v.measure, ml),
  );
  return told.length > 0 ? told : largest;
}

/** What is out of range with a dose: "acid is 0.21 short". */
export function missText({ out }: Pick<DoseRung, "out">): string {
  const size = ({ by, measure }: Gap) => by / MEASURES[measure].scale;
  const [worst] = out.toSorted((a, b) => size(b) - size(a));
  if (!worst) return "in range";
  return worst.measure === "ratio" ? outText(worst) : gapText(worst);
}

/** Where the drink sits. */
export function whereText(vector: Vec3, membership: Membership, target: string): string {
  return membership.inside
    ? `Inside ${target}: ${figures(vector)}.`
    : `${membership.text} It sits at ${figures(vector)}.`;
}

/** What changed, and where the drink is now. */
export function whatIfText(before: PlacedSpec, after: PlacedSpec, membership: Membership): string {
  const moved = AXIS_INDICES.flatMap((k) => {
    const d = after.vector[k] - before.vector[k];
    const by = showOnAxis(k, Math.abs(d));
    return Number(by) === 0 ? [] : [`${AXES[k].name} ${d > 0 ? "up" : "down"} ${by}`];
  });
  const [beforeMl, afterMl] = [before.finishedVolumeMl, after.finishedVolumeMl];
  const size =
    Math.abs(afterMl - beforeMl) < 0.5
      ? ""
      : ` The finished drink goes from ${Math.round(beforeMl)} to ${Math.round(afterMl)} mL.`;
  const first =
    moved.length === 0
      ? "Nothing moves on these three axes; aroma, bitterness and texture are not seen here."
      : `${upperFirst(joinWords(moved))}: ${figures(after.vector)}.`;
  return `${first}${size} ${membership.text}`;
}

/** The least change that leans so. */
export function leanText(
  { leans }: LeanIntent,
  first: Proposal | null,
  explanation: string,
  before: Vec3,
): string {
  const ways = joinWords(leans.map((step) => step.lean));
  return first
    ? `${upperFirst(ways)} with the least change: ${changeFrom(before, first)}.`
    : `Nothing within your limits makes this ${ways} as asked. ${explanation}`;
}

/** The moves, and where the drink goes from and to. */
function changeFrom(before: Vec3, { moves, after }: Proposal): string {
  return `${moves.map((m) => m.text).join(", ")}. That goes from ${figures(before)} to ${figures(toVec(after))}`;
}

/** The least change that brings the drink in; `isUnsure` where none was found that holds. */
export function leastText(
  first: Proposal | null,
  isUnsure: boolean,
  explanation: string,
  before: Vec3,
  target: string,
): string {
  if (!first) return `Nothing within your limits brings this into ${target}. ${explanation}`;
  const unsure = isUnsure
    ? ` No change within the habits of the trade was found to hold in ${glassesText(HOLDS_CHANCE)}.`
    : "";
  return `Into ${target} with the least change: ${changeFrom(before, first)}: inside in ${glassesText(first.probabilityInside ?? 0)}.${unsure}`;
}

/** Nothing need change. */
export const insideText = (vector: Vec3, chance: number, target: string) =>
  `Nothing need change: inside ${target} as it is, in ${glassesText(chance)}, at ${figures(vector)}.`;

/** What "how much" comes to: the dose, what it brings in, where something else leaves, and the companion. */
export function howMuchText(
  strip: DoseStrip,
  best: DoseRung,
  run: { leastMl: number; mostMl: number } | null,
  request: SolveRequest,
  target: string,
): string {
  const { pantry, ladder, unitSettings: settings } = request;
  const ingredient = pantry.get(strip.ingredient)!;
  const amount = (ml: number, id = strip.ingredient) =>
    ml === 0 ? "none" : formatAmount(ml, ladder, { settings, ingredient: pantry.get(id) });
  const step = formatDelta(best.ml - strip.presentMl, ladder, { settings, ingredient });
  const stays = best.ml === strip.presentMl;
  const dose = stays
    ? `${amount(best.ml)}, as it is,`
    : `${amount(strip.presentMl)} → ${amount(best.ml)} (${step})`;
  const sure = glassesText(best.chance);
  const at = figures(toVec(best.point));
  const companion = strip.companion ? ` ${companionText(strip.companion, strip, request, amount)}` : "";
  if (run === null) {
    const out = toldOut(best, strip);
    const brings = broughtIn(strip, new Set(out.map(({ measure }) => measure)));
    const first = `No amount of ${ingredient.name} alone brings this into ${target}.`;
    const poured = best.ml > 0 ? upperFirst(amount(best.ml)) : "None at all";
    const nearest = `${poured}${stays && best.ml > 0 ? ", as it is," : ""} comes nearest: ${brings}${joinWords(out.map(gapText))}, at ${at}.`;
    return `${first} ${nearest}${companion || " No one change beside it finishes the job."}`;
  }
  const band =
    run.leastMl === run.mostMl
      ? `No other amount on your ladder is inside.`
      : `On paper anything from ${amount(run.leastMl)} to ${amount(run.mostMl)} is inside.`;
  const edges = edgeText(strip, run, amount);
  const verdict = strip.holds
    ? `holds: inside ${target} in ${sure}`
    : `is the surest: inside ${target} in ${sure}`;
  return `${ingredient.name}: ${dose} ${verdict}, at ${at}. ${band}${edges}${companion}`;
}

const isIn = ({ spans }: DoseStrip, measure: FaceViolation["measure"], ml: number) =>
  spans.some((span) => span.measure === measure && ml >= span.fromMl && ml <= span.toMl);

/** "it brings the acid in, but " where the best dose brings in an axis that is out now. */
function broughtIn(strip: DoseStrip, stillOut: ReadonlySet<FaceViolation["measure"]>): string {
  const { presentMl, bestMl } = strip;
  const mended = AXES.filter(
    ({ id }) => isIn(strip, id, bestMl) && !isIn(strip, id, presentMl) && !stillOut.has(id),
  );
  return mended.length > 0
    ? `it brings the ${joinWords(mended.map(({ id }) => MEASURES[id].name))} in, but `
    : "";
}

/** What is out just below and just above the doses that are inside. */
function edgeText(
  { rungs }: DoseStrip,
  { leastMl, mostMl }: { leastMl: number; mostMl: number },
  amount: (ml: number) => string,
): string {
  const below = rungs[rungs.findIndex((r) => r.ml === leastMl) - 1];
  const above = rungs[rungs.findIndex((r) => r.ml === mostMl) + 1];
  const parts = [
    below?.out[0] && `with less than ${amount(leastMl)} ${outText(below.out[0])}`,
    above?.out[0] && `with more than ${amount(mostMl)} ${outText(above.out[0])}`,
  ].filter((part) => part !== undefined);
  return parts.length > 0 ? ` ${upperFirst(joinWords(parts))}.` : "";
}

function companionText(
  companion: Companion,
  strip: DoseStrip,
  { pantry, ladder, unitSettings: settings }: SolveRequest,
  amount: (ml: number, id?: string) => string,
): string {
  const { ingredient, fromMl, toMl, doseMl, chance, holds } = companion;
  const other = pantry.get(ingredient)!;
  const step = formatDelta(toMl - fromMl, ladder, { settings, ingredient: other });
  const name = lowerFirst(shortName(other.name));
  const move = `${name} from ${amount(fromMl, ingredient)} to ${amount(toMl, ingredient)} (${step})`;
  const how = holds ? "the drink holds: inside in" : "it reaches the edge: inside in";
  const dose =
    doseMl === strip.presentMl
      ? "It is not the one to change: left as it is, with"
      : `With ${amount(doseMl)} and`;
  return `${dose} ${move} ${how} ${glassesText(chance)}.`;
}
