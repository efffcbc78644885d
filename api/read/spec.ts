import type { z } from "zod";
import { EngineError, type FieldIssue, fail, under } from "../../engine/errors.ts";
import { METHOD_IDS } from "../../engine/ids.ts";
import { LEAST_AMOUNT, MOST, MOST_AMOUNT } from "../../engine/limits.ts";
import { type ParsedLine, parseRecipe } from "../../engine/recipe/parse-recipe.ts";
import { echo } from "../../engine/shapes/check.ts";
import { nearestKey } from "../../engine/shapes/nearest-key.ts";
import type { Pantry, Spec, UnitSettings } from "../../engine/types.ts";
import { countOf, ProblemError } from "../problems/problem.ts";
import type { ReadingSchema, SpecInput } from "../schemas/spec.ts";

type Reading = z.infer<typeof ReadingSchema>;

export interface ReadSpec {
  spec: Spec;
  /** How each line of a text was understood; empty for a spec by lines. */
  reading: Reading[];
  assumptions: string[];
}

const UNNAMED = "Untitled";

/** Why a line stops the request, or null if it does not. */
function complaint(line: ParsedLine, pointer: string): FieldIssue | null {
  const said = `line ${line.lineNumber} ${echo(line.raw.trim())}`;
  const names = line.candidates.slice(0, 5).map((c) => `${c.name} (${c.ingredient})`);
  if (line.line && (line.line.amount > MOST_AMOUNT || line.line.amount < LEAST_AMOUNT)) {
    const remedy = `give an amount from ${LEAST_AMOUNT} to ${MOST_AMOUNT}`;
    return { pointer, detail: `${said}: no such pour`, remedy };
  }
  if (line.status === "choose") {
    const remedy = `write one of these names: ${names.join(", ")}`;
    return { pointer, detail: `${said} could mean more than one ingredient`, remedy };
  }
  if (line.status === "unread") {
    return {
      pointer,
      detail: `${said} was not read: ${line.reason ?? "no amount and ingredient found"}`,
      remedy: names.length > 0 ? `did you mean ${names.join(", ")}?` : "write it as amount, unit, ingredient",
    };
  }
  return null;
}

/** Ids for which the nearest known one is looked up; the pantry is long. */
const MAX_LOOKED_UP = 5;

/**
 * Refuse ids the pantry does not have, each with the nearest one it does.
 *
 * @throws EngineError
 */
export function requireKnown(named: readonly { id: string; pointer: string }[], pantry: Pantry): void {
  const issues = named
    .filter(({ id }) => !pantry.has(id))
    .map(({ id, pointer }, i): FieldIssue => {
      const nearest = i < MAX_LOOKED_UP ? nearestKey(id, pantry.keys()) : null;
      return {
        pointer,
        detail: `no ingredient has the id ${echo(id)}`,
        remedy: nearest
          ? `did you mean ${nearest}? See GET /v1/pantry`
          : "take an id from GET /v1/pantry, or send your own in ingredients",
      };
    });
  if (issues.length > 0) throw new EngineError(issues);
}

/** The spec a request asks about, whichever way it was written. */
export function readSpec(
  input: SpecInput,
  pantry: Pantry,
  unitSettings: UnitSettings,
  pointer: string,
): ReadSpec {
  if ("text" in input) return readText(input, pantry, unitSettings, pointer);
  requireKnown(
    input.lines.map((line, i) => ({ id: line.ingredient, pointer: `${pointer}/lines/${i}/ingredient` })),
    pantry,
  );
  return { spec: { ...input, name: input.name ?? UNNAMED }, reading: [], assumptions: [] };
}

/**
 * A text is never guessed at: a line that was not read, or could mean two things, stops the request with
 * one entry per line.
 */
function readText(
  input: Extract<SpecInput, { text: string }>,
  pantry: Pantry,
  unitSettings: UnitSettings,
  pointer: string,
): ReadSpec {
  const at = `${pointer}/text`;
  const parsed = under(at, () => parseRecipe(input.text, pantry, { unitSettings }));
  const issues = parsed.lines.flatMap((line) => complaint(line, at) ?? []);
  const lines = parsed.lines.flatMap((line) => (line.status === "read" && line.line ? [line.line] : []));
  if (issues.length === 0 && lines.length === 0) {
    issues.push({ pointer: at, detail: "no ingredient in the text", remedy: "write one ingredient a line" });
  }
  if (lines.length > MOST.lines) {
    issues.push({
      pointer: at,
      detail: `${lines.length} ingredients`,
      remedy: `give at most ${MOST.lines}`,
    });
  }
  if (issues.length > 0) throw new ProblemError("unread-lines", countOf(issues.length, "line"), { issues });
  const method = input.method ?? parsed.method;
  if (!method) {
    fail(`${pointer}/method`, "the text names no method", `add method: ${METHOD_IDS.join(", ")}`);
  }

  const reading = parsed.lines.flatMap((line): Reading[] =>
    line.status === "read" && line.line
      ? [
          {
            raw: line.raw,
            lineNumber: line.lineNumber,
            ingredient: line.line.ingredient,
            name: pantry.get(line.line.ingredient)?.name ?? line.line.ingredient,
            amount: line.line.amount,
            unit: line.line.unit,
            assumptions: line.assumptions,
          },
        ]
      : [],
  );
  return {
    spec: {
      name: input.name ?? parsed.title ?? UNNAMED,
      method,
      lines,
      ...(input.dilution && { dilution: input.dilution }),
      ...(input.glass !== undefined && { glass: input.glass }),
    },
    reading,
    assumptions: [
      ...reading.flatMap((r) => r.assumptions.map((a) => `line ${r.lineNumber}: ${a}`)),
      // The text's own assumption about its method is moot once the caller names it.
      ...(input.method ? [] : parsed.assumptions),
    ],
  };
}
