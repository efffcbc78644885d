import type { Bench, Round } from "../../engine/types.ts";
import { newId } from "./ids.ts";

export function isRecord(x: unknown): x is Record<string, unknown> {
  return typeof x === "object" && x !== null && !Array.isArray(x);
}

/** Say what is wrong with a round read from outside, or null. */
function roundProblem(x: unknown): string | null {
  if (!isRecord(x)) return "is not an object";
  if (typeof x.id !== "string" || typeof x.label !== "string") return "needs an id and a label";
  if (typeof x.number !== "number") return "needs a number";
  if (x.parent !== null && typeof x.parent !== "string") return "needs a parent (or null)";
  if (!isRecord(x.spec) || !Array.isArray(x.spec.lines)) return "needs a spec with lines";
  const lines = x.spec.lines as unknown[];
  const bad = lines.find(
    (line) =>
      !isRecord(line) ||
      typeof line.ingredient !== "string" ||
      typeof line.unit !== "string" ||
      typeof line.amount !== "number" ||
      !Number.isFinite(line.amount),
  );
  return bad === undefined ? null : "has a line without ingredient, unit or a finite amount";
}

/** Read a bench from parsed JSON; a string is the reason it cannot be one. */
export function readBench(x: unknown): Bench | string {
  if (!isRecord(x)) return "A bench is a JSON object with name and rounds.";
  if (typeof x.name !== "string" || !Array.isArray(x.rounds)) {
    return "A bench needs a name and a list of rounds.";
  }
  for (const [i, round] of x.rounds.entries()) {
    const problem = roundProblem(round);
    if (problem) return `Round ${i + 1} ${problem}.`;
  }
  const rounds = x.rounds as Round[];
  const ids = new Set(rounds.map((round) => round.id));
  if (ids.size !== rounds.length) return "Two rounds have the same id.";
  const orphan = rounds.find((round) => round.parent !== null && !ids.has(round.parent));
  if (orphan) return `Round ${orphan.number} names a parent that is not in the file.`;
  return {
    id: typeof x.id === "string" ? x.id : newId(),
    name: x.name,
    rounds,
    current: typeof x.current === "string" && ids.has(x.current) ? x.current : (rounds.at(-1)?.id ?? ""),
    target: typeof x.target === "string" ? x.target : "",
    ...(x.invented === true && { invented: true }),
    ...(typeof x.story === "string" && { story: x.story }),
  };
}
