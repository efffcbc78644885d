import type * as z from "zod/mini";
import type { cardShape } from "../shapes/card.ts";
import type { SourcedValue } from "../types.ts";

/** What every card begins with: its form and version. */
export const CARD_FORM = "steelyard-card-1";

/** A figure and its standard uncertainty, same unit. */
export type Doubted = Pick<SourcedValue, "value" | "sd">;

/** A spec handed over: all that makes the same drink somewhere else, and what it comes to. */
export type Card = z.infer<typeof cardShape>;

/** What a card shows beside the spec: worked out when it was written, never read back. */
export type CardShown = NonNullable<Card["shown"]>;
