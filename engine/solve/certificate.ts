import { MEMBERSHIP_TOLERANCE } from "../tolerances.ts";
import type { CertificateLeaf, CertificateRow, Refutation, SolveCertificate } from "../types.ts";
import type { Leaf, Leaves } from "./leaves.ts";
import type { Ruled } from "./levels.ts";
import type { Search } from "./measures.ts";
import type { Question } from "./question.ts";
import { assumptionTexts, labelOf, refutationText } from "./words.ts";

/** More refuted sets, or leaves, than this (megabytes, from 14 free amounts or so on) are counted, not listed. */
const MOST_LISTED = 20_000;
/** Limits named in a refutation's sentence: the heaviest. */
const MOST_NAMED = 3;

/** What the search says of its answer. */
export interface Standing {
  bound: SolveCertificate["bound"];
  gap: number;
  proved: boolean;
}

/**
 * The search's evidence in a form that can be checked without it.
 *
 * A refutation with multipliers λ ≥ 0 over the rows of one cell covers a set when
 * Σ over the set of min over its range of (λA)ᵢΔᵢ exceeds λb ("all": for the set of `touched` ingredients
 * with the least such sum). A set of touched ingredients is ruled out when each cell has a refutation
 * that covers it or a larger set. One without multipliers was emptied by trying its pours.
 */
export function toCertificate(
  question: Question,
  { ladder, relaxation }: Search,
  standing: Standing,
  leaves?: Leaves,
  ruled: readonly Ruled[] = ladder.ruled,
): SolveCertificate {
  const { variables, request, measure, movable, choices, maxTouched } = question;
  // A refuted set refutes its subsets: the last complete level says it all. Single ingredients stay for the reader.
  const last = standing.bound ? standing.bound.touched - 1 : Math.min(maxTouched, movable.length);
  const kept = ruled.filter((r) => r.sets === "all" || r.touched === last || (r.touched === 1 && last >= 1));
  const listed = kept.reduce((sum, r) => sum + (r.sets === "all" ? 0 : r.sets.length), 0);
  const shown = listed > MOST_LISTED ? kept.filter((r) => r.sets === "all") : kept;
  const rows = new Map<string, CertificateRow>();
  const { nodes, relaxations, evaluations } = ladder.effort;
  return {
    nodes,
    relaxations,
    evaluations,
    ...standing,
    refutations: shown.map((entry) => toRefutation(question, relaxation, entry, rows)),
    cells: relaxation.cells.length,
    rows: [...rows.values()],
    ranges: variables.map((v, i) => ({
      ingredient: v.key,
      minMl: choices[i]![0]!,
      maxMl: choices[i]!.at(-1)!,
    })),
    ...(leaves &&
      !isTooMany(leaves) && {
        leaves: { cells: leaves.cells, weights: [...question.weight], boxes: leaves.boxes.map(toLeaf) },
      }),
    tolerance: MEMBERSHIP_TOLERANCE,
    assumptions: assumptionTexts({
      measure,
      hasFurtherTest: request.extraAccept !== undefined,
      unlisted: listed > MOST_LISTED ? listed : 0,
      unlistedBoxes: leaves && isTooMany(leaves) ? leaves.boxes.length : 0,
    }),
  };
}

const isTooMany = ({ boxes }: Leaves) => boxes.length > MOST_LISTED;

function toLeaf({ cell, low, high, proof }: Leaf): CertificateLeaf {
  return {
    cell,
    leastMl: [...low],
    mostMl: [...high],
    coefficients: proof && [...proof.coefficient],
    limit: proof?.limit ?? 0,
    isEmpty: proof !== null && !proof.isWeighted,
  };
}

/** One refutation, its rows entered in `rows`. */
function toRefutation(
  question: Question,
  relaxation: Search["relaxation"],
  { cell, touched, sets, multipliers }: Ruled,
  rows: Map<string, CertificateRow>,
): Refutation {
  const { variables, movable } = question;
  const cells = relaxation.cells.length;
  const name = (id: string) => variables.find((v) => v.ingredient.id === id)?.shortName ?? id;
  const { from, to, rows: of } = relaxation.cells[cell]!;
  const used = (multipliers ? of.list : [])
    .map((row, r) => ({ row, value: multipliers?.[r] ?? 0 }))
    .filter(({ value }) => value > 0)
    .map((used) => ({ ...used, subject: relaxation.subjectOf(used.row.id) }));
  const heaviest = [...used]
    .filter(({ subject }) => subject.role !== "strength" && subject.role !== "poured")
    .sort((x, y) => y.value - x.value)
    .slice(0, MOST_NAMED);
  const named = used.map(({ value, row: { id, a, b }, subject }) => {
    const row = cells > 1 ? `cell ${cell + 1}/${cells}: ${id}` : id;
    rows.set(row, {
      row,
      cell,
      role: subject.role,
      label: labelOf(subject, name),
      coefficients: variables.map((v, i) => ({ ingredient: v.key, value: a[i]! })),
      limit: b,
    });
    return { row, value };
  });
  return {
    touched,
    cell,
    covers: sets === "all" ? "all" : sets.map((set) => set.map((i) => variables[i]!.key)),
    multipliers: named,
    text: refutationText({
      sets: sets === "all" ? "all" : sets.map((set) => set.map((i) => variables[i]!.shortName)),
      touched,
      movable: movable.length,
      limits: multipliers && [...new Set(heaviest.map(({ subject }) => labelOf(subject, name)))],
      strength: cells > 1 ? { from, to } : null,
    }),
  };
}

/** Nothing had to be searched: the drink is inside as it stands. */
export function certificateOfNothing(): SolveCertificate {
  return {
    nodes: 0,
    relaxations: 0,
    evaluations: 1,
    bound: { touched: 0, volumeMl: 0 },
    gap: 0,
    proved: true,
    refutations: [],
    cells: 0,
    tolerance: MEMBERSHIP_TOLERANCE,
    assumptions: [],
  };
}
