import type { Exploration } from "../../engine/explore/explore.ts";
import type { Round, RoundState, SolveCertificate } from "../../engine/types.ts";
import { joinWords, shortName, upperFirst } from "../../engine/wording.ts";
import { glassesInHundred } from "../words/facts.ts";

/** What is said while and after something is asked. */
export const ASKING = {
  noTarget: "Choose what in range means first.",
  nothingYet:
    "The least changes of your pours that bring the drink into range appear here and on the map. Or drag the drink's own mark on the map to where you want it.",
  working: "Working it out…",
  stale: "Something has changed since this answer: ask again, or undo.",
  taken: (name: string) => `“${name}” was taken. Taste it before you ask again; undo brings the answer back.`,
  refused: (reason: string) => `That could not be asked: ${reason}`,
  routes: (n: number) => `${n} other kinds of change reach the range.`,
  found: ({ proposals, solved }: Exploration) =>
    proposals.length > 0
      ? `${proposals.length === 1 ? "One change" : `${proposals.length} changes`} would do it. First: ${proposals[0]?.name}.`
      : solved.explanation,
};

/** One honest sentence for each outcome, and how sure the drink as it stands is. */
export function outcomeWords({ solved, proposals, chanceNow, repair }: Exploration, target: string): string {
  const n = proposals.length;
  const sure = `As it stands, ${glassesInHundred(chanceNow)} would be in range.`;
  switch (solved.status) {
    case "already_inside":
      return `Already in ${target}: nothing needs to change. ${sure}${
        n > 0 ? " These would make it surer:" : ""
      }`;
    case "optimal":
      return `${n === 1 ? "One change reaches" : `${n} changes reach`} ${target}. ${n === 1 ? "It" : "The first"} is ${
        solved.certificate.proved ? "proved to be the least there is" : "the least found"
      }${n > 1 ? "; each of the others is better at something" : ""}. ${sure}`;
    case "limit_reached":
      return `The search was stopped before it was done: these are the best so far, and a smaller change may exist. ${sure}`;
    default:
      // The solver speaks of pours; here it is the wished-for chance that no pour can give.
      return repair?.conflict.some((limit) => limit.kind === "chance")
        ? `Nothing within these rules is that sure to be in ${target}: fruit, hands and ice vary more. Ask for less, or measure what varies most. ${sure}`
        : `Nothing within these rules reaches ${target}. ${sure}`;
  }
}

/** The proof in a bartender's words, one line a claim. */
export function proofWords(certificate: SolveCertificate, touched: number | null, solved: boolean): string[] {
  const out: string[] = [];
  const sizes = [...new Set(certificate.refutations.map((r) => r.touched))].sort((a, b) => a - b);
  for (const size of sizes) {
    if (size === 0) continue;
    const ofSize = certificate.refutations.filter((r) => r.touched === size);
    const who = size === 1 ? "one ingredient alone" : `any ${size} together`;
    if (touched !== null && size >= touched) continue;
    out.push(
      ofSize.some((r) => r.covers === "all")
        ? `Changing ${who} cannot do it, whichever you take and however much you pour.`
        : `Changing ${who} cannot do it: each was tried in turn and ruled out.`,
    );
  }
  if (touched !== null && certificate.proved) {
    out.push(
      touched === 1
        ? "Of all changes of a single ingredient that get there, this one pours least."
        : `So ${touched} is the fewest; and of all changes of ${touched} that get there, this one pours least.`,
    );
  } else if (!certificate.proved && solved) {
    out.push(
      "The search ran out of time before everything smaller was ruled out: a smaller change may exist.",
    );
  }
  if (!solved && certificate.proved)
    out.push("Every amount your tools can pour within these rules was ruled out.");
  const n = certificate.evaluations;
  out.push(
    `${n === 1 ? "One drink was" : `${n.toLocaleString("en")} drinks were`} mixed on paper to know this.`,
  );
  if (certificate.assumptions.length > 0) {
    out.push(`It assumes: ${certificate.assumptions.join(" ")}`);
  }
  return out;
}

/** What a round changed, from the names of the lines that differ. */
export function roundName(changed: readonly string[]): string {
  if (changed.length === 0) return "The same again";
  const shown = changed.slice(0, 3).map(shortName);
  return upperFirst(`changed ${joinWords(shown).toLowerCase()}${changed.length > 3 ? " and more" : ""}`);
}

/** What the tasters found of a round, and what was noted. */
export const foundWords = ({ faults = [], notes = "" }: Pick<Round, "faults" | "notes">): string =>
  [faults.length > 0 ? `Found ${faults.join(", ")}.` : "", notes].filter(Boolean).join(" ");

/** Tasting tells two drinks apart, not two changes. */
export const movedWords = (n: number): string =>
  `${n} things moved at once: tasting cannot say which of them did it.`;

/** Where a round stands, as it is chosen and as it is shown. */
export const STANDINGS: readonly { value: RoundState; label: string }[] = [
  { value: "open", label: "Open" },
  { value: "kept", label: "Worth keeping" },
  { value: "rejected", label: "Rejected: set aside" },
  { value: "final", label: "Final" },
];
const SHOWN: Readonly<Record<RoundState, string>> = {
  open: "open",
  kept: "worth keeping",
  rejected: "set aside",
  final: "final",
};

/** Where a round stands: one set aside with its branch is rejected, whatever was said of it before. */
export const standingOf = ({ state = "open", abandoned }: Pick<Round, "state" | "abandoned">): RoundState =>
  abandoned ? "rejected" : state === "rejected" ? "open" : state;

/** The standing of a row. */
export function standingWords(round: Pick<Round, "state" | "abandoned">, isOnBench: boolean): string {
  const standing = standingOf(round);
  if (!isOnBench) return SHOWN[standing];
  return standing === "open" ? "on the bench" : `on the bench, ${SHOWN[standing]}`;
}

/** How far a round went, said so that the number means something. */
export const driftWords = (drift: number): string =>
  `${drift.toFixed(1)} away from round 1 (1 is about the spread of the classic sours)`;
