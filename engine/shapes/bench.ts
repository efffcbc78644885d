import * as z from "zod/mini";
import { ROUND_STATE_IDS } from "../ids.ts";
import { LONGEST, MOST } from "../limits.ts";
import { idShape, list, text, unitSettingsShape, whole } from "./amounts.ts";
import { must } from "./check.ts";
import { ingredientShape } from "./ingredient.ts";
import { prepShape } from "./prep.ts";
import { specShape } from "./spec.ts";

/** One round of a bench. */
export const roundShape = z.strictObject({
  id: idShape,
  number: whole(0, 100_000, "Its place in the bench, as people say it."),
  parent: z.nullable(idShape).check(z.describe("The round it was changed from; null for a first one.")),
  label: text(LONGEST.label),
  spec: specShape,
  notes: z.exactOptional(text(LONGEST.note)),
  /** What was wrong, in the taster's words: "thin", "fruit lost". */
  faults: z.exactOptional(list(text(LONGEST.fault), MOST.faults)),
  abandoned: z.exactOptional(z.boolean()),
  /** Where it stands; absent: open. */
  state: z.exactOptional(z.enum(ROUND_STATE_IDS)),
});

/** A bench: one drink's record of rounds. */
export const benchShape = z
  .strictObject({
    id: idShape,
    name: text(LONGEST.name),
    rounds: list(roundShape, MOST.rounds),
    current: text(LONGEST.id).check(z.describe("Id of the round in work; empty where there is none.")),
    target: text(LONGEST.note),
    invented: z.exactOptional(z.boolean()),
    story: z.exactOptional(text(LONGEST.note)),
  })
  .check(
    must(
      ({ rounds }) => new Set(rounds.map((round) => round.id)).size === rounds.length,
      "two rounds have the same id",
      "give each round an id of its own",
    ),
    must(
      ({ rounds }) => rounds.every(({ parent }) => parent === null || rounds.some(({ id }) => id === parent)),
      "a round names a parent that is not here",
      "bring that round along, or make parent null",
    ),
    must(
      ({ rounds, current }) =>
        rounds.length === 0 ? current === "" : rounds.some(({ id }) => id === current),
      "current names a round that is not here",
      "give the id of one of the rounds",
    ),
  );

/** What a bench brings along from the house it was made in. */
export const alongShape = z.strictObject({
  /** What it pours that no other pantry has, or has otherwise: whole, with the figures measured here. */
  ingredients: list(ingredientShape, MOST.along),
  /** How those that are house-made were made, and what they are made of. */
  preps: list(prepShape, MOST.along),
  /** Sizes of spoon, dash, drop and part, where any is poured by. */
  unitSettings: z.exactOptional(unitSettingsShape),
});
