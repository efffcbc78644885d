import { greatest, group, mean } from "d3";
import type { KeptTasting } from "./desk.ts";

type Liked = Pick<KeptTasting, "round" | "liking">;

/** Mean of the likings given; null where none was. */
export const meanLiking = (tastings: readonly Liked[]): number | null =>
  mean(tastings, ({ liking }) => liking) ?? null;

/** Id of the round most liked, by the mean of its likings; null where none was given. */
export function bestLiked(tastings: readonly Liked[]): string | null {
  const means = [...group(tastings, ({ round }) => round)].map(([id, own]) => ({
    id,
    liking: meanLiking(own),
  }));
  return greatest(means, ({ liking }) => liking ?? undefined)?.id ?? null;
}
