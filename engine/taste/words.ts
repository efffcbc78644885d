import { AXES } from "../axes.ts";
import type { Point } from "../types.ts";
import { joinWords, plusMinus } from "../wording.ts";
import type { CampsAnswer, TableAnswer, TableText } from "./answer.ts";
import type { Forecast } from "./foresee.ts";
import type { NextRound } from "./next-round.ts";
import type { TableRange } from "./table-range.ts";

const percent = (chance: number): string => {
  const whole = Math.round(100 * chance);
  return whole < 1 ? "under 1 %" : whole > 99 ? "over 99 %" : `${whole} %`;
};

const points = (gain: number): string => {
  const size = Math.abs(gain).toFixed(1);
  return `${size} point${size === "1.0" ? "" : "s"}`;
};

/** "8.1 g sugar, 0.82 g acid per 100 mL, 16.0 % vol", with the doubt of each. */
function pointText(point: Point, sd: Point): string {
  const [sugar, acid, abv] = AXES.map(({ key, decimals }) =>
    plusMinus({ value: point[key], sd: sd[key] }, decimals),
  );
  return `${sugar} g sugar and ${acid} g acid per 100 mL, ${abv} % vol`;
}

function rangeText({ ideal, sd, coverage }: TableRange): string {
  return `The table's ideal is near ${pointText(ideal, sd)}; the range drawn holds it with ${percent(coverage)} chance, going by the answers and the classics.`;
}

function nextText(next: NextRound): string {
  const first = next.proposals[0];
  switch (next.verdict) {
    case "settled": {
      const done = next.rounds.reduce((a, b) => (b.chanceContent > a.chanceContent ? b : a));
      return `A round already poured leaves the table content with ${percent(done.chanceContent)} chance. Stop here, and let the tasters have the last word.`;
    }
    case "pour": {
      const change = first!.gain >= 0 ? "more" : "less";
      return `${first!.proposal.name}: ${percent(first!.chanceContent)} chance that the table is content; ${percent(first!.chancePreferred)} that it likes this better than the best round so far, by ${points(first!.gain)} ${change} on the nine-point scale.`;
    }
    case "little-to-gain":
      return "Another round would hardly do better than the best so far. Stop, or change something the map cannot see.";
    case "out-of-reach":
      return "No amounts within the limits come near the table's ideal. Let another ingredient in, or loosen a limit.";
  }
}

function forecastText({ likely, looked, settledAfter }: Forecast): string {
  if (likely === null) {
    return `More than ${looked} further rounds are likely before it is settled (${percent(settledAfter.at(-1)!)} after ${looked}). More tasters a round would tell more than more rounds.`;
  }
  const surer = settledAfter.findIndex((chance) => chance >= 0.8);
  const more = `${likely} more round${likely === 1 ? "" : "s"}`;
  return `About ${more} would likely settle it${surer >= likely ? `, ${surer + 1} almost surely` : ""}, if they are poured as proposed.`;
}

function campsText({ verdict, bayesFactor, sides }: CampsAnswer): string {
  if (verdict === "one-table") return "Nothing says that the tasters are of two minds.";
  const factor = bayesFactor > 1000 ? "over 1000" : bayesFactor.toFixed(0);
  const start =
    verdict === "two-camps"
      ? `The tasters are of two minds (the answers are ${factor} times likelier so).`
      : `The tasters may be of two minds (the answers are ${factor} times likelier so; taste once more before acting on it).`;
  const each = sides.map(
    ({ tasters, range }) => `${joinWords(tasters)} would like ${pointText(range.ideal, range.sd)}`,
  );
  return `${start} ${each.join("; ")}. One drink between them pleases neither fully.`;
}

const CARE =
  "Chances rest on the tasters' marks, on the classics and on a model of tasting; the tasters decide. Serve small pours, offer water and let anyone stop: palates tire as people do.";

/** The sentences of a table's answer. */
export function tableText(answer: Omit<TableAnswer, "text">): TableText {
  return {
    range: rangeText(answer.range),
    next: answer.next && nextText(answer.next),
    forecast: forecastText(answer.forecast),
    camps: answer.camps && campsText(answer.camps),
    care: CARE,
  };
}
