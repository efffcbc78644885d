import type { z } from "zod";
import type { LinkListSchema, NewLinkSchema } from "../../api/schemas/kept.ts";
import type { Syncing } from "./syncing.ts";

export type Link = z.infer<typeof LinkListSchema>["links"][number];
type NewLink = z.infer<typeof NewLinkSchema>;

/** The answer of one of the server's routes; null when there is none, or no leave. */
async function answerOf<T>(
  path: string,
  { leave, method, body }: { leave: Record<string, string>; method?: string; body?: object },
): Promise<T | null> {
  try {
    const response = await fetch(path, {
      ...(method !== undefined && { method }),
      headers: { ...leave, ...(body && { "Content-Type": "application/json" }) },
      ...(body && { body: JSON.stringify(body) }),
    });
    return response.ok ? ((await response.json()) as T) : null;
  } catch {
    return null;
  }
}

/** The links to a bench that others hold; null wherever no server answers, or it gives no leave. */
export function linksTo(bench: string | null, { leaveFor }: Pick<Syncing, "leaveFor">) {
  const leave = leaveFor(bench);
  return {
    /** Those that still open it. */
    async read(): Promise<Link[] | null> {
      const list = await answerOf<z.infer<typeof LinkListSchema>>("/v1/links", { leave });
      return list?.links.filter((link) => link.bench === bench && link.revoked === null) ?? null;
    },
    make: (role: Link["role"], label: string): Promise<NewLink | null> =>
      answerOf("/v1/links", { leave, method: "POST", body: { role, bench, label } }),
    revoke: (id: string): Promise<unknown> =>
      answerOf(`/v1/links/${encodeURIComponent(id)}`, { leave, method: "DELETE" }),
  };
}
