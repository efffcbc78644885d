import type { z } from "zod";
import { EngineError, type FieldIssue, fail, under } from "../../engine/errors.ts";
import { METHOD_IDS } from "../../engine/ids.ts";
import { LEAST_AMOUNT, MOST, MOST_AMOUNT } from "../../engine/limits.ts";
import { type ParsedLine, parseRecipe, withMade } from "../../engine/recipe/parse-recipe.ts";
import { noteText, reasonText, spokenNote } from "../../engine/recipe/words.ts";
import { echo } from "../../engine/shapes/check.ts";
import { nearestKey } from "../../engine/shapes/nearest-key.ts";
import type { Glass, Pantry, Spec, UnitSettings } from "../../engine/types.ts";
import { countOf, ProblemError } from "../problems/problem.ts";
import type { MadeSchema, ReadingSchema } from "../schemas/read.ts";
import type { SpecInput } from "../schemas/spec.ts";
import { asOwn } from "./own-ingredients.ts";

type Reading = z.infer<typeof ReadingSchema>;

export interface ReadSpec {
  spec: Spec;
  /** How each line of a text was understood; empty for a spec by lines. */
  reading: Reading[];
  /** What the text made of pantry entries by a typed strength or ratio. */
  made: z.infer<typeof MadeSchema>;
  assumptions: string[];
  /** The pantry with what was made. */
  pantry: Pantry;
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
    const why = line.reason ? `: ${reasonText(line.reason)}` : "";
    return { pointer, detail: `${said} could mean more than one ingredient${why}`, remedy };
  }
  if (line.status === "unread") {
    return {
      pointer,
      detail: `${said} was not read: ${line.reason ? reasonText(line.reason) : "no amount and ingredient found"}`,
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

/** What a text is read with beside the pantry. */
export interface ReadSettings {
  unitSettings: UnitSettings;
  glasses: readonly Glass[];
}

/** The spec a request asks about, whichever way it was written. */
export function readSpec(
  input: SpecInput,
  pantry: Pantry,
  settings: ReadSettings,
  pointer: string,
): ReadSpec {
  if ("text" in input) return readText(input, pantry, settings, pointer);
  if (!input.lines.every(({ ingredient }) => pantry.has(ingredient))) {
    requireKnown(
      input.lines.map((line, i) => ({ id: line.ingredient, pointer: `${pointer}/lines/${i}/ingredient` })),
      pantry,
    );
  }
  return { spec: { ...input, name: input.name ?? UNNAMED }, reading: [], made: [], assumptions: [], pantry };
}

/**
 * A text is never guessed at: a line that was not read, or could mean two things, stops the request with
 * one entry per line.
 */
function readText(
  input: Extract<SpecInput, { text: string }>,
  pantry: Pantry,
  settings: ReadSettings,
  pointer: string,
): ReadSpec {
  const at = `${pointer}/text`;
  const { method, glass, dilution, servedOn, name } = input;
  const { unitSettings, glasses } = settings;
  const parsed = under(at, () =>
    parseRecipe(input.text, pantry, {
      unitSettings,
      glasses,
      ...(method && { method }),
      ...(glass && { glass }),
    }),
  );
  const issues = parsed.lines.flatMap((line) => complaint(line, at) ?? []);
  const { spec } = parsed;
  if (issues.length === 0 && !spec) {
    issues.push({ pointer: at, detail: "no ingredient in the text", remedy: "write one ingredient a line" });
  }
  const poured = spec?.lines.length ?? 0;
  if (poured > MOST.lines) {
    issues.push({ pointer: at, detail: `${poured} ingredients`, remedy: `give at most ${MOST.lines}` });
  }
  if (issues.length > 0 || !spec) {
    throw new ProblemError("unread-lines", countOf(issues.length, "line"), { issues });
  }
  if (!parsed.method) {
    fail(`${pointer}/method`, "the text names no method", `add method: ${METHOD_IDS.join(", ")}`);
  }

  const whole = withMade(pantry, parsed.made);
  const reading = parsed.lines.flatMap(({ status, line, raw, lineNumber, notes }): Reading[] => {
    if (status !== "read" || !line) return [];
    const { ingredient, amount, unit } = line;
    const assumptions = notes.map(spokenNote);
    return [{ raw, lineNumber, ingredient, name: whole.get(ingredient)!.name, amount, unit, assumptions }];
  });
  return {
    spec: {
      ...spec,
      ...(name !== undefined && { name }),
      ...(dilution && { dilution }),
      ...(servedOn && { servedOn }),
    },
    reading,
    made: parsed.made.map(({ from, ingredient }) => ({ from, ingredient: asOwn(ingredient) })),
    assumptions: [
      ...reading.flatMap((r) => r.assumptions.map((a) => `line ${r.lineNumber}: ${a.text}`)),
      ...parsed.notes.map(noteText),
    ],
    pantry: whole,
  };
}
