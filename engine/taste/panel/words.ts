import type { PanelReport } from "./report.ts";

const chance = (p: number): string => (p < 0.001 ? "below 0.001" : p.toFixed(3));

/** Beyond this, chance alone is a poor explanation; common practice in sensory work. */
const ALPHA = 0.05;

/** The report in sentences, each with its number. */
export function panelText({ ranking, scores, choice, planned }: Omit<PanelReport, "text">): string[] {
  return [...rankingText(ranking), ...scoresText(scores), ...choiceText(choice), ...plannedText(planned)];
}

function rankingText(ranking: PanelReport["ranking"]): string[] {
  if (ranking === null) return [];
  const [first, second] = ranking.standings;
  const sure = first!.chanceAboveNext!;
  const told = sure >= 1 - ALPHA ? "clearly ahead of" : "not yet told from";
  return [`${first!.id} ranks first, ${told} ${second!.id} (${Math.round(100 * sure)} % sure).`];
}

function scoresText(scores: PanelReport["scores"]): string[] {
  if (scores === null) return [];
  const { friedman, page, tasters, rounds } = scores;
  const kind = friedman.isExact ? "exact" : "approximate";
  const differ = friedman.p <= ALPHA ? "are not liked alike" : "cannot be told apart by liking";
  const first = `The ${rounds.length} rounds ${differ} (Friedman, ${tasters.length} tasters, ${kind} p ${chance(friedman.p)}).`;
  if (page === null) return [first];
  const rise = page.p <= ALPHA ? "rise as expected" : "do not clearly rise as expected";
  return [first, `They ${rise} (Page, p ${chance(page.p)}).`];
}

function choiceText(choice: PanelReport["choice"]): string[] {
  if (choice === null) return [];
  const { test, right, answers, moreToDecide } = choice;
  const p = choice.pTwoSided ?? choice.pOneSided;
  const found = p <= ALPHA ? "a difference is shown" : "no difference is shown";
  const name = test === "triangle" ? "Triangle test" : "Paired test";
  const verdict = `${name}: ${right} of ${answers}, ${found} (exact p ${chance(p)}${test === "pair" ? ", two-sided" : ""}).`;
  if (p <= ALPHA) return [verdict];
  return [
    verdict,
    moreToDecide === null
      ? "No sensible number of further tastings would likely decide it: take them as alike."
      : `About ${moreToDecide} more answers would likely decide it, if they go as these did.`,
  ];
}

function plannedText(planned: PanelReport["planned"]): string[] {
  if (planned === null) return [];
  const { test, tasters } = planned;
  if (tasters === null) return ["A difference that small would need more tasters than anyone can gather."];
  const name = test === "triangle" ? "triangle" : "paired";
  return [`A ${name} test needs ${tasters} tasters to find a difference of that size four times in five.`];
}
