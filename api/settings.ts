import { z } from "zod";

const EnvSchema = z.object({
  HOST: z.string().min(1).default("127.0.0.1"),
  PORT: z.coerce.number().int().min(0).max(65_535).default(8787),
  LOG_LEVEL: z.enum(["fatal", "error", "warn", "info", "debug", "trace", "silent"]).default("info"),
  SHUTDOWN_SECONDS: z.coerce.number().min(0).max(300).default(10),
});

export type Env = z.infer<typeof EnvSchema>;

/** The settings, or the sentences that say which variable is wrong. */
export function readEnv(vars: Record<string, string | undefined>): { env: Env } | { errors: string[] } {
  // An empty variable is how shells and container files say "not set".
  const given = Object.fromEntries(Object.entries(vars).filter(([, value]) => value !== ""));
  const parsed = EnvSchema.safeParse(given);
  if (parsed.success) return { env: parsed.data };
  return {
    errors: parsed.error.issues.map(
      (issue) => `${issue.path.join(".")}=${given[String(issue.path[0])] ?? ""}: ${issue.message}`,
    ),
  };
}
