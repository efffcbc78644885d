import { z } from "zod";

export const ProblemEntrySchema = z
  .object({
    in: z.enum(["body", "query", "path"]),
    pointer: z.string().meta({
      description: "JSON pointer to the field, as a URI fragment",
      examples: ["#/spec/lines/0/amount"],
    }),
    detail: z.string(),
    remedy: z.string(),
  })
  .meta({ id: "ProblemEntry" });

export const ProblemSchema = z
  .object({
    type: z.string().meta({ description: "Path of the page that explains this kind of problem." }),
    title: z.string(),
    status: z.int().meta({ description: "The HTTP status." }),
    detail: z.string(),
    instance: z.string(),
    requestId: z.string(),
    errors: z.array(ProblemEntrySchema).meta({ description: "One entry per bad field; may be empty." }),
  })
  .meta({ id: "Problem", description: "RFC 9457 problem details." });

export type ProblemEntry = z.infer<typeof ProblemEntrySchema>;
export type Problem = z.infer<typeof ProblemSchema>;
