import { MEMBERSHIP_TOLERANCE } from "../tolerances.ts";
import type { Refutation, SolveCertificate } from "../types.ts";
import { joinWords } from "../wording.ts";
import type { Problem } from "./problem.ts";
import type { LadderSearch, Ruled } from "./search.ts";

/** More refuted sets than this (megabytes of names, from 14 free amounts or so on) are counted, not listed. */
const MOST_LISTED = 20_000;

/**
 * The search's evidence in a form that can be checked without it.
 *
 * A refutation with multipliers λ ≥ 0 over the rows of one cell covers a set when
 * Σ over the set of min over its range of (λA)ᵢΔᵢ exceeds λb ("all": for the set of `touched` ingredients
 * with the least such sum). A set of touched ingredients is ruled out when each cell has a refutation
 * that covers it or a larger set. One without multipliers was emptied by trying its pours.
 */
export function toCertificate(
  problem: Problem,
  search: LadderSearch,
  outcome: { bound: { touched: number; volumeMl: number } | null; gap: number; proved: boolean },
  ruled: readonly Ruled[] = search.ruled,
): SolveCertificate {
  const { variables, cells } = problem;
  const key = (i: number) => variables[i]!.key;
  const rowName = (cell: number, r: number) =>
    cells.length > 1
      ? `cell ${cell + 1}/${cells.length}: ${cells[cell]!.rows.names[r]}`
      : cells[cell]!.rows.names[r]!;
  const used = new Map<string, { cell: number; r: number }>();
  // A refuted set refutes its subsets: the last complete level says it all. Single ingredients stay for the reader.
  const last = outcome.bound
    ? outcome.bound.touched - 1
    : Math.min(problem.maxTouched, search.movable().length);
  const kept = ruled.filter((r) => r.sets === "all" || r.touched === last || (r.touched === 1 && last >= 1));
  const listed = kept.reduce((sum, r) => sum + (r.sets === "all" ? 0 : r.sets.length), 0);
  const shown = listed > MOST_LISTED ? kept.filter((r) => r.sets === "all") : kept;
  const refutations = shown.map((entry): Refutation => {
    const multipliers: Refutation["multipliers"] = [];
    entry.multipliers?.forEach((value, r) => {
      if (value <= 0) return;
      const row = rowName(entry.cell, r);
      used.set(row, { cell: entry.cell, r });
      multipliers.push({ row, value });
    });
    return {
      touched: entry.touched,
      covers: entry.sets === "all" ? "all" : entry.sets.map((set) => set.map(key)),
      multipliers,
      text: refutationText(problem, entry),
    };
  });
  return {
    nodes: search.nodes,
    relaxations: search.relaxations,
    evaluations: search.evaluations,
    ...outcome,
    refutations,
    rows: [...used].map(([row, { cell, r }]) => {
      const { a, b, names, width } = cells[cell]!.rows;
      return {
        row,
        label: problem.labelOf(names[r]!),
        coefficients: variables.map((v, i) => ({ ingredient: v.key, value: a[r * width + i]! })),
        limit: b[r]!,
      };
    }),
    ranges: variables.map((v, i) => ({
      ingredient: v.key,
      minMl: problem.search.choices[i]![0]!,
      maxMl: problem.search.choices[i]!.at(-1)!,
    })),
    tolerance: MEMBERSHIP_TOLERANCE,
    assumptions: [
      ...assumptions(problem),
      ...(listed > MOST_LISTED ? [`${listed} refuted sets of ingredients were too many to list here.`] : []),
    ],
  };
}

function assumptions(problem: Problem): string[] {
  const list = [
    "Finished volume is enclosed on a grid of 256 points with the largest second difference, half again, as remainder (checked numerically, not proved in interval arithmetic).",
  ];
  if (problem.measure === "relative" || problem.measure === "cost") {
    list.push(`bound.volumeMl and gap are in the units of the "${problem.measure}" measure, not mL.`);
  }
  if (problem.measure === "drift") {
    list.push("Least drift is proved in steps of 0.1; the refutations and the bound hold within that drift.");
  }
  if (problem.request.extraAccept) list.push("A further test of each drink was supplied with the request.");
  return list;
}

/** In words: who cannot do it, and which limits pull against each other. */
function refutationText(problem: Problem, entry: Ruled): string {
  const name = (i: number) => problem.variables[i]!.shortName;
  const who =
    entry.sets === "all"
      ? entry.touched >= problem.search.choices.filter((c) => c.length > 1).length
        ? "Everything that may change, together"
        : `Any ${entry.touched === 1 ? "one ingredient" : `${entry.touched} ingredients`}`
      : entry.sets.length <= 3
        ? joinWords(entry.sets.map((set) => set.map(name).join(" with ")))
        : `${entry.sets[0]!.map(name).join(" with ")} and ${entry.sets.length - 1} other sets`;
  if (entry.multipliers === null) return `${who}: between the rungs only; every pour was tried.`;
  const rows = problem.cells[entry.cell]!.rows;
  const weighty = [...entry.multipliers]
    .map((value, r) => ({ value, r }))
    .filter(({ value, r }) => value > 0 && !/^(strength-|poured$)/.test(rows.names[r]!))
    .sort((x, y) => y.value - x.value)
    .slice(0, 3)
    .map(({ r }) => problem.labelOf(rows.names[r]!));
  const labels = [...new Set(weighty)];
  const range =
    problem.cells.length > 1
      ? ` (mix between ${percent(problem.cells[entry.cell]!.from)} and ${percent(problem.cells[entry.cell]!.to)} % vol)`
      : "";
  if (labels.length === 0) return `${who}: no such mix can be poured${range}.`;
  return labels.length === 1
    ? `${who}: cannot reach ${labels[0]}${range}.`
    : `${who}: cannot meet ${joinWords(labels)} together${range}.`;
}

const percent = (e: number) => Math.round(100 * e);
