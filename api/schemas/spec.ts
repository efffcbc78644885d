import { z } from "zod";
import { LONGEST, MOST } from "../../engine/limits.ts";
import { idShape, text } from "../../engine/shapes/amounts.ts";
import { dilutionShape, dilutionShapes, specLineShape, specShape } from "../../engine/shapes/spec.ts";

// The engine's shapes under the names the reference gives them; a spec from an answer can be sent back.
for (const [shape, id] of [
  [dilutionShapes[0], "RegressionDilution"],
  [dilutionShapes[1], "EnergyDilution"],
  [dilutionShapes[2], "MeasuredDilution"],
  [dilutionShape, "DilutionChoice"],
  [specLineShape, "SpecLine"],
  [specShape.shape.method, "Method"],
  [specShape, "Spec"],
] as const) {
  z.globalRegistry.add(shape, { id });
}

export { specShape as SpecSchema };

const shared = {
  dilution: z.optional(dilutionShape),
  glass: z.optional(idShape).meta({ description: "Id from GET /v1/glasses." }),
  servedOn: specShape.shape.servedOn,
};

const SpecLinesSchema = z
  .strictObject({
    name: z.optional(text(LONGEST.name)),
    method: specShape.shape.method,
    lines: z.array(specLineShape).min(1).max(MOST.lines),
    ...shared,
  })
  .meta({ id: "SpecLines" });

const SpecTextSchema = z
  .strictObject({
    text: z.string().min(1).max(LONGEST.recipe).meta({
      description: "One ingredient a line, as written on a card.",
    }),
    name: z.optional(text(LONGEST.name)),
    method: z.optional(specShape.shape.method).meta({ description: "Needed unless the text names it." }),
    ...shared,
  })
  .meta({ id: "SpecText" });

export const SpecInputSchema = z
  .union([SpecLinesSchema, SpecTextSchema])
  .meta({ id: "SpecInput", description: "A spec by lines, or as written text; never both." });

export type SpecInput = z.infer<typeof SpecInputSchema>;
