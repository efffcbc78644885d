import { homedir } from "node:os";
import { isAbsolute, join } from "node:path";
import { z } from "zod";

/** An origin is scheme, host and port, and nothing after. */
const ORIGIN = /^(?:\*|https?:\/\/[^\s/?#]+)$/;

const whole = (min: number, max: number, usual: number, description: string) =>
  z.coerce.number().int().min(min).max(max).default(usual).describe(description);
const seconds = (min: number, max: number, usual: number, description: string) =>
  z.coerce.number().min(min).max(max).default(usual).describe(description);

/** Every setting, by the environment variable it is read from. api/SELF-HOSTING.md lists them; a test compares. */
export const EnvSchema = z.object({
  HOST: z.string().min(1).default("127.0.0.1").describe("Address to listen on; 0.0.0.0 for all."),
  PORT: whole(0, 65_535, 8787, "Port to listen on; 0 takes a free one."),
  LOG_LEVEL: z
    .enum(["fatal", "error", "warn", "info", "debug", "trace", "silent"])
    .default("info")
    .describe("Least level written to the log, which goes to standard output as JSON lines."),
  DATA_DIR: z
    .string()
    .min(1)
    .optional()
    .describe("Folder of the embedded store; default: the user's data folder."),
  DATABASE_URL: z
    .string()
    .regex(/^postgres(?:ql)?:\/\//, "must start with postgres://")
    .optional()
    .describe("A Postgres-compatible server to keep things in, in place of the folder."),
  OPEN_ON_THIS_MACHINE: z
    .enum(["true", "false"])
    .default("true")
    .describe(
      "Whether this machine's own user needs no link to the benches. Set false behind a proxy on this machine.",
    ),
  CORS_ORIGINS: z
    .string()
    .transform((list) => list.split(",").map((origin) => origin.trim()))
    .pipe(z.array(z.string().regex(ORIGIN, "must be origins such as https://bar.example, or *")))
    .default([])
    .describe("Origins whose pages may call the API from a browser, separated by commas; * for any."),
  SOLVERS: z.coerce
    .number()
    .int()
    .min(1)
    .max(64)
    .optional()
    .describe(
      "Threads for long solves, besides the one for short ones; default: one less than the processors, at least one.",
    ),
  MAX_WAIT_SECONDS: seconds(
    0,
    120,
    15,
    "Longest expected wait for a solver; past it the answer is 503 with Retry-After.",
  ),
  SOLVE_SECONDS: seconds(0.05, 5, 2, "Time a solve may take when its request does not say."),
  MAX_BODY_KB: whole(1, 10_240, 64, "Largest body of a request about one drink."),
  BODY_SECONDS: seconds(1, 300, 10, "Time for such a body to arrive."),
  MAX_CONNECTIONS: whole(1, 100_000, 2000, "Connections at one time; more are closed at once."),
  MAX_PIPELINED: whole(
    1,
    1000,
    16,
    "Requests of one connection at work or waiting at one time; they are answered one after another, and more end the connection.",
  ),
  KEEP_ALIVE_SECONDS: seconds(
    1,
    600,
    5,
    "How long an idle connection is kept. Behind a proxy: longer than the proxy keeps its own, so that it never sends into a closing one.",
  ),
  DRAIN_SECONDS: seconds(
    0,
    120,
    0,
    "On SIGTERM: how long to go on serving, not ready and closing each connection after its answer, before the port is closed.",
  ),
  SHUTDOWN_SECONDS: seconds(0, 300, 10, "After that: how long to wait for what is in flight."),
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
