import type * as z from "zod/mini";
import type { ROUND_STATE_IDS } from "../ids.ts";
import type { benchShape, roundShape } from "../shapes/bench.ts";

/** Where a round stands. `open`: still being judged. */
export type RoundState = (typeof ROUND_STATE_IDS)[number];

/** One version of a drink. */
export type Round = z.infer<typeof roundShape>;

/** One drink's record of rounds. */
export type Bench = z.infer<typeof benchShape>;
