import { type Camps, findCamps } from "./camps.ts";
import { type Forecast, foresee } from "./foresee.ts";
import type { Habits } from "./habits.ts";
import { type LearnedTable, learnTable } from "./learn.ts";
import { type NextRound, type NextRoundRequest, nextRound } from "./next-round.ts";
import type { Draw } from "./posterior.ts";
import { type SwapToTry, swapsToTry } from "./swaps-to-try.ts";
import { type TableRange, tableRange } from "./table-range.ts";
import type { TableRecord } from "./types.ts";
import { tableText } from "./words.ts";

/** What is asked of a table's record. Plain data. */
export interface TableQuestion {
  record: TableRecord;
  /** Share of chance the range is to hold; default TABLE_COVERAGE. */
  coverage?: number;
  /** The drink to go on from and what may be poured; without it no next round is proposed. */
  request?: NextRoundRequest;
}

/** One taster as learned. */
export interface TasterAnswer extends Pick<TableRange, "ideal" | "sd"> {
  taster: string;
}

/** What was learned of how the table tastes and marks. */
export interface HabitsAnswer extends Pick<Habits, "width" | "tasterSpread" | "lapse"> {
  /** How much a spread of acid takes from felt sweetness, and one of sugar from felt sourness, spreads. */
  acidHidesSugar: number;
  sugarHidesAcid: number;
}

/** Verdict on two camps: "one-table", "perhaps" (worth a remark) or "two-camps" (strong). */
export type CampsVerdict = "one-table" | "perhaps" | "two-camps";

/** Whether the tasters agree, and where each side's ideal lies when they do not. */
export interface CampsAnswer extends Omit<Camps, "sides"> {
  verdict: CampsVerdict;
  /** Empty for one table. */
  sides: { tasters: string[]; range: TableRange; next: NextRound | null }[];
}

/** Everything a table's record tells. */
export interface TableAnswer {
  range: TableRange;
  tasters: TasterAnswer[];
  habits: HabitsAnswer;
  next: NextRound | null;
  forecast: Forecast;
  /** Null for a lone taster. */
  camps: CampsAnswer | null;
  /** For words the map cannot see; empty without a drink to look into. */
  swaps: SwapToTry[];
  unreadWords: readonly string[];
  /** How many equally weighted points the sample is worth; below 50 the chances are rough. */
  effectiveDraws: number;
  text: TableText;
}

/** The answer in sentences. */
export interface TableText {
  range: string;
  next: string | null;
  forecast: string;
  camps: string | null;
  care: string;
}

const WORTH_A_REMARK = 3;
const STRONG = 20;

/**
 * Learn from a table's record and answer: where its ideal lies, what to pour next or why to stop, how many
 * more rounds would likely settle it, whether the tasters are of two minds, and which swaps to try for words
 * the map cannot see.
 *
 * @throws EngineError for bad input only, naming each field from the question's root
 */
export function answerTable(question: TableQuestion): TableAnswer {
  const { record, coverage, request } = question;
  const learned = learnTable(record);
  const answer = {
    range: tableRange(learned, { coverage }),
    tasters: learned.tasters.map((taster, t) => {
      const { ideal, sd } = tableRange(learned, { coverage, tasters: [t] });
      return { taster, ideal, sd };
    }),
    habits: habitsAnswer(learned),
    next: request && record.rounds.length > 0 ? nextRound(learned, record.rounds, request) : null,
    forecast: foresee(learned, record.rounds),
    camps: campsAnswer(question, learned),
    swaps: request ? swapsToTry(record.tastings, request.spec, request.pantry) : [],
    unreadWords: learned.unreadWords,
    effectiveDraws: learned.posterior.effective,
  };
  return { ...answer, text: tableText(answer) };
}

function habitsAnswer({ posterior }: LearnedTable): HabitsAnswer {
  const expected = (f: (d: Draw) => number) => posterior.draws.reduce((sum, d) => sum + d.weight * f(d), 0);
  return {
    width: expected((d) => d.habits.width),
    tasterSpread: expected((d) => d.habits.tasterSpread),
    lapse: expected((d) => d.habits.lapse),
    acidHidesSugar: -expected((d) => d.habits.cross[0][1]),
    sugarHidesAcid: -expected((d) => d.habits.cross[1][0]),
  };
}

function campsAnswer(
  { record, coverage, request }: TableQuestion,
  learned: LearnedTable,
): CampsAnswer | null {
  const found = findCamps(learned);
  if (found === null) return null;
  const { bayesFactor, share } = found;
  const verdict =
    bayesFactor >= STRONG ? "two-camps" : bayesFactor >= WORTH_A_REMARK ? "perhaps" : "one-table";
  if (verdict === "one-table") return { verdict, bayesFactor, share, sides: [] };
  const apart = learnTable(record, {
    camps: learned.tasters.map((_, t) => (found.sides[1].includes(t) ? 1 : 0)),
  });
  const sides = found.sides.map((tasters) => ({
    tasters: tasters.map((t) => learned.tasters[t]!),
    range: tableRange(apart, { coverage, tasters }),
    next: request && record.rounds.length > 0 ? nextRound(apart, record.rounds, request, tasters) : null,
  }));
  return { verdict, bayesFactor, share, sides };
}
