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
export type Standing = Pick<SolveCertificate, "bound" | "gap" | "proved">;

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
): SolveCertificate {
  const { variables, movable, choices, maxTouched, weight } = question;
  // A refuted set refutes its subsets: the last complete level says it all. Single ingredients stay for the reader.
  const last = standing.bound ? standing.bound.touched - 1 : Math.min(maxTouched, movable.length);
  const isKept = ({ sets, touched }: Ruled) =>
    sets === "all" || touched === last || (touched === 1 && last >= 1);
  const kept = ladder.ruled.filter(isKept);
  const listed = kept.reduce((sum, { sets }) => sum + (sets === "all" ? 0 : sets.length), 0);
  const shown = listed > MOST_LISTED ? kept.filter(({ sets }) => sets === "all") : kept;
  const rows = new Map<string, CertificateRow>();
  const { nodes, relaxations, evaluations } = ladder.effort;
  const boxes = leaves?.boxes ?? [];
  const isListed = boxes.length <= MOST_LISTED;
  return {
    nodes,
    relaxations,
    evaluations,
    ...standing,
    refutations: shown.map((entry) => toRefutation(question, relaxation, entry, rows)),
    cells: relaxation.cells.length,
    rows: [...rows.values()],
    ranges: variables.map(({ key: ingredient }, i) => {
      const changes = choices[i];
      return { ingredient, minMl: changes?.[0] ?? 0, maxMl: changes?.at(-1) ?? 0 };
    }),
    ...(leaves &&
      isListed && { leaves: { cells: leaves.cells, weights: [...weight], boxes: boxes.map(toLeaf) } }),
    tolerance: MEMBERSHIP_TOLERANCE,
    assumptions: assumptionTexts(question, {
      sets: listed > MOST_LISTED ? listed : 0,
      boxes: isListed ? 0 : boxes.length,
    }),
  };
}

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
  ruled: Ruled,
  rows: Map<string, CertificateRow>,
): Refutation {
  const { variables } = question;
  const { cell, touched, sets, multipliers } = ruled;
  const cells = relaxation.cells.length;
  const of = relaxation.cells[cell]!;
  const used = (multipliers ? of.rows.list : []).flatMap(({ id, a, b: limit }, r) => {
    const value = multipliers?.[r] ?? 0;
    if (value <= 0) return [];
    const row = cells > 1 ? `cell ${cell + 1}/${cells}: ${id}` : id;
    const subject = relaxation.subjectOf(id);
    const { role } = subject;
    const label = labelOf(subject, variables);
    const coefficients = variables.map((v, i) => ({ ingredient: v.key, value: a[i] ?? 0 }));
    rows.set(row, { row, cell, role, label, coefficients, limit });
    return [{ row, value, role, label }];
  });
  const heaviest = used
    .filter(({ role }) => role !== "strength" && role !== "poured")
    .sort((x, y) => y.value - x.value)
    .slice(0, MOST_NAMED);
  const limits = multipliers && [...new Set(heaviest.map(({ label }) => label))];
  return {
    touched,
    cell,
    covers: sets === "all" ? "all" : sets.map((set) => set.map((i) => variables[i]!.key)),
    multipliers: used.map(({ row, value }) => ({ row, value })),
    text: refutationText(question, ruled, limits, cells > 1 ? of : null),
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
