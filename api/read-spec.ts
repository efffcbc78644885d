import type { z } from "@hono/zod-openapi";
import { under } from "../engine/errors.ts";
import { LEAST_AMOUNT, MOST, MOST_AMOUNT } from "../engine/limits.ts";
import { type ParsedLine, parseRecipe } from "../engine/recipe/parse-recipe.ts";
import type { Pantry, Spec, UnitSettings } from "../engine/types.ts";
import { nearestKey } from "./nearest.ts";
import { ProblemError } from "./problems.ts";
import type { ProblemEntry } from "./schemas/problem.ts";
import { MethodSchema, type ReadingSchema, type SpecInput } from "./schemas/spec.ts";
import { echo } from "./schemas/strict.ts";

type Reading = z.infer<typeof ReadingSchema>;

export interface ReadSpec {
  spec: Spec;
  /** How each line of a text was understood; empty for a spec by lines. */
  reading: Reading[];
  assumptions: string[];
}

function body(pointer: string, detail: string, remedy: string): ProblemEntry {
  return { in: "body", pointer: `#${pointer}`, detail, remedy };
}

/** Why a line stops the request, or null if it does not. */
function complaint(line: ParsedLine, pointer: string): ProblemEntry | null {
  const said = `line ${line.lineNumber} ${echo(line.raw.trim())}`;
  const names = line.candidates.slice(0, 5).map((c) => `${c.name} (${c.ingredient})`);
  if (line.line && (line.line.amount > MOST_AMOUNT || line.line.amount < LEAST_AMOUNT)) {
    return body(pointer, `${said}: no such pour`, `give an amount from ${LEAST_AMOUNT} to ${MOST_AMOUNT}`);
  }
  if (line.status === "choose") {
    return body(
      pointer,
      `${said} could mean more than one ingredient`,
      `write one of these names: ${names.join(", ")}`,
    );
  }
  if (line.status === "unread") {
    return body(
      pointer,
      `${said} was not read: ${line.reason ?? "no amount and ingredient found"}`,
      names.length > 0 ? `did you mean ${names.join(", ")}?` : "write it as amount, unit, ingredient",
    );
  }
  return null;
}

/** Entries for ids the pantry does not have, each with the nearest one it does. */
export function unknownIngredients(
  named: readonly { id: string; pointer: string }[],
  pantry: Pantry,
): ProblemEntry[] {
  return named
    .filter(({ id }) => !pantry.has(id))
    .map(({ id, pointer }) => {
      const nearest = nearestKey(id, pantry.keys());
      return body(
        pointer,
        `no ingredient has the id ${echo(id)}`,
        nearest
          ? `did you mean ${nearest}? See GET /v1/pantry`
          : "take an id from GET /v1/pantry, or send your own in ingredients",
      );
    });
}

/**
 * The spec a request asks about, whichever way it was written. A text is never guessed at: a line
 * that was not read, or could mean two things, stops the request with one entry per line.
 */
export function readSpec(
  input: SpecInput,
  pantry: Pantry,
  unitSettings: UnitSettings,
  pointer: string,
): ReadSpec {
  if (!("text" in input)) {
    const unknown = unknownIngredients(
      input.lines.map((line, i) => ({ id: line.ingredient, pointer: `${pointer}/lines/${i}/ingredient` })),
      pantry,
    );
    if (unknown.length > 0) throw new ProblemError("invalid-request", "unknown ingredients", unknown);
    return { spec: input, reading: [], assumptions: [] };
  }

  const parsed = under(`${pointer}/text`, () => parseRecipe(input.text, pantry, { unitSettings }));
  const entries = parsed.lines.flatMap((line) => complaint(line, `${pointer}/text`) ?? []);
  const lines = parsed.lines.flatMap((line) => (line.status === "read" && line.line ? [line.line] : []));
  if (entries.length === 0 && lines.length === 0) {
    entries.push(body(`${pointer}/text`, "no ingredient in the text", "write one ingredient a line"));
  }
  if (lines.length > MOST.lines) {
    entries.push(body(`${pointer}/text`, `${lines.length} ingredients`, `give at most ${MOST.lines}`));
  }
  const slug = entries.length > 0 ? "unread-lines" : "invalid-request";
  const method = input.method ?? parsed.method;
  if (!method) {
    const known = MethodSchema.options.join(", ");
    entries.push(body(`${pointer}/method`, "the text names no method", `add method: ${known}`));
  }
  if (entries.length > 0 || !method) throw new ProblemError(slug, "not understood", entries);

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
      name: input.name ?? parsed.title ?? "Untitled",
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
