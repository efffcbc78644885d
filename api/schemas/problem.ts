import { z } from "@hono/zod-openapi";

export const ProblemEntrySchema = z
  .object({
    in: z.enum(["body", "query", "path"]),
    pointer: z.string().openapi({
      description: "JSON pointer to the field, as a URI fragment",
      example: "#/spec/lines/0/amount",
    }),
    detail: z.string(),
    remedy: z.string(),
  })
  .openapi("ProblemEntry");

export const ProblemSchema = z
  .object({
    type: z.string().openapi({ description: "Path of the page that explains this kind of problem." }),
    title: z.string(),
    status: z.number().int(),
    detail: z.string(),
    instance: z.string(),
    requestId: z.string(),
    errors: z.array(ProblemEntrySchema).openapi({ description: "One entry per bad field; may be empty." }),
  })
  .openapi("Problem", { description: "RFC 9457 problem details." });

export type ProblemEntry = z.infer<typeof ProblemEntrySchema>;
export type Problem = z.infer<typeof ProblemSchema>;
