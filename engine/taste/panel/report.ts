import type { Comparison, Tasting } from "../types.ts";
import { answersToDecide, type ChoiceTest, choiceTest, tastersNeeded } from "./binomial.ts";
import { bradleyTerry, pairingsOf, type Ranking } from "./bradley-terry.ts";
import { friedman, page } from "./ranks.ts";
import { panelText } from "./words.ts";

/** A triangle or paired test somebody ran. */
export interface ChoiceCount {
  test: ChoiceTest;
  right: number;
  answers: number;
}

/** A choice test to be run: how often a right answer is given if there is a difference worth finding. */
export interface ChoicePlan {
  test: ChoiceTest;
  real: number;
}

/** What is asked of a panel. */
export interface PanelQuestion {
  tastings: readonly Tasting[];
  comparisons?: readonly Comparison[];
  /** Rounds in the order they were expected to rise in liking, least first. */
  expectedOrder?: readonly string[];
  choice?: ChoiceCount;
  plan?: ChoicePlan;
}

/** Everything the panel's answers say by themselves, without the model of the table. */
export interface PanelReport {
  /** By every pair of likings of one taster, and every comparison; null when the rounds are not linked. */
  ranking: Ranking | null;
  /** On the tasters who scored every round; null for fewer than two of them, or of rounds. */
  scores: ReturnType<typeof scoredRounds>;
  choice: (ReturnType<typeof choiceTest> & { test: ChoiceTest; moreToDecide: number | null }) | null;
  /** Fewest tasters for the planned test to find the difference with 80 % chance at 5 %, one-sided. */
  planned: { test: ChoiceTest; tasters: number | null } | null;
  text: string[];
}

/**
 * The panel's statistics: a ranking with intervals, whether the rounds differ at all, whether they rise as
 * expected, and a choice test with how many answers more would decide it.
 *
 * @throws EngineError for counts that do not fit one another
 */
export function panelReport(question: PanelQuestion): PanelReport {
  const { tastings, comparisons = [], expectedOrder, choice, plan } = question;
  const pairings = pairingsOf(tastings, comparisons);
  const report = {
    ranking: pairings.length > 0 ? bradleyTerry(pairings) : null,
    scores: scoredRounds(tastings, expectedOrder),
    choice: choice
      ? {
          ...choice,
          ...choiceTest(choice.test, choice.right, choice.answers),
          moreToDecide: answersToDecide(choice.test, choice.right, choice.answers, {
            sides: choice.test === "pair" ? 2 : 1,
          }),
        }
      : null,
    planned: plan ? { test: plan.test, tasters: tastersNeeded(plan.test, plan.real) } : null,
  };
  return { ...report, text: panelText(report) };
}

/** Rank tests on likings as a full table: every round somebody scored, and the tasters who scored them all (last score counts). */
function scoredRounds(tastings: readonly Tasting[], expected?: readonly string[]) {
  const liked = tastings.filter((t) => typeof t.liking === "number");
  const scored = [...new Set(liked.map((t) => t.round))];
  const inOrder = expected?.every((id) => scored.includes(id)) ? expected : null;
  const rounds = inOrder ? [...inOrder] : scored;
  const likings = new Map(liked.map((t) => [JSON.stringify([t.taster, t.round]), t.liking!]));
  const row = (taster: string) => rounds.map((round) => likings.get(JSON.stringify([taster, round])));
  const tasters = [...new Set(liked.map((t) => t.taster))].filter((t) =>
    row(t).every((x) => x !== undefined),
  );
  if (tasters.length < 2 || rounds.length < 2) return null;
  const scores = tasters.map((taster) => row(taster) as number[]);
  return {
    rounds,
    /** Tasters who scored them all; the others are left out. */
    tasters,
    friedman: friedman(scores),
    /** Null when no order was expected of just these rounds. */
    page: inOrder ? page(scores) : null,
  };
}
