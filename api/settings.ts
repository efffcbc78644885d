import { homedir } from "node:os";
import { isAbsolute, join } from "node:path";
import { z } from "zod";

/** An origin is scheme, host and port, and nothing after. */
const ORIGIN = /^(?:\*|https?:\/\/[^\s/?#]+)$/;

const EnvSchema = z.object({
  HOST: z.string().min(1).default("127.0.0.1"),
  PORT: z.coerce.number().int().min(0).max(65_535).default(8787),
  LOG_LEVEL: z.enum(["fatal", "error", "warn", "info", "debug", "trace", "silent"]).default("info"),
  SHUTDOWN_SECONDS: z.coerce.number().min(0).max(300).default(10),
  // Origins whose pages may call the API from a browser, separated by commas; * for any.
  CORS_ORIGINS: z
    .string()
    .transform((list) => list.split(",").map((origin) => origin.trim()))
    .pipe(z.array(z.string().regex(ORIGIN, "must be origins such as https://bar.example, or *")))
    .default([]),
  // Folder of the embedded store; default: the user's data folder.
  DATA_DIR: z.string().min(1).optional(),
  // A Postgres-compatible server to keep things in, in place of the folder.
  DATABASE_URL: z
    .string()
    .regex(/^postgres(?:ql)?:\/\//, "must start with postgres://")
    .optional(),
  // Whether this machine's own user needs no link to the benches. Set false behind a proxy on this machine.
  OPEN_ON_THIS_MACHINE: z.enum(["true", "false"]).default("true"),
});

export type Env = z.infer<typeof EnvSchema>;

/** May hold a password. */
const SECRET = "DATABASE_URL";

/** The settings, or the sentences that say which variable is wrong. */
export function readEnv(vars: Record<string, string | undefined>): { env: Env } | { errors: string[] } {
  // An empty variable is how shells and container files say "not set".
  const given = Object.fromEntries(Object.entries(vars).filter(([, value]) => value !== ""));
  const parsed = EnvSchema.safeParse(given);
  if (parsed.success) return { env: parsed.data };
  return {
    errors: parsed.error.issues.map(({ path: [name], message }) => {
      const value = name === SECRET ? "…" : (given[String(name)] ?? "");
      return `${String(name)}=${value}: ${message}`;
    }),
  };
}

/**
 * Where the embedded store is: as set, else in the user's data folder (XDG Base Directory Specification), which
 * outlives a copy of this program.
 */
export function dataFolder({ DATA_DIR }: Env, vars: Record<string, string | undefined>): string {
  if (DATA_DIR !== undefined) return DATA_DIR;
  const given = vars.XDG_DATA_HOME ?? "";
  return join(isAbsolute(given) ? given : join(homedir(), ".local", "share"), "steelyard");
}
